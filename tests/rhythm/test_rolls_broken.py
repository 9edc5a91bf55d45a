"""Rolls with a stroke held or replaced: which note is long.

The tune's roll is 4 2 5 2 1 2 3 2, a paired pattern (common practice, no source). A measure that
strikes 4 5 2 1 2 3 2 is that roll without its second note, so its first is long; a pinch in the
place of two strokes is long. Squeezed typing: only the order of the notes is shown.
"""

from __future__ import annotations

import pytest

from tests.rhythm.test_columns import LABELS, read, times

PAIRED = ("4", "2", "5", "2", "1", "2", "3", "2")


def squeezed(bars: list[tuple[str, ...]]) -> str:
    rows = [f"{label}|" for label in LABELS]
    for number, bar in enumerate(bars):
        cells = [["-"] * (2 * len(bar) + 1) for _ in range(5)]
        for index, strings in enumerate(bar):
            for string in strings:
                fret = 0 if string == "5" else number % 3 + (string == "1")
                cells[int(string) - 1][1 + 2 * index] = str(fret)
        rows = [row + "".join(cell) + "|" for row, cell in zip(rows, cells, strict=True)]
    return "\n".join(("Title: Ferry lane\nTuning: gDGBD\nTime: 4/4\n", *rows)) + "\n"


@pytest.mark.quick
def test_a_stroke_left_out_makes_the_note_before_it_long() -> None:
    bars = [PAIRED] * 4 + [("4", "5", "2", "1", "2", "3", "2")] + [PAIRED] * 4
    found = read(squeezed(bars), "4/4").measures[4]
    assert found.onsets == times("0 1 3/2 2 5/2 3 7/2")
    assert any("with its second note left out" in reason for reason in found.reasons)


@pytest.mark.quick
def test_a_pinch_for_two_strokes_is_long() -> None:
    bars = [PAIRED] * 4 + [("4", "2", "5", "2", "15", "3", "2")] + [PAIRED] * 4
    found = read(squeezed(bars), "4/4").measures[4]
    assert found.onsets == times("0 1/2 1 3/2 2 3 7/2")
