"""Bends, vibrato, notes that ring on and slides from and to nowhere: what stands beside one digit.

Lengths are in units.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from lxml import etree

from rollstave.score.records import Note
from rollstave.vocabulary.signs import techniques_of
from rollstave.vocabulary.technique import Technique
from rollstave.writing.fonts import CAP_HEIGHT
from rollstave.writing.frets import DIGIT_SIZE
from rollstave.writing.sheet.arcs import letter_over, open_arc
from rollstave.writing.sheet.bends import BEND_WIDE, bend_over_tab, bends_on_tab, held_as_one
from rollstave.writing.sheet.context import MarkContext, half_width
from rollstave.writing.sheet.drawing import number, path, shape
from rollstave.writing.sheet.edges import edge_on_tab, is_here
from rollstave.writing.sheet.icons import ICON, ICONS
from rollstave.writing.sheet.skyline import Box

_ICON_AIR = 30.0  # between a digit and an icon over it
_WAVE, _WAVE_AIR = 100.0, 25.0  # of vibrato: the length of a wave, and before the next digit


def draw_ornaments(context: MarkContext, layer: etree._Element) -> None:
    """What the table of techniques has for one note: its drawing, or its letter over the digit."""
    for notated, symbol, note, tied, name in context.heads():
        at = context.system.places.get(name)
        if at is None or context.system.tab is None:
            continue
        for row in techniques_of(note):
            if not is_here(context, row, notated, symbol):
                continue
            if drawing := DRAWINGS.get(row.drawing):
                struck = tuple(head.note for head in symbol.heads)
                beside = Beside(
                    note=note,
                    row=row,
                    x=at[0],
                    y=at[1],
                    half=half_width(note, tied),
                    struck=struck,
                    held=held_as_one(notated, symbol),
                )
                drawing(context, layer, beside)
            elif row.drawing:
                _icon(context, layer, row, at)
            else:
                letter_over(context, layer, row, at, half_width(note, tied))


class Beside(NamedTuple):
    """What an ornament is drawn beside: a note with the technique, the middle of its digits and
    half their width, all notes that are ``struck`` with it, and whether they are bent and
    ``held`` as one."""

    note: Note
    row: Technique
    x: float
    y: float
    half: float
    struck: tuple[Note, ...]
    held: bool


def _icon(
    context: MarkContext, layer: etree._Element, row: Technique, at: tuple[float, float]
) -> None:
    """The drawing that the key has for a technique, over the digit."""
    group = shape(layer, "g", class_=row.name.replace(" ", "-"))
    left, base = at[0] - ICON / 2, at[1] - CAP_HEIGHT / 2 * DIGIT_SIZE - _ICON_AIR
    ICONS[row.drawing](group, left, base)
    context.taken.add(Box(left, base - ICON, left + ICON, base))


def _edge(context: MarkContext, layer: etree._Element, beside: Beside) -> None:
    edge_on_tab(context, layer, beside.row, beside.x, beside.y, beside.half)


def _ring(context: MarkContext, layer: etree._Element, beside: Beside) -> None:
    past = BEND_WIDE if beside.note.bend is not None else 0.0  # the arrow of a bend
    context.taken.add(open_arc(layer, beside.x + beside.half + 20 + past, beside.y))


def _vibrato(context: MarkContext, layer: etree._Element, beside: Beside) -> None:
    """A wavy line beside a digit: shorter where the next digit of its line is near, higher where
    an arc leads there."""
    x, y = beside.x + beside.half, beside.y
    near = [b.left for b in context.taken.boxes if b.top < y < b.bottom and b.left > x]
    room = min(near, default=float("inf")) - x - _WAVE_AIR
    start = next((gap for gap in (45.0, 15.0) if room >= gap + _WAVE), 5.0)
    waves = 2 if room >= start + 2 * _WAVE else 1
    long = max(_WAVE / 2, min(_WAVE, room - start))
    quarter = f"{number(long / 4)}"
    for rise in (0.0, 50.0, 130.0):  # at last over a held digit in its brackets
        ground = Box(x + start, y - rise - 135, x + start + long * waves, y - rise - 60)
        # Brackets are taller than the digits that they hold.
        if context.taken.free(Box(ground.left, ground.top, ground.right, ground.bottom + 35)):
            break
    line = f" q{quarter} -50 {number(long / 2)} 0 q{quarter} 50 {number(long / 2)} 0" * waves
    at = f"M{number(ground.left)} {number(ground.top + 40)}"
    path(layer, f"{at}{line}", 20.0, class_="vibrato")
    context.taken.add(ground)


def _bend(context: MarkContext, layer: etree._Element, beside: Beside) -> None:
    """All bends of a chord, with the first of its strings that has one."""
    bent = [note for note in beside.struck if note.bend is not None]
    tab = context.system.tab
    if tab is None or beside.note.string != min(note.string for note in bent):
        return
    if beside.held and beside.note.bend and beside.note.string == 1:
        bend_over_tab(context, layer, beside.note.bend, (beside.x, beside.y))
        return
    bent.sort(key=lambda note: note.string)
    arrows = [(note.bend or 0, tab.heights[note.string - 1]) for note in bent]
    half = max(half_width(note) for note in bent)
    bends_on_tab(context, layer, arrows, beside.x + max(half, beside.half) + 20)


Draw = Callable[[MarkContext, etree._Element, Beside], None]
# The drawings beside one digit, by the names that the table of techniques has for them.
DRAWINGS: dict[str, Draw] = {"bend": _bend, "vibrato": _vibrato, "ring": _ring, "edge": _edge}
