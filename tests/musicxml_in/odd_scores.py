"""Scores of the kinds that the elements of the MusicXML 4.0 documentation allow and no tab holds.

Each is written here from what the documentation says of an element. ``KEPT`` are the pitches that
are left to play in each measure, ``SAID`` what must be told with its measure; both follow from the
documentation and from the neck (open G, 22 frets: D3 to C6), not from what the reader does.
"""

from __future__ import annotations

import re

from msgspec import Struct

_NOTE = re.compile(r"([A-G])(#|b)?(\d)")


class Odd(Struct, frozen=True):
    """A score, the pitches that stay in each measure, and words that must be told."""

    name: str
    data: str
    kept: tuple[str, ...]
    said: tuple[str, ...] = ()


def note(pitch: str, length: int | None = 1, inside: str = "", first: str = "") -> str:
    step, sign, octave = _NOTE.fullmatch(pitch).groups()  # type: ignore[union-attr]
    alter = {"#": "<alter>1</alter>", "b": "<alter>-1</alter>"}.get(sign, "")
    lasts = "" if length is None else f"<duration>{length}</duration>"
    return (
        f"<note>{first}<pitch><step>{step}</step>{alter}<octave>{octave}</octave></pitch>"
        f"{lasts}{inside}</note>"
    )


def notes(pitches: str, length: int = 1, inside: str = "") -> str:
    return "".join(note(pitch, length, inside) for pitch in pitches.split())


def rest(length: int) -> str:
    return f"<note><rest/><duration>{length}</duration></note>"


def attributes(divisions: int = 1, time: str = "4/4", key: str = "", more: str = "") -> str:
    beats, _, unit = time.partition("/")
    plain = f"<beats>{beats}</beats><beat-type>{unit}</beat-type>"
    counted = time if time.startswith("<") else plain
    key = key or "<key><fifths>0</fifths></key>"
    return (
        f"<attributes><divisions>{divisions}</divisions>{key}<time>{counted}</time>"
        f"{more}</attributes>"
    )


def score(*measures: str, part: str = "Banjo") -> str:
    inside = "".join(f'<measure number="{n}">{m}</measure>' for n, m in enumerate(measures, 1))
    return (
        '<score-partwise version="4.0"><part-list><score-part id="P1">'
        f"<part-name>{part}</part-name></score-part></part-list>"
        f'<part id="P1">{inside}</part></score-partwise>'
    )


def played(inside: str) -> str:
    return f"<notations>{inside}</notations>"


def at(string: int, fret: int) -> str:
    return played(f"<technical><string>{string}</string><fret>{fret}</fret></technical>")


def direction(inside: str) -> str:
    return f"<direction><direction-type>{inside}</direction-type></direction>"


FOUR, DRUM = notes("G4 G4 G4 G4"), "<unpitched/><duration>1</duration>"
_SEVEN = "".join(
    f'<staff-tuning line="{line}"><tuning-step>{name[0]}</tuning-step>'
    f"<tuning-octave>{name[1]}</tuning-octave></staff-tuning>"
    for line, name in enumerate(["B1", "E2", "A2", "D3", "G3", "B3", "E4"], start=1)
)
_COMPOSITE = "<beats>3</beats><beat-type>8</beat-type><beats>2</beats><beat-type>4</beat-type>"
_TWO_METERS = (
    "<beats>3</beats><beat-type>4</beat-type><interchangeable><beats>6</beats>"
    "<beat-type>8</beat-type></interchangeable>"
)
_OWN_SIGNS = "<key><key-step>B</key-step><key-alter>-1</key-alter></key>"
G4 = "G4 G4 G4 G4"

