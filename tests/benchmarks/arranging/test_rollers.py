"""Of each person who rolls: the measures are the tune's, a hand can play them, and the melody is
where it is said to be.

Chords are music21's, by their names; that the short string drones through any chord is common
practice, no source, as is what a hand can reach.
"""

from __future__ import annotations

import random
from collections import Counter
from fractions import Fraction
from itertools import pairwise

import pytest
from tests.amount import some
from tests.benchmarks.arranging.rollers import ROLLERS, TOLD, UNOPENED, score_and_melody
from tests.benchmarks.arranging.rollers.base import Told
from tests.benchmarks.arranging.rollers.harmony import NAMES
from tests.benchmarks.rhythm.melodies import melody
from tests.benchmarks.rhythm.model import ArrangedTune, CorpusMeasure, CorpusTune, MeasureKind
from tests.benchmarks.rhythm.test_people import check_arrangement
from tests.benchmarks.rhythm.tunings import TUNINGS

ALL = {**ROLLERS, **UNOPENED}
SOME = range(some(8, 40))
# The share of the notes on first beats that a person carries as melody: less is left to the fills.
CARRIED = {"alder": 0.8, "bramble": 0.8, "clover": 0.8, "dogwood": 0.6, "elder": 0.8}
CARRIED |= {"hazel": 0.8} | dict.fromkeys(
    ("fern", "gorse", "ivy", "juniper", "larch", "meadow"), 0.5
)


def sounds(tuning: str, string: int, fret: int) -> int:
    """String 5 begins at the fifth fret (common practice, no source)."""
    return TUNINGS[tuning][0][string - 1] + (fret - 5 if string == 5 and fret else fret)


def notes_near(
    measure: CorpusMeasure, following: CorpusMeasure | None, onset: Fraction
) -> set[int]:
    """The pitches of what sounds then, or at most an eighth before or after."""
    begun = [n.midi for n in measure.notes if n.onset <= onset][-1:]
    before = onset - Fraction(1, 2)
    begun += [n.midi for n in measure.notes if before <= n.onset + n.duration and n.onset < onset]
    soon = [n.midi for n in measure.notes if onset < n.onset <= onset + Fraction(1, 2)]
    if following is not None and onset + Fraction(1, 2) >= measure.length:
        soon += [n.midi for n in following.notes if n.onset == 0]
    return {*begun, *soon}


def check_melody(tune: CorpusTune, told: Told, carried: float) -> None:
    """By one interval, octaves aside, all that is said to be melody is the tune's; and most of
    its notes on first beats are there."""
    following = [*tune.measures[1:], None]
    ways: Counter[int] = Counter()
    struck = {
        (index, event.onset, s.string): sounds(told.tune.tuning, s.string, s.fret)
        for index, measure in enumerate(told.tune.measures)
        for event in measure.events
        for s in event.strokes
    }
    assert told.melody <= struck.keys()
    for index, onset, string in told.melody:
        near = notes_near(tune.measures[index], following[index], onset)
        ways.update({(struck[index, onset, string] - midi) % 12 for midi in near})
    move, count = ways.most_common(1)[0]
    assert count == len(told.melody)
    firsts = {i for i, m in enumerate(tune.measures) if m.notes and not m.notes[0].onset}
    found = set()
    for index, onset, string in told.melody:
        sound = struck[index, onset, string] - move
        measure = tune.measures[index]
        if index in firsts and onset <= Fraction(1) and (sound - measure.notes[0].midi) % 12 == 0:
            found.add(index)
        after = following[index]
        if after is not None and after.notes and (sound - after.notes[0].midi) % 12 == 0:
            found |= {index + 1} if measure.length - onset <= Fraction(1, 2) else set()
    assert len(found & firsts) >= carried * len(firsts)


def check_fills(told: Told) -> None:
    """Every fill is a tone of its chord; the others are the drone, and ways to other notes."""
    from tests import chord_tones

    named = [fill for fill in told.fills if fill.chord]
    for fill in named:
        assert fill.chord.removesuffix("m") in NAMES
        sound = sounds(told.tune.tuning, fill.stroke.string, fill.stroke.fret)
        assert sound % 12 in chord_tones.tones(fill.chord), fill
    loose = [fill for fill in told.fills if not fill.chord and fill.stroke != (5, 0, None)]
    assert len(loose) <= 0.2 * (len(told.fills) + len(told.melody))


def check_hands(tune: ArrangedTune) -> None:
    """No more than four frets at once, a link from a note on its string, and all measures full."""
    for measure in tune.measures:
        if measure.kind is MeasureKind.FULL:
            assert measure.length == tune.meter.length
        assert measure.events[0].onset == 0
        for event in measure.events:
            stopped = [s.fret for s in event.strokes if s.fret]
            assert not stopped or max(stopped) - min(stopped) < 4
        for before, event in zip((None, *measure.events), measure.events, strict=False):
            for stroke in event.strokes:
                if stroke.link is None:
                    continue
                assert before is not None
                starts = [s.fret for s in before.strokes if s.string == stroke.string]
                assert starts
                assert 0 < stroke.fret - starts[0] <= 4
                assert stroke.link != "/" or starts[0] > 0


def check_leaps(told: Told) -> None:
    """The hand leaps more than six frets from one even note of a roll to the next only if the
    melody does or into a slur, and seldom."""
    even = Fraction(1, 4) if told.tune.meter.length == 2 else Fraction(1, 2)
    line = [
        (event, {s for s in event.strokes if (index, event.onset, s.string) in told.melody})
        for index, measure in enumerate(told.tune.measures)
        for event in measure.events
    ]
    linked = [event.linked for event, _ in line]
    leaps = 0
    for index, ((one, own_of_one), (other, own_of_other)) in enumerate(pairwise(line)):
        stopped = [s for s in (*one.strokes, *other.strokes) if s.fret]
        frets = [s.fret for s in stopped]
        if one.duration > even or not frets or max(frets) - min(frets) < 6:
            continue
        leaps += 1
        slurred = any(linked[index : index + 3])
        assert slurred or all(s in own_of_one or s in own_of_other for s in stopped)
    assert leaps <= 0.05 * len(line)


@pytest.mark.parametrize("name", TOLD)
@pytest.mark.parametrize("number", SOME)
def test_a_tune_in_rolls_is_the_tune(name: str, number: int) -> None:
    tune = melody(number)
    told = TOLD[name](tune, random.Random(number))
    check_arrangement(tune, told.tune)
    check_hands(told.tune)
    check_leaps(told)
    check_melody(tune, told, CARRIED[name])
    check_fills(told)
    assert ALL[name](tune, random.Random(number)) == (told.tune, told.melody)


@pytest.mark.parametrize("name", ALL)
def test_what_is_read_has_the_melody_in_it(name: str) -> None:
    read = [score_and_melody(ALL[name], number) for number in range(4)]
    there = [one for one in read if one is not None]
    assert len(there) >= 3
    for score, truth in there:
        places = {
            (index, event.onset, note.string)
            for index, measure in enumerate(score.measures)
            for event in measure.events
            for note in event.notes
        }
        assert truth
        assert truth <= places
