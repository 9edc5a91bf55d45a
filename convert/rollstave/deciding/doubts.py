"""What is said of the rhythm: measures of odd length, and those that are not sure."""

from __future__ import annotations

import re
from collections.abc import Sequence

from msgspec.structs import replace

from rollstave.grid.typed import GridMeasure, GridTune
from rollstave.patterns import rare
from rollstave.problems import Place, ProblemList, Severity
from rollstave.rhythm import Meter, RhythmReading, TimedMeasure
from rollstave.rhythm.spoken import LIKELY, as_counts, as_ranges, too_long
from rollstave.score.records import Measure
from rollstave.vocabulary import problems as kinds

# "The fifth bar is a short one", "last bar has two beats only", "a crooked tune".
_SAYS_CROOKED = rare(
    r"\bcrooked\b|\b(?:bar|measure)\b.{0,40}\b(?:short|long|extra|half)\b"
    r"|\b(?:short|long|extra|half|odd)\s+(?:bar|measure)\b"
    r"|\b(?:bar|measure)\b.{0,24}\b(?:\d|one|two|three|five|six|seven)\s+(?:beats?|counts?)\b"
    r"|\b(?:beats?|counts?)\s+(?:short|long|extra|too\s+(?:many|few))\b",
    re.IGNORECASE,
    cues=("crooked", "bar", "measure", "beat", "count"),
)
_Doubtful = tuple[Measure, TimedMeasure, Place]


def report_rhythm(
    grid_tune: GridTune,
    measures: Sequence[Measure],
    reading: RhythmReading,
    problems: ProblemList,
) -> None:
    """Name the measures that are too long or too short, and those whose rhythm is doubtful. Where
    the words of the tune tell of such a measure, it is no fault."""
    typed = grid_tune.measures
    meant = any(_SAYS_CROOKED.search(note.text) for note in grid_tune.notes)
    doubts: list[_Doubtful] = []
    for index, (grid, measure, timed) in enumerate(
        zip(typed, measures, reading.measures, strict=True)
    ):
        meter = reading.meter_at(index)
        place = Place(grid.first_line, grid.first_column)
        odd = timed.length != meter.length
        if odd and not (
            timed.pickup or timed.complement or _like_the_pickup(index, typed, reading)
        ):
            problems.add(
                kinds.MEASURE_LENGTH,
                f"{measure.called} is {too_long(timed.length, meter)} for {meter}; "
                "it is written as it stands",
                place,
                Severity.NOTICE if meant else None,
            )
        if not timed.sure:
            said = replace(timed, reasons=measure.rhythm.reasons)  # with printed numbers
            doubts.append((measure, said, place))
    _report_doubts(doubts, reading, problems)


def _like_the_pickup(index: int, typed: Sequence[GridMeasure], reading: RhythmReading) -> bool:
    """True for a measure that begins a system and is as long as the tune's pickup: the pickup of a
    further phrase (common practice, no source)."""
    first, here = reading.measures[0], reading.measures[index]
    begins = index > 0 and typed[index].system != typed[index - 1].system
    return begins and first.pickup and here.length == first.length


def _report_doubts(
    doubts: Sequence[_Doubtful], reading: RhythmReading, problems: ProblemList
) -> None:
    """A measure that may be read otherwise by itself; those that one cause makes unsure, with no
    other reading for any of them, once and together."""
    together: dict[tuple[object, ...], list[_Doubtful]] = {}
    for measure, timed, place in doubts:
        meter = reading.meter_at(measure.index)
        counts = as_counts(timed.onsets, meter)
        other = any(as_counts(a.onsets, meter) != counts for a in timed.alternatives)
        alone = measure.index if other else -1
        key = (alone, f"{timed.confidence:.0%}", timed.source)
        together.setdefault(key, []).append((measure, timed, place))
    for same in together.values():
        measure, timed, place = same[0]
        if len(same) == 1:
            message = _doubt(measure.called, timed, reading.meter_at(measure.index))
        else:
            called = f"measures {as_ranges([one.number for one, _, _ in same])}"
            reasons = [r for r in timed.reasons if all(r in other.reasons for _, other, _ in same)]
            how, _ = _how_sure(timed)
            why = ", ".join((f"{timed.confidence:.0%}", *reasons)).replace(", ", "; ", 1)
            message = f"the rhythm of {called} {how} ({why}). A line of counts under them decides"
        problems.add(kinds.RHYTHM_UNSURE, message, place)


def _how_sure(timed: TimedMeasure) -> tuple[str, str]:
    """What is said of a doubtful reading, and of another one, by its probability."""
    if timed.confidence >= LIKELY:
        return "is likely but not written", "also possible"
    return "is not sure", "nearly as likely"


def _doubt(called: str, timed: TimedMeasure, meter: Meter) -> str:
    """What is not sure of a measure's rhythm, in words that agree with its probability."""
    counts = as_counts(timed.onsets, meter)
    others = dict.fromkeys(as_counts(a.onsets, meter) for a in timed.alternatives)
    others.pop(counts, None)
    how, beside = _how_sure(timed)
    other = f"; {beside}: {' or '.join(others)}" if others else ""
    return (
        f"the rhythm of {called} {how} ({timed.confidence:.0%}; {', '.join(timed.reasons)}): "
        f"read as {counts}{other}. A line of counts under it decides"
    )
