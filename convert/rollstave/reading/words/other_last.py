"""Words for another last measure: ``then once more from the top, but the last bar of the second go
is this:``. Common practice, no source.

The measure above the words is the end of the first pass, and the rows below them that of the
second.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import zip_longest

from msgspec.structs import replace

from rollstave.grid.typed import Bar, FreeText, GridMeasure
from rollstave.patterns import rare
from rollstave.problems import ProblemList
from rollstave.reading.words.parts_played import MOST_NOTES, ORDINALS
from rollstave.vocabulary import problems as kinds

_SECOND = rare(
    r"\b(?:second|2nd|last|next)\s+(?:time|go|pass|round|way)\b"
    r"|\btime\s+(?:two|2)\b",
    re.IGNORECASE,
    cues=("time", "go", "pass", "round", "way"),
)
_LAST = rare(
    r"\b(?:last|final|end)\s+(?P<count>two\s+|2\s+)?(?:bars?|measures?|ones?)\b",
    re.IGNORECASE,
    cues=("last", "final", "end"),
)
_INSTEAD = rare(
    r"\b(?:this|these|instead|so)\b\W*$|\binstead\b|\bbecomes\b|\bbelow\b", re.IGNORECASE
)
_MOST = 2  # measures of such an ending


_WHICH_MEASURE = (
    rf"\b(?:(?P<word>{'|'.join(ORDINALS)})\s+(?:bar|measure)|(?:bar|measure)\s+(?P<n>\d{{1,2}}))\b"
    r"(?:(?!\b(?:bar|measure)\b)[^.;])"
)
_FIRST_TIME = rare(_WHICH_MEASURE + r"{0,40}\bfirst\s+time\b", re.IGNORECASE, cues=("time",))
_SECOND_TIME = rare(
    _WHICH_MEASURE + r"{0,40}\b(?:second|last)\s+time\b",
    re.IGNORECASE,
    cues=("time",),
)


def with_endings_by_number(
    measures: list[GridMeasure], notes: Sequence[FreeText], problems: ProblemList
) -> list[GridMeasure]:
    """The measures with the endings that words name by the numbers of measures: ``the fourth bar is
    for the first time, the fifth takes its place the second time``. They are counted in the part
    that the words name, or from the first."""
    result = list(measures)
    if len(notes) > MOST_NOTES:
        return result
    for note, after in zip_longest(notes, notes[1:]):
        text = _joined(note, after)
        first, second = _FIRST_TIME.search(text), _SECOND_TIME.search(text)
        if first is None or second is None or any(m.ending for m in result):
            continue
        begin = _named_part(text, result)
        one, two = (begin + _measure(match) - 1 for match in (first, second))
        if two != one + 1 or not begin < one < two < len(result):
            continue
        result[begin] = replace(result[begin], left=Bar.REPEAT_START)
        result[one] = replace(result[one], ending="1", right=Bar.REPEAT_END)
        result[two] = replace(result[two], ending="2")
        problems.add(
            kinds.TIMES,
            f"measure {one + 1} ends the first time and measure {two + 1} the second, as these "
            "words say; repeat bars and endings are added",
            note.place,
        )
    return result


def _joined(note: FreeText, after: FreeText | None) -> str:
    """A line of words with the one below it, where a sentence may go on there."""
    goes_on = after is not None and after.place.line == note.place.line + 1
    return f"{note.text} {after.text}" if goes_on and after is not None else note.text


def _measure(match: re.Match[str]) -> int:
    return int(match["n"]) if match["n"] else ORDINALS[match["word"].lower()]


def _named_part(text: str, measures: Sequence[GridMeasure]) -> int:
    """The first measure of the part whose name words have, 0 if they name none."""
    for measure in measures:
        if measure.section and re.search(rf"\b{re.escape(measure.section)}\b", text, re.IGNORECASE):
            return measure.index
    return 0


def with_other_last(
    measures: list[GridMeasure], notes: Sequence[FreeText], problems: ProblemList
) -> list[GridMeasure]:
    """The measures with a first and a second ending where words say that the second time has
    another end, and its rows stand right below."""
    result = list(measures)
    if len(notes) > MOST_NOTES:
        return result
    for note, after in zip_longest(notes, notes[1:]):
        text, here = _joined(note, after), note.before_measure
        last = _LAST.search(text) if here else None
        if last is None or not _SECOND.search(text) or not _INSTEAD.search(text):
            continue
        count = 2 if last["count"] else 1
        if here == len(result):  # the rows of the other end are those right above
            here = next(m.index for m in result if m.system == result[-1].system)
            if not here or len(result) - here != count:
                continue
        below = [m for m in result[here:] if m.system == result[here].system]
        plain = not any(m.ending or m.right is Bar.REPEAT_END for m in result)
        if len(below) > _MOST or here - count < 1 or not plain:
            continue
        result[here - count] = replace(result[here - count], ending="1")
        result[here - 1] = replace(result[here - 1], right=Bar.REPEAT_END)
        result[here] = replace(result[here], ending="2")
        problems.add(
            kinds.TIMES,
            f"measure {here} ends the first time and measure {here + 1} the second, as these "
            "words say; repeat bars and endings are added",
            note.place,
        )
    return result
