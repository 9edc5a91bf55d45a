"""Chord names read from ``<harmony>``: what is printed, or what kind and degrees say.

Elements and the meaning of ``text`` and ``print-object`` are those of MusicXML 4.0 (``kind``,
``degree``).
"""

from __future__ import annotations

import pytest

import rollstave

DEGREE = (
    "<degree{how}><degree-value>{value}</degree-value><degree-alter>{alter}</degree-alter>"
    "<degree-type>{type}</degree-type></degree>"
)


def name_of(kind: str, *degrees: tuple[int, int, str], text: str = "", how: str = "") -> str:
    """The name of a chord on B flat over D as it is read."""
    shown = f' text="{text}"' if text else ""
    added = "".join(DEGREE.format(how=how, value=v, alter=a, type=t) for v, a, t in degrees)
    (tune,) = rollstave.read(
        "<score-partwise version='4.0'><part-list><score-part id='P1'><part-name>Banjo</part-name>"
        "</score-part></part-list><part id='P1'><measure number='1'><attributes><divisions>1"
        "</divisions><time><beats>4</beats><beat-type>4</beat-type></time></attributes>"
        "<harmony><root><root-step>B</root-step><root-alter>-1</root-alter></root>"
        f"<kind{shown}>{kind}</kind><bass><bass-step>D</bass-step></bass>{added}</harmony>"
        "<note><pitch><step>G</step><octave>3</octave></pitch><duration>4</duration></note>"
        "</measure></part></score-partwise>"
    )
    (chord,) = tune.score.measures[0].chords
    return chord.text


@pytest.mark.parametrize(
    ("kind", "degrees", "name"),
    [
        ("major", (), "Bb/D"),
        ("minor-seventh", (), "Bbm7/D"),
        # A seventh without its fifth and with a thirteenth has no row of its own.
        ("dominant", ((5, 0, "subtract"), (13, 0, "add")), "Bb7(no5)(add13)/D"),
        ("minor", ((5, -1, "alter"), (9, 1, "add")), "Bbm(b5)(add#9)/D"),
        # A kind that is no chord of the table is its root.
        ("Neapolitan", (), "Bb/D"),
    ],
)
def test_kind_and_degrees_without_text(
    kind: str, degrees: tuple[tuple[int, int, str], ...], name: str
) -> None:
    assert name_of(kind, *degrees) == name


def test_what_is_printed_wins() -> None:
    odd = ((5, 0, "subtract"), (13, 0, "add"))
    assert name_of("dominant", text="dom7") == "Bbdom7/D"
    # Degrees that are printed belong to the name, those that are not are in the text.
    assert name_of("dominant", *odd, text="7") == "Bb7(no5)(add13)/D"
    assert name_of("dominant", *odd, text="7", how=' print-object="no"') == "Bb7/D"
