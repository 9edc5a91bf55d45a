"""Words for another last measure: ``then once more from the top, but the last bar of the second go
is this:``. Common practice, no source.

The measure above the words is the end of the first pass, and the rows below them that of the
second.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from msgspec.structs import replace

from rollstave.grid.typed import Bar, FreeText, GridMeasure
from rollstave.patterns import rare
from rollstave.problems import ProblemList
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


def with_other_last(
    measures: list[GridMeasure], notes: Sequence[FreeText], problems: ProblemList
) -> list[GridMeasure]:
    """The measures with a first and a second ending where words say that the second time has
    another end, and its rows stand right below."""
    result = list(measures)
    for note in notes:
        here = note.before_measure
        last = _LAST.search(note.text) if 0 < here < len(result) else None
        if last is None or not _SECOND.search(note.text) or not _INSTEAD.search(note.text):
            continue
        count = 2 if last["count"] else 1
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
