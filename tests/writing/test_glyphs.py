"""How far a glyph reaches, beside what fontTools reads in the same path."""

from __future__ import annotations

import random

import pytest
from fontTools.pens.boundsPen import ControlBoundsPen
from fontTools.svgLib.path import parse_path

from rollstave.writing.sheet.glyphs import outline_box


def path(seed: int) -> str:
    """A path of lines and curves, each command with its letter, absolute and relative."""
    choose = random.Random(seed)

    def numbers(count: int) -> str:
        return " ".join(str(choose.randint(-400, 400)) for _ in range(count))

    words = []
    for _ in range(3):  # outlines; the letter that closes one leads back to where it began
        words.append(f"{choose.choice('Mm')}{numbers(2)}")
        for _ in range(6):
            command, count = choose.choice([("l", 2), ("h", 1), ("v", 1), ("c", 6), ("q", 4)])
            words.append(f"{choose.choice([command, command.upper()])}{numbers(count)}")
        words.append(choose.choice("Zz"))
    return " ".join(words)


@pytest.mark.parametrize("seed", range(60))
def test_a_box_holds_the_points_that_fonttools_reads(seed: int) -> None:
    data = path(seed)
    pen = ControlBoundsPen(None)
    parse_path(data, pen)
    assert outline_box(data) == pytest.approx(pen.bounds)


def test_numbers_as_svg_writes_them() -> None:
    # SVG 1.1, 8.3: a letter may hold for several points, and after M they are those of lines.
    assert outline_box("M10-20 30 .5-1.5e1,2") == (-15.0, -20.0, 30.0, 2.0)
    assert outline_box("m1 1 2 2 2 2") == (1.0, 1.0, 5.0, 5.0)
    assert outline_box("") == (0.0, 0.0, 0.0, 0.0)
