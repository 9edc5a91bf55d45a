"""Chord shapes over the music: one at each change of chord or of position, its name above it."""

from __future__ import annotations

from collections.abc import Sequence

from lxml import etree

from rollstave.deciding.shape_use import ShapeAt
from rollstave.writing.sheet.context import MarkContext
from rollstave.writing.sheet.diagram import HEIGHT, SIDE, draw_diagram, width_of
from rollstave.writing.sheet.skyline import Box

_GAP = 90.0  # between what stands under the shapes and their finger numbers
_ROW_GAP = 160.0  # between two rows of shapes


def draw_shapes_over(
    context: MarkContext, layer: etree._Element, changes: Sequence[tuple[float, ShapeAt]]
) -> None:
    """Draw the changes of a system, each with the x of its note in units. Where two would touch,
    the later one stands in a row further up, so that none is left out."""
    system, instrument = context.system, context.score.setup.instrument
    width = width_of(instrument)
    edges: list[float] = []
    placed: list[tuple[int, float, ShapeAt]] = []
    for x, change in changes:
        at = max(min(x - SIDE, system.first.right - width), system.first.left)
        row = next((r for r, edge in enumerate(edges) if edge <= at), len(edges))
        edges[row : row + 1] = [at + width]
        placed.append((row, at, change))
    if not placed:
        return
    floor = min(
        system.drawn.ceiling(at, at + width, system.first.heights[0]) for _, at, _ in placed
    )
    for row, at, change in placed:
        top = floor - _GAP - HEIGHT - row * (HEIGHT + _ROW_GAP)
        draw_diagram(layer, change.shape, instrument, at, top, leaving=change.leaving)
        system.take(Box(at, top, at + width, top + HEIGHT))
