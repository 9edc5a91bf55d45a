"""A chord chart with a roll becomes a tab. music21 says which notes each chord has."""

from __future__ import annotations

import pytest

import rollstave
from rollstave import TabError
from tests.chord_tones import tones
from tests.plugins.arranging import use_arranging

CHART = """\
Title: Friday Backup
Tuning: {tuning}
Time: 4/4
Roll: {roll}

| C | F | C G | {last} |
"""


@pytest.fixture(autouse=True)
def arranging(monkeypatch: pytest.MonkeyPatch) -> None:
    use_arranging(monkeypatch)


def drafted(
    tuning: str = "gCGBD", roll: str = "4 2 5 2 1 2 3 2", last: str = "C"
) -> rollstave.Tune:
    (tune,) = rollstave.read(CHART.format(tuning=tuning, roll=roll, last=last))
    return tune


@pytest.mark.parametrize("tuning", ["gDGBD", "gCGBD", "gCGCD", "gDGCD"])
@pytest.mark.parametrize("last", ["C", "Am", "G7", "D7", "Em", "Bb"])
def test_each_note_is_one_of_its_chord(tuning: str, last: str) -> None:
    tune = drafted(tuning, last=last)
    assert [c.text for m in tune.score.measures for c in m.chords] == ["C", "F", "C", "G", last]
    for measure in tune.score.measures:
        ends = [c.onset for c in measure.chords[1:]] + [measure.length]
        for chord, end in zip(measure.chords, ends, strict=True):
            for event in measure.events:
                for note in event.notes:
                    if chord.onset <= event.onset < end and note.string != 5:
                        assert note.pitch.midi % 12 in tones(chord.text)


def test_the_roll_is_as_it_is_asked_for() -> None:
    first = drafted().score.measures[0]
    assert [n.string for e in first.events for n in e.notes] == [4, 2, 5, 2, 1, 2, 3, 2]
    # The open C of gCGBD: 4:0 3:0 2:1 1:2 (common practice, no source).
    assert {(n.string, n.fret) for e in first.events for n in e.notes} == {
        (4, 0), (3, 0), (2, 1), (1, 2), (5, 0)
    }  # fmt: skip
    named = drafted(roll="forward roll").score.measures[0]
    assert "".join(n.finger.value for e in named.events for n in e.notes if n.finger) == "TIMTIMTM"


def test_the_last_bar_ends_with_two_plucks() -> None:
    last = drafted().score.measures[-1]
    assert [(e.onset, e.duration, len(e.notes)) for e in last.events[-2:]] == [(2, 1, 2), (3, 1, 2)]


def test_a_line_of_melody_is_on_the_beats() -> None:
    text = CHART.format(tuning="gDGBD", roll="forward", last="C")
    text = text.replace("\n\n|", "\nMelody: C E G - | A - F -\n\n|")
    (tune,) = rollstave.read(text)
    first, second = tune.score.measures[:2]
    on_beat = {e.onset: {n.pitch.letter for n in e.notes} for e in first.events}
    assert [on_beat[b] for b in (0, 1, 2)] == [{"C"}, {"E"}, {"G"}]
    assert {n.pitch.letter for n in second.events[0].notes} == {"A"}


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("4 2 5 2 1 2 3 2", "sideways", "'sideways' is no roll in 4/4: name one of forward, ba"),
        ("4 2 5 2 1 2 3 2", "4 2 5", "write the strings of its 8 strokes"),
        ("| F |", "| Hm |", "'Hm' is no chord that is known"),
        ("Time: 4/4", "Time: 7/8", "a roll in 7/8 is not known"),
        ("gCGBD", "gQ", "is no tuning"),
    ],
)
def test_what_is_wrong_is_told_with_its_place(old: str, new: str, words: str) -> None:
    text = CHART.format(tuning="gCGBD", roll="4 2 5 2 1 2 3 2", last="C").replace(old, new)
    with pytest.raises(TabError, match=words) as error:
        rollstave.read(text)
    place = error.value.problems[0].place
    assert place is not None
    line = text.splitlines()[place.line - 1]
    assert line[place.column - 1 :].startswith(new.strip("| ").rpartition(": ")[2])


def test_a_tab_that_speaks_of_a_roll_is_no_chart() -> None:
    tab = "Roll: forward\nTime: 4/4\n\n" + "\n".join(f"{s}|-0---0---0---0---|" for s in "DBGDg")
    (tune,) = rollstave.read(tab)
    assert len(tune.score.measures[0].events) == 4
