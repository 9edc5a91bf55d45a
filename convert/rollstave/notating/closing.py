"""How measures and the brackets of endings close (Gould, Behind Bars, 2011, from memory)."""

from __future__ import annotations

from collections.abc import Sequence

from rollstave.grid.typed import Bar
from rollstave.score.records import Measure


def closing_bar(measures: Sequence[Measure], measure: Measure) -> Bar:
    """The bar line that one of a tune's measures is drawn with. The one that says Fine has the
    final one, wherever it stands; one from which a jump leads back has a double one, also as the
    last where the tune ends elsewhere, and so has one that a new part follows. Repeats stay."""
    if measure.right in (Bar.REPEAT_END, Bar.REPEAT_START):
        return measure.right
    last = measure is measures[-1]
    if measure.jump is not None and not (last and _ends_last(measures)):
        return Bar.DOUBLE
    if measure.fine:
        return Bar.FINAL
    return (
        Bar.DOUBLE
        if measure.right is Bar.SINGLE and _ends_part(measures, measure)
        else measure.right
    )


def _ends_last(measures: Sequence[Measure]) -> bool:
    return not any(m.fine or m.coda for m in measures)


def _ends_part(measures: Sequence[Measure], measure: Measure) -> bool:
    following = measure.index + 1
    if not measure.events or following >= len(measures) or measures[following - 1] is not measure:
        return False
    after = measures[following]
    return after.section is not None and after.left is not Bar.REPEAT_START


def goes_on_after(last: Measure) -> bool:
    """Whether the music goes on after the last measure of an ending. Then its bracket is open;
    it closes where a repeat or a jump leads back, or the tune ends."""
    ends = last.right in (Bar.REPEAT_END, Bar.FINAL) or last.fine
    return not ends and last.jump is None


def is_open(measures: Sequence[Measure], start: int) -> bool:
    """The same of the ending that starts in the measure with this index."""
    return goes_on_after(next((m for m in measures[start:] if m.ending_stop), measures[-1]))
