"""Tunings of files that declare none, as other programs leave them.

music21 10 is such a program: it reads and writes string and fret but no ``staff-tuning``. The open
strings of each tuning are those of its table row, by arithmetic (one fret is one semitone).
"""

from __future__ import annotations

from pathlib import Path

import pytest
from lxml import etree

import rollstave
from rollstave.score.finding import How

TAB = """Title: The Tarred Rope
Tuning: {tuning}
Capo: {capo}
Time: 4/4

D|-----0-------2-|-----2-------0-|-5---7---5-----|-------2-------|
B|---1-------1---|---0-------3---|---5-------5---|---1-----------|
G|-0-------2-----|-2-------0-----|-----5---------|-0-----2-------|
D|-------2-------|-------3-------|-------4-------|-----2---------|
g|---------------|---------------|---------------|-----------0---|
"""


def _stripped(data: bytes) -> bytes:
    """Without what says how the strings are tuned."""
    root = etree.fromstring(data)
    for name in ("staff-tuning", "capo"):
        for element in list(root.iter(name)):
            element.getparent().remove(element)
    for element in list(root.iter("miscellaneous")):
        element.getparent().remove(element)
    return etree.tostring(root)


def _places(tune: rollstave.Tune) -> list[tuple[int, int | None]]:
    return [(n.string, n.fret) for m in tune.score.measures for e in m.events for n in e.notes]


@pytest.mark.parametrize(
    ("tuning", "capo"),
    [("gDGBD", 0), ("gCGBD", 0), ("gDGCD", 0), ("gCGCD", 0), ("gDGBD", 2), ("gCGCD", 2)],
)
def test_a_tuning_is_told_by_string_fret_and_pitch(tuning: str, capo: int) -> None:
    (tune,) = rollstave.read(TAB.format(tuning=tuning, capo=capo))
    (data,) = rollstave.write(tune, "musicxml")
    (back,) = rollstave.read(_stripped(data))
    assert back.score.setup.tuning.written == tuning
    assert back.score.setup.capo == capo
    assert _places(back) == _places(tune)
    (finding,) = [f for f in back.findings if f.subject == "tuning"]
    assert finding.how is How.INFERRED
    assert "declares no tuning" in finding.reason
    assert not [p for p in back.problems if p.code in ("pitch", "fret")]


def test_a_tuning_that_nobody_named_is_told_too() -> None:
    # Every long string a semitone lower than in open G: no tuning of the table.
    tab = TAB.format(tuning="f#C#F#A#C#", capo=0)
    (tune,) = rollstave.read(tab)
    (data,) = rollstave.write(tune, "musicxml")
    (back,) = rollstave.read(_stripped(data))
    wanted = [p.midi for p in tune.score.setup.tuning.pitches[:4]]
    assert [p.midi for p in back.score.setup.tuning.pitches[:4]] == wanted
    assert _places(back) == _places(tune)


def test_declared_is_only_what_is_declared() -> None:
    (tune,) = rollstave.read(TAB.format(tuning="gDGBD", capo=0))
    (data,) = rollstave.write(tune, "musicxml")
    (back,) = rollstave.read(data)
    (finding,) = [f for f in back.findings if f.subject == "tuning"]
    assert finding.how is How.DECLARED
    bare = etree.fromstring(_stripped(data))
    for element in list(bare.iter("technical")):
        element.getparent().remove(element)
    (back,) = rollstave.read(etree.tostring(bare))
    (finding,) = [f for f in back.findings if f.subject == "tuning"]
    assert finding.how is How.ASSUMED


def test_what_music21_wrote_keeps_its_frets(tmp_path: Path) -> None:
    from music21 import converter

    (tune,) = rollstave.read(TAB.format(tuning="gCGCD", capo=0))
    (data,) = rollstave.write(tune, "musicxml")
    path = tmp_path / "out.musicxml"
    converter.parse(data, format="musicxml").write("musicxml", fp=path)
    assert b"staff-tuning" not in path.read_bytes()
    (back,) = rollstave.read(path)
    assert back.score.setup.tuning.written == "gCGCD"
    assert _places(back) == _places(tune)


def test_the_name_of_a_part_says_which_instrument() -> None:
    (tune,) = rollstave.read(TAB.format(tuning="gDGBD", capo=0))
    (data,) = rollstave.write(tune, "musicxml")
    root = etree.fromstring(_stripped(data))
    for element in [*root.iter("technical"), *root.iter("staff-details")]:
        element.getparent().remove(element)
    for name in root.iter("part-name"):
        name.text = "Tenor banjo"
    (back,) = rollstave.read(etree.tostring(root))
    assert back.score.setup.instrument.name == "tenor banjo"


@pytest.mark.parametrize(("fifth", "raised"), [("not raised", 0), ("raised to G#", 1), ("in A", 2)])
def test_the_short_string_beside_a_capo_without_words_of_ours(fifth: str, raised: int) -> None:
    # A capo at 2 raises four strings of gDGBD by two frets; the fifth, on its own peg, sounds G,
    # MIDI 67, and what its own capo adds.
    head = f"Title: Gull Street\nTuning: gDGBD\nCapo: 2\nFifth string: {fifth}\nTime: 4/4\n\n"
    rows = ("D|-----0-------0---|", "B|---0-------0-----|", "G|-0-------2-----0-|")
    tab = "\n".join((*rows, "D|-----------------|", "g|-------0-------0-|"))
    (data,) = rollstave.write(rollstave.read(head + tab)[0], "musicxml")
    root = etree.fromstring(data)
    for words in (*root.iter("miscellaneous"), *root.iter("credit")):
        words.getparent().remove(words)
    setup = rollstave.read(etree.tostring(root))[0].score.setup
    assert (setup.tuning.written, setup.capo) == ("gDGBD", 2)
    assert [setup.midi(string, 0) for string in range(1, 6)] == [64, 61, 57, 52, 67 + raised]
