"""A chosen rhythm written into the text: read back it is exactly what was chosen, and nothing else
changed."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from functools import lru_cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import rollstave
from rollstave import Tune
from rollstave.bench.decide import NotWritable, decide
from rollstave.rhythm.timed import Source
from rollstave.score.records import Measure, Score
from tests import tunes
from tests.amount import some
from tests.bench.asking import ASKING
from tests.benchmarks.rhythm.arrange import arrange
from tests.benchmarks.rhythm.corpus import load_some
from tests.benchmarks.rhythm.model import Style
from tests.benchmarks.rhythm.rolls import roll_tune
from tests.benchmarks.rhythm.typist import type_tune
from tests.writing.generated import tab

Times = tuple[tuple[Fraction, ...], tuple[Fraction, ...]]


def times(measure: Measure) -> Times:
    struck = [e for e in measure.events if e.notes]
    return tuple(e.onset for e in struck), tuple(e.duration for e in struck)


def readings(measure: Measure) -> Iterator[Times]:
    """What the bench offers: the measure as it is read, and its alternatives."""
    if measure.events and any(e.notes for e in measure.events):
        yield times(measure)
        for other in measure.rhythm.alternatives:
            yield other.onsets, other.durations


def strokes(score: Score) -> list[list[tuple[int, int | None]]]:
    return [[(n.string, n.fret) for e in m.events for n in e.notes] for m in score.measures]


@lru_cache(maxsize=2)
def as_it_was(text: str) -> list[Tune]:
    """The tunes of a text, which is decided about many times, read once."""
    return rollstave.read(text)


def check(text: str, number: int, index: int, chosen: Times) -> str:
    """Decide, and read the new text with the package's own front door."""
    before = as_it_was(text)
    made = decide(text, number, index, *chosen)
    after = rollstave.read(made.text)
    assert times(after[number].score.measures[index]) == chosen
    assert after[number].score.measures[index].rhythm.sure
    for old, new in zip(before, after, strict=True):
        assert strokes(old.score) == strokes(new.score)
        for one, other in zip(old.score.measures, new.score.measures, strict=True):
            if one.rhythm.source is Source.WRITTEN and one.index != index:
                assert times(one) == times(other)
    return made.text


def test_every_measure_of_every_sample_can_be_decided(sample_name: str) -> None:
    text = next(p for p in tunes.SAMPLES if p.stem == sample_name).read_text()
    measures = tunes.sample(sample_name).score.measures
    for measure in measures[:: some(6, 1)]:
        for chosen in readings(measure):
            check(text, 0, measure.index, chosen)


def typed(style: Style, number: int) -> str:
    """A roll tune (from 0) or a fiddle tune of music21's corpus (from 100), by the benchmark's
    typist."""
    if number < 100:
        return type_tune(roll_tune(number, 1), style, 1).text
    return type_tune(arrange(load_some((number,))[number], 1), style, 1).text


@pytest.mark.parametrize("number", some([1, 142], [1, 2, 4, 142, 143, 144]))
@pytest.mark.parametrize("style", [Style.SQUEEZED, Style.COUNTED, Style.LETTERED], ids=lambda s: s)
def test_generated_tunes_can_be_decided(style: Style, number: int) -> None:
    text = typed(style, number)
    (tune,) = rollstave.read(text)
    unsure = [m for m in tune.score.measures if not m.rhythm.sure]
    written = []
    refused = []
    for measure in (*unsure[: some(2, 4)], *tune.score.measures[:2]):
        for chosen in readings(measure):
            try:
                check(text, 0, measure.index, chosen)
            except NotWritable as error:
                refused.append(str(error))
            else:
                written.append(chosen)
    assert written
    # Letters that drift off their notes leave no room for counts; it is said.
    assert not refused or style is Style.LETTERED
    assert all("too little room" in words for words in refused)


@pytest.mark.parametrize("seed", range(some(3, 6)))
def test_tabs_with_everything_a_sheet_can_carry(seed: int) -> None:
    """Lyrics, letters, chord names and sections around the measure stay as they are."""
    text = tab(seed)
    (tune,) = rollstave.read(text)
    for measure in tune.score.measures[:: some(7, 5)]:
        for chosen in readings(measure):
            check(text, 0, measure.index, chosen)


