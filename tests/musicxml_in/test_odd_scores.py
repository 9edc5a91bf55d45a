"""Refusing is the exception: what no tab holds is named with its measure, and the rest is written.

The scores and what they must keep stand in ``odd_scores.py``, from the MusicXML 4.0 documentation.
"""

from __future__ import annotations

from xml.etree import ElementTree as Xml

import pytest

import rollstave
from tests.musicxml_in.odd_scores import FOUR, ODD, Odd, attributes, direction, note, rest, score


@pytest.mark.parametrize("odd", ODD, ids=lambda odd: odd.name)
def test_the_rest_is_written_and_every_loss_is_named(odd: Odd) -> None:
    (tune,) = rollstave.read(odd.data.encode())
    kept = [sorted(str(n.pitch) for e in m.events for n in e.notes) for m in tune.score.measures]
    assert kept == [sorted(pitches.split()) for pitches in odd.kept]
    told = [problem.message for problem in tune.problems]
    for words in odd.said:
        assert any(words in message for message in told), told
    for to in ("musicxml", "mei", "midi", "text"):
        assert rollstave.write(tune, to)[0]


@pytest.mark.parametrize(
    ("data", "why"),
    [
        ("<score-partwise><part-list/></score-partwise>", "no part"),
        (score(attributes() + note("C8") * 4), "C8"),
        (score(attributes(-1) + FOUR), "divisions"),
    ],
)
def test_a_refusal_says_why_nothing_is_written(data: str, why: str) -> None:
    with pytest.raises(rollstave.TabError) as caught:
        rollstave.read(data.encode())
    assert any(why in problem.message for problem in caught.value.problems)


def test_a_root_may_be_a_number_of_the_scale() -> None:
    """MusicXML 4.0, ``numeral``: 5 in G major is D, in A minor E; 4 lowered in F is Bbb."""
    said = (
        "<harmony><numeral><numeral-root>{}</numeral-root>{}</numeral><kind>major</kind></harmony>"
    )
    lowered = "<numeral-alter>-1</numeral-alter>"
    inside = "".join(
        said.format(*root) + note("G4")
        for root in (("5", ""), ("1", ""), ("7", ""), ("4", lowered))
    )
    for fifths, names in ((1, "D G F# Cb"), (-1, "C F E Bbb"), (0, "G C B Fb")):
        key = f"<key><fifths>{fifths}</fifths></key>"
        (tune,) = rollstave.read(score(attributes(key=key) + inside).encode())
        assert [c.text for c in tune.score.measures[0].chords] == names.split()
    in_minor = (
        "<numeral-key><numeral-fifths>0</numeral-fifths><numeral-mode>minor</numeral-mode>"
        "</numeral-key>"
    )
    (tune,) = rollstave.read(score(attributes() + said.format("5", in_minor) + FOUR).encode())
    assert [c.text for c in tune.score.measures[0].chords] == ["E"]


def test_syllables_that_are_sung_to_one_note_stay_together() -> None:
    """MusicXML 4.0, ``elision``: several syllables of one note, and what joins them."""
    lyric = (
        "<lyric><syllabic>single</syllabic><text>o</text><elision>{}</elision>"
        "<syllabic>begin</syllabic><text>ver</text></lyric>"
    )
    for joined, sung in (("_", "o_ver-"), ("", "o\u203fver-")):
        data = score(attributes() + note("G4", 4, lyric.format(joined)))
        (tune,) = rollstave.read(data.encode())
        assert tune.score.measures[0].events[0].lyric == sung


def test_what_is_left_out_is_told_once_with_all_its_measures() -> None:
    loud = direction("<dynamics><f/></dynamics>") + FOUR
    data = score(attributes() + loud, FOUR, loud, loud, loud, rest(4))
    (tune,) = rollstave.read(data.encode())
    assert [p.message for p in tune.problems if p.code == "left-out"] == [
        "a score does not hold these, left out: dynamics (4, measures 1, 3-5)"
    ]
    written = Xml.fromstring(rollstave.write(tune, "musicxml")[0])
    assert len(written.findall("part/measure")) == 6


def test_a_repeat_that_is_never_closed_is_said() -> None:
    """MusicXML 4.0, ``repeat``: a forward one begins what a backward one ends."""
    opened = '<barline location="left"><repeat direction="forward"/></barline>'
    closed = '<barline location="right"><repeat direction="backward"/></barline>'
    for measures, said in (
        ((opened + attributes() + FOUR, FOUR, opened + FOUR + closed), ["1"]),
        ((opened + attributes() + FOUR, FOUR + closed, opened + FOUR), ["3"]),
        ((opened + attributes() + FOUR, FOUR + closed, FOUR + closed), []),
    ):
        (tune,) = rollstave.read(score(*measures).encode())
        found = [p.message for p in tune.problems if p.code == "repeat"]
        assert [words.split()[1].rstrip(":") for words in found] == said


def test_a_repeat_on_the_left_of_a_measure_ends_the_one_before() -> None:
    """MusicXML 4.0, ``barline``: its location says on which side of the measure it stands; music21
    and partitura play such a file so."""
    closed = '<barline location="left"><repeat direction="backward"/></barline>'
    (tune,) = rollstave.read(score(attributes() + FOUR, FOUR, closed + FOUR).encode())
    assert rollstave.play_order(tune.score.measures) == (0, 1, 0, 1, 2)
