"""Measures across systems: those that a line's end broke in two, and where endings close."""

from __future__ import annotations

from collections.abc import Sequence
from statistics import median

from msgspec.structs import replace

from rollstave.grid.typed import Bar, GridMeasure
from rollstave.problems import Place
from rollstave.reading.state import ReadingState
from rollstave.vocabulary import problems as kinds

_FULLER = 1.2  # a joined measure is at most so much wider than the usual one
_EMPTIER = 0.9  # and each half of it narrower than this share of it


def broken_measures(state: ReadingState, measures: Sequence[GridMeasure]) -> list[GridMeasure]:
    """Put together measures that begin at the end of one system and end in the next.

    The first of them has no bar where the line ends, and both together are about as wide as a
    measure between two bars. A last one without notes that nothing continues is no measure.
    The measures keep the indices they had before.
    """
    # What follows an open end may be broken, also with a bar before it, as after a label.
    widths = [
        m.width
        for before, m in zip((None, *measures), measures, strict=False)
        if Bar.NONE not in (m.left, m.right) and m.columns
        if before is None or before.right is not Bar.NONE
    ]
    usual = median(widths) if widths else 0.0
    result: list[GridMeasure] = []
    for measure in measures:
        before = result[-1] if result else None
        if before is not None and before.right is Bar.NONE and before.system != measure.system:
            if _belongs(before, measure, usual):
                result[-1] = _joined(before, measure)
                state.problems.add(
                    kinds.BROKEN_MEASURE,
                    "the measure that begins here goes on in the next system; the pieces are "
                    "put together",
                    Place(before.first_line, before.first_column),
                )
                continue
            if not before.columns:
                result.pop()
        result.append(measure)
    if result and result[-1].right is Bar.NONE and not result[-1].columns and len(result) > 1:
        result.pop()
    return [_filled(measure, usual) for measure in result]


def repeats_at_line_ends(state: ReadingState, measures: Sequence[GridMeasure]) -> list[GridMeasure]:
    """Give a repeat sign that opens at the end of a line to the measure that follows. Where
    nothing follows it at the end of the tune, it was meant the other way round, and so were the
    others that stand so if no repeat is closed anywhere."""
    result = list(measures)
    opened = [i for i, m in enumerate(result) if m.right is Bar.REPEAT_START]
    turned = set()
    if opened and opened[-1] == len(result) - 1:
        closed = any(m.right is Bar.REPEAT_END for m in result)
        turned = set(opened[-1:] if closed else opened)
        last = result[-1]
        state.problems.add(
            kinds.REPEAT_SIGN,
            "a repeat sign opens at the end of this line and nothing follows it; it is read as one "
            "that closes (:|)",
            Place(last.first_line, last.first_column),
        )
    for index in opened:
        right = Bar.REPEAT_END if index in turned else Bar.SINGLE
        result[index] = replace(result[index], right=right)
        if index not in turned:
            result[index + 1] = replace(result[index + 1], left=Bar.REPEAT_START)
    return result


def _filled(measure: GridMeasure, usual: float) -> GridMeasure:
    """A measure that no bar closes ends where its rows end, often at its last note: it is taken
    to be as wide as the others."""
    if measure.right is not Bar.NONE or not usual or measure.width >= usual:
        return measure
    if measure.width < usual / 2:  # too little is there to be most of a measure
        return measure
    return replace(measure, width=round(usual))


def _belongs(before: GridMeasure, after: GridMeasure, usual: float) -> bool:
    if after.section is not None or after.left is Bar.REPEAT_START or after.changes or not usual:
        return False
    together = before.width + after.width
    most = _EMPTIER * usual
    return together <= _FULLER * usual and before.width < most and after.width < most


def _joined(before: GridMeasure, after: GridMeasure) -> GridMeasure:
    shift = before.width
    number = len(before.columns)
    columns = tuple(replace(c, position=shift + c.position) for c in after.columns)
    attachments = tuple(
        replace(
            a,
            position=shift + a.position,
            column=None if a.column is None else number + a.column,
        )
        for a in after.attachments
    )
    return replace(
        before,
        width=shift + after.width,
        columns=before.columns + columns,
        right=after.right,
        ending=before.ending or after.ending,
        attachments=before.attachments + attachments,
        last_line=after.last_line,
    )


def close_endings(measures: Sequence[GridMeasure]) -> tuple[GridMeasure, ...]:
    """Close each ending: at a repeat, a double bar, a new section, the next ending,
    or after as many measures as the ending before it had."""
    result = list(measures)
    start: int | None = None
    length_before: int | None = None
    for index, measure in enumerate(result):
        if measure.ending is not None:
            start = index
        if start is None:
            continue
        after = result[index + 1] if index + 1 < len(result) else None
        number = result[start].ending
        first = number is not None and number.startswith("1")
        closes = (
            after is None
            or measure.right in (Bar.REPEAT_END, Bar.DOUBLE)
            or after.ending is not None
            or after.section is not None
            or after.left is Bar.REPEAT_START
            or (not first and length_before is not None and index - start + 1 >= length_before)
        )
        if closes:
            length_before = index - start + 1
            result[index] = replace(result[index], ending_stop=True)
            start = None
    return tuple(result)
