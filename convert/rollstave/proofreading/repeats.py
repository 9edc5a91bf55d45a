"""Repeats that do not pair, and endings without a repeat."""

from __future__ import annotations

from collections.abc import Iterator

from rollstave.api import Tune
from rollstave.grid.typed import Bar, GridMeasure
from rollstave.problems import Place
from rollstave.proofreading.correction import Correction
from rollstave.score.records import Measure
from rollstave.vocabulary import problems as kinds


def unpaired_repeats(tune: Tune) -> Iterator[Correction]:
    """A repeat that is opened and not closed, or closed in a tune that opens its repeats and
    not opened; the first repeat of a tune may go back to the beginning (common practice)."""
    measures, score = tune.grid.measures, tune.score.measures
    opened: GridMeasure | None = None
    opens_them = sum(m.left is Bar.REPEAT_START for m in measures) > 1
    closed = 0
    for measure, printed in zip(measures, score, strict=True):
        if measure.left is Bar.REPEAT_START:
            if opened is not None:
                yield _never_closed(opened, score[opened.index].called)
            opened = measure
        if measure.right is Bar.REPEAT_END:
            if opened is None and opens_them and closed:
                yield Correction(
                    kinds.REPEAT,
                    _place(measure),
                    f"the repeat that ends with {printed.called} is nowhere opened (|:)",
                )
            closed += 1
            opened = None
    if opened is not None:
        yield _never_closed(opened, score[opened.index].called)
    yield from _endings(measures, score)
    yield from _jumps(tune)


def _jumps(tune: Tune) -> Iterator[Correction]:
    """Jumps that lead nowhere: D.S. without a segno, al Fine without Fine, a coda that is not
    there or that nothing leads to."""
    measures = tune.grid.measures
    fine, segno = any(m.fine for m in measures), any(m.segno for m in measures)
    coda, to_coda = any(m.coda for m in measures), any(m.to_coda for m in measures)
    for measure, printed in zip(measures, tune.score.measures, strict=True):
        jump = measure.jump or ""
        missing = ""
        if jump.startswith("D.S.") and not segno:
            missing = "no segno in the tune to go back to (a line: Segno)"
        elif "Fine" in jump and not fine:
            missing = "no Fine in the tune to end at"
        elif "Coda" in jump and not (coda and to_coda):
            missing = "no " + ("To Coda" if coda else "coda") + " in the tune"
        if missing:
            yield Correction(
                kinds.JUMP,
                _place(measure),
                f"{jump} stands after {printed.called}, but there is {missing}",
            )


def _place(measure: GridMeasure) -> Place:
    return Place(measure.first_line, measure.first_column)


def _never_closed(measure: GridMeasure, called: str) -> Correction:
    return Correction(
        kinds.REPEAT,
        _place(measure),
        f"the repeat that opens with {called} is never closed (:|)",
    )


def _endings(measures: tuple[GridMeasure, ...], score: tuple[Measure, ...]) -> Iterator[Correction]:
    """A first ending must lead back and a second must follow it; a later one must have a first."""
    seen_first = False
    current: GridMeasure | None = None
    for measure in measures:
        if measure.ending is not None:
            current = measure
            first = measure.ending.startswith("1")
            if not first and not seen_first:
                yield Correction(
                    kinds.ENDING,
                    _place(measure),
                    f"ending {measure.ending} has no first ending before it; mark the end of the "
                    "first time through with 1.",
                )
            seen_first = seen_first or first
        if current is not None and measure.ending_stop:
            first = current.ending is not None and current.ending.startswith("1")
            if first and measure.right is not Bar.REPEAT_END:
                yield Correction(
                    kinds.ENDING,
                    _place(current),
                    f"ending {current.ending} does not lead back: no repeat (:|) closes it",
                )
            elif first and _is_last_ending(measures, measure.index):
                yield Correction(
                    kinds.ENDING,
                    _place(current),
                    f"a first ending (1.) stands over {score[current.index].called}, and no "
                    "second one comes after it",
                    mend="2. over the measure after the repeat, or no 1. here",
                )
            current = None


def _is_last_ending(measures: tuple[GridMeasure, ...], index: int) -> bool:
    """True if no ending begins right after a measure."""
    return index + 1 >= len(measures) or measures[index + 1].ending is None