@settings(max_examples=some(12, 40))
@given(st.data())
def test_any_rhythm_is_written_exactly_or_refused(data: st.DataObject) -> None:
    """Onsets on the grid of sixteenths that nobody offered: never anything else is read back."""
    (tune,) = rollstave.read(ASKING)
    measure = data.draw(st.sampled_from([m for m in tune.score.measures if m.length == 4]))
    count = len(times(measure)[0])
    ticks = data.draw(
        st.lists(st.integers(1, 15), min_size=count - 1, max_size=count - 1, unique=True)
    )
    onsets = (Fraction(0), *(Fraction(t, 4) for t in sorted(ticks)))
    ends = (*onsets[1:], measure.length)
    check(ASKING, 0, measure.index, (onsets, tuple(b - a for a, b in pairs(onsets, ends))))


def pairs(
    starts: tuple[Fraction, ...], ends: tuple[Fraction, ...]
) -> Iterator[tuple[Fraction, Fraction]]:
    yield from zip(starts, ends, strict=True)


def test_choosing_again_replaces_what_was_written() -> None:
    (tune,) = rollstave.read(ASKING)
    count = len(times(tune.score.measures[0])[0])
    evenly = tuple(Fraction(4 * i, count) for i in range(count)) if count in (4, 8) else None
    offered = list(readings(tune.score.measures[0]))
    chosen = [*offered, *([(evenly, (Fraction(4, count),) * count)] if evenly else [])]
    text = check(ASKING, 0, 0, chosen[-1])
    again = check(text, 0, 0, chosen[0])
    assert len(again.split("\n")) == len(text.split("\n"))
    assert check(again, 0, 0, chosen[0]) == again


def test_other_counts_of_the_system_stay_where_they_are() -> None:
    (tune,) = rollstave.read(ASKING)
    text = check(ASKING, 0, 1, times(tune.score.measures[1]))
    before = next(line for line in text.split("\n") if line.strip().startswith(("1", "q", "e")))
    second = check(text, 0, 2, times(rollstave.read(text)[0].score.measures[2]))
    assert any(line.startswith(before.rstrip()) for line in second.split("\n"))


def test_quote_marks_of_a_mail_are_kept() -> None:
    quoted = "".join(f"> {line}\n" for line in ASKING.rstrip("\n").split("\n"))
    (tune,) = rollstave.read(quoted)
    text = check(quoted, 0, 0, times(tune.score.measures[0]))
    assert all(line.startswith("> ") for line in text.rstrip("\n").split("\n"))


def test_rows_right_under_the_system_are_no_obstacle() -> None:
    close = ASKING.replace("\n\nD|-0-0-0-0", "\nD|-0-0-0-0")
    (tune,) = rollstave.read(close)
    check(close, 0, 0, times(tune.score.measures[0]))


def test_what_cannot_be_said_is_refused() -> None:
    """5/11 of a quarter note has no sign (MusicXML and MEI know none either)."""
    (tune,) = rollstave.read(ASKING)
    count = len(times(tune.score.measures[0])[0])
    onsets = tuple(Fraction(5 * i, 11) for i in range(count))
    durations = (*(Fraction(5, 11) for _ in range(count - 1)), 4 - onsets[-1])
    with pytest.raises(NotWritable, match="the counts of measure 1"):
        decide(ASKING, 0, 0, onsets, durations)
    with pytest.raises(ValueError, match="zip"):
        decide(ASKING, 0, 0, onsets[:-1], durations)


@pytest.mark.parametrize(
    ("onset", "counts"), [("7/2", "1 2 3 4 &"), ("15/4", "1 2 3 4 a"), ("5/2", "1 2 3 & 4")]
)
def test_every_beat_of_a_long_note_is_counted_in_room_that_is_made(onset: str, counts: str) -> None:
    """A teacher counts all beats of 4/4, struck or not (common practice, no source)."""
    rows = "".join(f"{name}|-----|\n" for name in "BGDg")
    text = f"Title: Tight Rope\nTuning: gDGBD\nTime: 4/4\n\nD|-0-2-|\n{rows}"
    at = Fraction(onset)
    made = check(text, 0, 0, ((Fraction(0), at), (at, 4 - at)))
    assert made.splitlines()[-1].split() == counts.split()
