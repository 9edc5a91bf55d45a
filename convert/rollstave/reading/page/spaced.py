"""Files whose every line has empty lines behind it, as some programs double all line ends."""

from __future__ import annotations

from collections import Counter
from itertools import pairwise

from rollstave.reading.state import ReadingState

_FEWEST_LINES = 10
_MOST_GAP = 3  # empty lines that a program puts behind each line
_FIRST = 8  # lines, one of which is empty at least
_CLOSER = 0.04  # of the lines may follow each other closer: a signature that came later


def spaced_lines(state: ReadingState) -> None:
    """Take out the empty lines that stand behind every line, and leave those that were typed.

    With so many behind each line, an empty line that was typed has as many before it and behind:
    what stands between two words is then once more as long, and one line.
    """
    lines = state.lines
    if all(line.text.strip() for line in lines[:_FIRST]):
        return
    typed = [index for index, line in enumerate(lines) if not line.blank]
    if len(typed) < _FEWEST_LINES:
        return
    gaps = [b - a - 1 for a, b in pairwise(typed)]
    found = Counter(gaps)
    gap = next(
        (
            size
            for size in range(_MOST_GAP, 0, -1)
            if sum(n for length, n in found.items() if length < size) <= _CLOSER * len(gaps)
            and 4 * found[size] >= len(gaps)
        ),
        0,
    )
    if not gap:
        return
    kept = lines[: typed[0]]
    for (index, after), blanks in zip(pairwise(typed), gaps, strict=True):
        kept.append(lines[index])
        left = max(0, blanks - gap)
        kept.extend(lines[index + 1 : after][: -(-left // (gap + 1))])
    state.lines = [*kept, *lines[typed[-1] :]]
