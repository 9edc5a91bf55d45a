"""The words of counts, and which measure each belongs to where their line has slid."""

from __future__ import annotations

from collections.abc import Sequence

from rollstave.grid.typed import GridMeasure, LineKind

Counts = list[tuple[int, str]]  # characters from the bar line, and words
# Words for the thirds of a beat after its number (common practice, no source).
FIRST_THIRDS, SECOND_THIRDS = ("trip", "tri", "t", "la"), ("let", "plet", "l", "li", "lee")
_HIGHEST = 16  # beats that anybody counts in a measure


def highest_alone(measures: Sequence[GridMeasure]) -> int:
    """The highest beat that is counted, as far as single digits tell: who counts to ten has counted
    to nine before."""
    digits = {a.text for m in measures for a in m.attached(LineKind.COUNTS) if len(a.text) == 1}
    return _HIGHEST if "9" in digits else 9


def apart(text: str, highest: int) -> Sequence[str]:
    """A word of the counts; two numbers that touch are two words."""
    return text if text.isdecimal() and int(text) > highest else (text,)


def sort_counts(measures: Sequence[GridMeasure], opens: Sequence[bool]) -> list[Counts]:
    """The counts of each measure. Where the line has drifted over a bar line, what stands before
    a "1" in the middle of a strain belongs to the measure before, and a "1" after other counts,
    with what follows it, to the next."""
    found: list[Counts] = []
    highest = highest_alone(measures)
    for measure, first in zip(measures, opens, strict=True):
        attached = list(measure.attached(LineKind.COUNTS))
        if first:
            # Before the bar line of a strain stands what is said of the one before.
            attached = [a for a in attached if a.position >= 0 or a.column is not None]
        counts = [
            (a.position + index, word)
            for a in attached
            for index, word in enumerate(apart(a.text, highest))
        ]
        found.append(sorted(counts))
    for index, counts in enumerate(found):
        ones = [i for i, (_, text) in enumerate(counts) if text == "1"]
        if not ones:
            continue
        if _is_of_pickup(found, opens, index, ones):
            width = measures[index - 1].width + 1
            found[index - 1] += [(at + width, text) for at, text in counts[: ones[1]]]
            found[index] = counts[ones[1] :]
            continue
        wants = index and (not opens[index] or _lacks(measures[index - 1], found[index - 1]))
        if wants and ones[0] and _goes_on(found[index - 1], counts[0][1]):
            width = measures[index - 1].width + 1
            found[index - 1] += [(at + width, text) for at, text in counts[: ones[0]]]
            counts, ones = counts[ones[0] :], [one - ones[0] for one in ones]
        after = index + 1 < len(found) and not _is_whole(measures[index + 1], found[index + 1])
        if ones[-1] and after and (len(ones) > 1 or counts[0][1].isdecimal()):
            width = measures[index].width + 1
            found[index + 1][:0] = [(at - width, text) for at, text in counts[ones[-1] :]]
        start = ones[0] if not opens[index] or len(ones) > 1 else 0
        stop = ones[-1] if ones[-1] > start else len(counts)
        found[index] = counts[start:stop]
    return found


def _is_of_pickup(
    found: Sequence[Counts], opens: Sequence[bool], index: int, ones: Sequence[int]
) -> bool:
    """Whether the first of the two times that a measure begins to be counted is that of a pickup,
    under which nothing stands: it slid over the bar line, and the second goes on from there."""
    return bool(
        index
        and opens[index - 1]
        and not found[index - 1]
        and len(ones) == 2
        and found[index][ones[0]][0] <= 0 < found[index][ones[1]][0]
    )


def _lacks(measure: GridMeasure, counts: Counts) -> bool:
    """Whether a measure has fewer counts than notes."""
    return 0 < len(counts) < len(measure.columns)


def _is_whole(measure: GridMeasure, counts: Counts) -> bool:
    """Whether a measure has a count for each note, and they begin it."""
    return counts[:1] != [] and counts[0][1] == "1" and len(counts) >= len(measure.columns)


def _goes_on(before: Counts, word: str) -> bool:
    """Whether a word before a "1" counts on from what is counted of the measure before."""
    if not word.isdecimal():
        return True
    numbers = [int(text) for _, text in before if text.isdecimal()]
    return bool(numbers) and numbers[-1] < int(word)
