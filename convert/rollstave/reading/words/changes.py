"""Headings in the midst of a tune: what is different from the measures under them on.

One that stands under the last system has no measures of its own, so it speaks of the whole tune.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

from msgspec.structs import replace

from rollstave.grid.typed import FreeText, GridMeasure, Heading
from rollstave.instruments.tunings import parse_tuning
from rollstave.patterns import rare
from rollstave.reading.page.decode import Line
from rollstave.reading.state import ReadingState, TuneSoFar
from rollstave.reading.words.agreeing import agree
from rollstave.vocabulary import problems as kinds
from rollstave.vocabulary.headings import CHANGING, ONLY_WORDS

_WORD = re.compile(r"\S+")
_ONLY_WORDS = {row.key for row in ONLY_WORDS}


_RETUNED = re.compile(r"\bre-?tun|\bnow\b", re.IGNORECASE)


def may_change(state: ReadingState, heading: Heading) -> bool:
    """True for a heading that stands after measures and may say something new of the next. Words of
    a tempo without a number say nothing that could be counted. A tuning that nobody named before is
    that of the whole tune, if it does not say that it is a new one."""
    tune = state.tune
    if not tune.measures or heading.key not in CHANGING:
        return False
    if heading.key == "tempo":
        return any(map(str.isdecimal, heading.text))
    if heading.key != "tuning" or tune.has_heading("tuning"):
        return True
    index = heading.place.line - state.first_line
    line = state.lines[index].text if 0 <= index < len(state.lines) else ""
    return _RETUNED.search(line) is not None


def changed(
    tune: TuneSoFar, measures: Sequence[GridMeasure], at: Callable[[int], int | None]
) -> list[GridMeasure]:
    """The measures of the next system with the headings that stand over them: over the first, or
    over the one that ``at`` finds under a column."""
    result = list(measures)
    if not tune.changes or not result:
        return result
    for heading, column in tune.changes:
        index = (None if column is None else at(column)) or 0
        result[index] = replace(result[index], changes=(*result[index].changes, heading))
    tune.changes.clear()
    return result


_TIME = r"(?:[2-9]|1[0-9])/(?:2|4|8|16)"
_TIMES = rare(rf"\s*{_TIME}(?:\s+{_TIME})*\s*", cues=("/",))


def times_over_measures(state: ReadingState, line: Line) -> bool:
    """Take ``3/4`` over the measure that it begins with, in the midst of a tune. One alone at the
    left end is over the whole system."""
    if not state.tune.measures or not _TIMES.fullmatch(line.text):
        return False
    for word in _WORD.finditer(line.text):
        heading = Heading("time", word[0], line.place(word.start()))
        state.tune.changes.append((heading, word.start()))
    return True


def settle(state: ReadingState) -> None:
    """Let what stands under the last system speak of the whole tune."""
    tune = state.tune
    for heading, _ in tune.changes:
        add_heading(state, tune, heading)
    tune.changes.clear()


def add_heading(state: ReadingState, tune: TuneSoFar, heading: Heading) -> None:
    """Add a heading that speaks of the whole tune."""
    before = next((h for h in tune.headings if h.key == heading.key), None)
    if before is None:
        tune.headings.append(heading)
    elif not agree(before, heading, state.instrument):
        _say_second(state, tune, before, heading)


def _say_second(state: ReadingState, tune: TuneSoFar, before: Heading, heading: Heading) -> None:
    """A second heading of a kind: one that is only words is a remark besides; a tuning that is
    understood counts instead of a word for it that is not."""
    if heading.key in _ONLY_WORDS:
        text = f"{heading.key.capitalize()}: {heading.text}"
        tune.notes.append(FreeText(text, heading.place, len(tune.measures)))
        return
    if heading.key == "tuning" and parse_tuning(before.text, state.instrument) is None:
        tune.headings[tune.headings.index(before)] = heading
        return
    state.problems.add(
        kinds.HEADING_TWICE,
        f"a second heading for {heading.key} ({heading.text!r}); the first one "
        f"({before.text!r}, line {before.place.line}) counts: take out the wrong one",
        heading.place,
    )


def as_before(
    headings: Sequence[Heading], measures: Sequence[GridMeasure], copies: Sequence[GridMeasure]
) -> list[GridMeasure]:
    """Measures that are played again at the end, the first with the headings that held for it where
    others hold now."""
    result = list(copies)
    # Asked again for each part that is played again: mostly nothing ever changes.
    if not any(measure.changes for measure in measures):
        return result
    first = next(i for i, m in enumerate(measures) if m.first_line == result[0].first_line)
    then = _held(headings, measures[: first + 1])
    now = _held(headings, measures)
    again = tuple(then[key] for key in now if key in then and then[key] is not now[key])
    if again:
        result[0] = replace(result[0], changes=again)
    return result


def _held(headings: Sequence[Heading], measures: Sequence[GridMeasure]) -> dict[str, Heading]:
    """What holds in the last of some measures, of that which may change."""
    found = {heading.key: heading for heading in headings if heading.key in CHANGING}
    for measure in measures:
        found |= {heading.key: heading for heading in measure.changes}
    return found