ODD = (
    Odd(
        "a meter of 64ths",
        score(attributes(16, "5/64") + notes("G4 A4 B4 C5 D5"), notes("D5 C5 B4 A4 G4")),
        ("G4 A4 B4 C5 D5", "D5 C5 B4 A4 G4"),
        ("measure 1: a meter of 5/64",),
    ),
    Odd(
        "forty beats",
        score(attributes(1, "40/4") + notes("G4 " * 40)),
        (("G4 " * 40).strip(),),
        ("measure 1: a meter of 40/4",),
    ),
    Odd(
        "a meter of thirds",
        score(attributes(3, "4/3") + notes("G4 A4 B4 C5", 4)),
        ("G4 A4 B4 C5",),
        ("measure 1: a meter of 4/3",),
    ),
    Odd(
        "64ths and 128ths",
        score(attributes(32) + notes("G4 " * 16, 2) + notes("B4 " * 32) + notes("D4 D4", 32)),
        ((("G4 " * 16) + ("B4 " * 32) + "D4 D4"),),
    ),
    Odd(
        "twenty sharps",
        score(attributes(key="<key><fifths>20</fifths></key>") + FOUR),
        (G4,),
        ("measure 1: a signature of 20 sharps",),
    ),
    Odd(
        "signs of its own",
        score(attributes(key=_OWN_SIGNS) + notes("Bb4 G4 Bb4 G4")),
        ("Bb4 G4 Bb4 G4",),
        ("measure 1: a signature of signs of its own",),
    ),
    Odd(
        "octave lines",
        score(
            attributes()
            + direction('<octave-shift type="down" size="8"/>')
            + notes("G5 A5")
            + direction('<octave-shift type="stop" size="8"/>')
            + notes("G4 G4")
        ),
        ("G5 A5 G4 G4",),
    ),
    Odd(
        "beyond the neck on both sides",
        score(attributes() + notes("C2 G4 A4 C8"), notes("E2 G4 G4 G4")),
        ("G4 A4", "G4 G4 G4"),
        ("measure 1: C2, C8 cannot be played", "measure 2: E2 cannot be played"),
    ),
    Odd(
        "without a meter",
        score(attributes(time="<senza-misura/>") + notes("G4 A4 B4 C5 D5 E5 F5"), FOUR),
        ("G4 A4 B4 C5 D5 E5 F5", G4),
        ("measure 1: music without a meter",),
    ),
    Odd(
        "a meter of two",
        score(attributes(2, _COMPOSITE) + notes("G4 A4 B4") + notes("C5 D5", 2)),
        ("G4 A4 B4 C5 D5",),
        ("measure 1: a meter of 3/8 + 2/4 is written as 7/8",),
    ),
    Odd(
        "two meters at once",
        score(attributes(1, _TWO_METERS) + notes("G4 A4 B4")),
        ("G4 A4 B4",),
        ("the second of two meters (measure 1)",),
    ),
    Odd(
        "cue notes",
        score(attributes() + FOUR, note("C5", first="<cue/>") * 2 + notes("G4 G4")),
        (G4, "G4 G4"),
        ("cue notes (2, measure 2)",),
    ),
    Odd(
        "a staff for each hand",
        score(
            attributes(more="<staves>2</staves>")
            + note("G4", 4, "<staff>1</staff>")
            + "<backup><duration>4</duration></backup>"
            + note("G3", 4, "<staff>2</staff>")
        ),
        ("G4",),
        ("the notes of staff 2 (measure 1)",),
    ),
    Odd(
        "notes that are named in no row of a tab",
        score(
            attributes() + FOUR,
            note("G4", 1, played("<ornaments><trill-mark/></ornaments>"))
            + note("G4", 1, played("<fermata/>"))
            + note("G4", 1, played("<technical><snap-pizzicato/></technical>"))
            + note("G4", 1, "<notehead>triangle</notehead>"),
        ),
        (G4, G4),
        (
            "fermata (measure 2)",
            "trill-mark (measure 2)",
            "snap-pizzicato (measure 2)",
            "notehead 'triangle' (measure 2)",
        ),
    ),
    Odd(
        "by measures",
        '<score-timewise version="4.0"><part-list><score-part id="P1"><part-name>Banjo'
        '</part-name></score-part></part-list><measure number="1"><part id="P1">'
        f'{attributes()}{FOUR}</part></measure><measure number="2"><part id="P1">'
        f"{notes('A4 A4 A4 A4')}</part></measure></score-timewise>",
        (G4, "A4 A4 A4 A4"),
    ),
    Odd(
        "other directions",
        score(
            attributes() + FOUR,
            direction("<dynamics><f/></dynamics>")
            + direction('<wedge type="crescendo"/>')
            + "<figured-bass><figure><figure-number>6</figure-number></figure></figured-bass>"
            + direction(
                "<metronome><beat-unit>quarter</beat-unit><beat-unit>eighth</beat-unit></metronome>"
            )
            + FOUR,
            "<sound><swing><first>2</first><second>1</second></swing></sound>" + FOUR,
        ),
        (G4, G4, G4),
        (
            "dynamics (measure 2)",
            "wedge (measure 2)",
            "figured-bass (measure 2)",
            "a metronome mark of two notes (measure 2)",
            "swing (measure 3)",
        ),
    ),
    Odd(
        "repeats of beats and measures, and slashes",
        score(
            attributes() + FOUR,
            '<attributes><measure-style><beat-repeat type="start"/></measure-style></attributes>'
            + FOUR,
            '<attributes><measure-style><measure-repeat type="start">1</measure-repeat>'
            f"</measure-style></attributes>{FOUR}",
            '<attributes><measure-style><slash type="start"/></measure-style></attributes>' + FOUR,
        ),
        (G4, G4, G4, G4),
        ("beat-repeat (measure 2)", "measure 3: signs that repeat", "slash (measure 4)"),
    ),
    Odd(
        "chords on chords, turned round, and a held bar",
        score(
            attributes()
            + "<harmony><root><root-step>G</root-step></root><kind>major</kind>"
            + "<inversion>1</inversion></harmony>"
            + FOUR,
            "<harmony><root><root-step>D</root-step></root><kind>major</kind>"
            + "<root><root-step>C</root-step></root><kind>major</kind></harmony>"
            + FOUR
            + '<barline location="right"><fermata/></barline>',
        ),
        (G4, G4),
        (
            "inversion (measure 1)",
            "the lower chord of two (measure 2)",
            "fermata of a bar line (measure 2)",
        ),
    ),
    Odd(
        "notes without a duration",
        score(attributes() + FOUR, note("A4", None, "<type>quarter</type>") + FOUR),
        (G4, G4),
        ("notes without a duration (measure 2)",),
    ),
    Odd(
        "percussion alone",
        score(attributes() + FOUR, f"<note>{DRUM}</note>" * 4),
        (G4, ""),
        ("measure 2: 4 notes without a pitch",),
    ),
    Odd(
        "seven strings",
        score(
            attributes(
                more=f"<staff-details><staff-lines>7</staff-lines>{_SEVEN}</staff-details>"
            )
            + note("G4", 1, at(1, 3)) * 2
            + note("B1", 2, at(7, 0)),
            part="Guitar",
        ),
        ("G4 G4 B1",),
    ),
    Odd(
        "bends before the note and back",
        score(
            attributes()
            + FOUR,
            note("G4", 1, played("<technical><bend><bend-alter>2</bend-alter><pre-bend/></bend>"
                                 "</technical>"))
            + note("G4", 3, played("<technical><bend><bend-alter>2</bend-alter></bend><bend>"
                                   "<bend-alter>-2</bend-alter><release/></bend></technical>")),
        ),
        (G4, "G4 G4"),
        ("pre-bend (measure 2)", "release (measure 2)"),
    ),
    Odd(
        "a chord of eight",
        score(
            attributes()
            + "".join(
                note(pitch, 4, first="<chord/>" if pitch != "C3" else "")
                for pitch in ["C3", "E3", "G3", "C4", "E4", "G4", "C5", "E5"]
            ),
            FOUR,
        ),
        ("E5 C5 E4 C4 G4", G4),
        ("measure 1: C3, E3, G3 cannot be played",),
    ),
    Odd(
        "thirteen in the time of eight",
        score(attributes(13) + notes("G4 " * 13, 4), note("D4", 52)),
        (("G4 " * 13).strip(), "D4"),
    ),
)  # fmt: skip
