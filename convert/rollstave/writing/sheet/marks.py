"""What a tab needs and Verovio does not draw: lines around the digits, signs, letters.

``MARKS`` is the table: each entry draws one kind of mark on one system, and the order is that of
drawing, since a later mark keeps clear of the earlier ones. Lengths are in units of the
engraving; a space between two tab lines is 315 of them.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

from lxml import etree

from rollstave.notating.notation import NotatedMeasure, Symbol
from rollstave.score.letters import finger_letters
from rollstave.score.records import Note
from rollstave.vocabulary.hands import STROKES
from rollstave.writing.fonts import CAP_HEIGHT, Style, text_width
from rollstave.writing.frets import DIGIT_SIZE, GRACE_SIZE, digits
from rollstave.writing.others import OtherMarks
from rollstave.writing.sheet.above import draw_above
from rollstave.writing.sheet.arcs import draw_links, draw_ties, short_slides
from rollstave.writing.sheet.bends import draw_staff_bends
from rollstave.writing.sheet.canvas import SheetCanvas
from rollstave.writing.sheet.cautions import draw_cautions
from rollstave.writing.sheet.context import BRUSH_OFFSET, MarkContext, half_width, tab_id
from rollstave.writing.sheet.drawing import number, path, shape, text
from rollstave.writing.sheet.edges import draw_staff_edges
from rollstave.writing.sheet.engraving import FRET_STYLE, SVG
from rollstave.writing.sheet.graces import draw_graces, place_grace_digits
from rollstave.writing.sheet.icons import ICON, ICONS
from rollstave.writing.sheet.lyrics import draw_lyrics_under_tab, settle_lyrics
from rollstave.writing.sheet.ornaments import draw_ornaments
from rollstave.writing.sheet.skyline import Box
from rollstave.writing.sheet.slides import draw_staff_slides
from rollstave.writing.sheet.unsure import draw_unsure

LETTER_SIZE = 328.0
_LETTER_GAP = 190.0  # between what hangs lowest under the tab and the top of the letters
_BRACKET_TALL = 0.46  # how far brackets reach from the line, as a share of their size
_DIGIT_AIR = 32.0  # between a digit and the end of the line it stands on
_TAB_LINE = 15.0
_BRUSH_TIP, _BRUSH_BOW = 135, 42.0  # of the arrow of a brush
_DOT, _DOT_DROP, _DOT_UNDER_BEAM = 34.0, 45.0, 175.0  # of augmentation, from the stem's top
_DOT_AFTER_STEM, _DOT_AFTER_FLAG = 85.0, 260.0
_ROW = 0.95  # from a letter to the one under it, in its size
_LEFT_SIZE, _LEFT_GAP = 265.0, 170.0  # finger numbers of the left hand, under the letters


def _digits_and_lines(context: MarkContext, layer: etree._Element) -> None:
    """Write what stands on the lines, and draw the lines around it."""
    system = context.system
    tab = system.tab
    if tab is None:
        return
    gaps: dict[float, list[tuple[float, float]]] = {height: [] for height in tab.heights}
    for _, _, note, tied, name in context.heads():
        element, at = system.texts.get(name), system.places.get(name)
        if element is None or at is None:
            continue
        shown = digits(note, tied)
        if element.text != shown:
            element.text = shown
        half = text_width(shown, DIGIT_SIZE, FRET_STYLE) / 2
        # Brackets are taller than the digits in them.
        tall = (CAP_HEIGHT / 2 if shown.isalnum() else _BRACKET_TALL) * DIGIT_SIZE
        gaps[at[1]].append((at[0] - half - _DIGIT_AIR, at[0] + half + _DIGIT_AIR))
        context.taken.add(Box(at[0] - half, at[1] - tall, at[0] + half, at[1] + tall))
    for x, y, half in place_grace_digits(context):
        tall = CAP_HEIGHT / 2 * GRACE_SIZE
        gaps[y].append((x - half - _DIGIT_AIR / 2, x + half + _DIGIT_AIR / 2))
        context.taken.add(Box(x - half, y - tall, x + half, y + tall))
    context.figures.boxes.extend(context.taken.boxes)
    for left, right, height in short_slides(context):
        gaps[height].append((left, right))
    for height, holes in gaps.items():
        x = tab.left
        pieces = []
        for left, right in sorted(holes):
            if left > x:
                pieces.append(f"M{number(x)} {number(height)}H{number(left)}")
            x = max(x, right)
        pieces.append(f"M{number(x)} {number(height)}H{number(tab.right)}")
        shape(
            layer,
            "path",
            d="".join(pieces),
            fill="none",
            stroke="currentColor",
            stroke_width=_TAB_LINE,
            class_="line",
        )
    # The lines belong under everything else.
    context.system.element.insert(0, layer)


def _dots(context: MarkContext, layer: etree._Element) -> None:
    """Augmentation dots of the tab stand beside the head of the stem, clear of its beams; nothing
    is drawn on the layer."""
    dotted: dict[etree._Element, list[etree._Element]] = {}
    for dot in context.system.element.iter(f"{{{SVG}}}ellipse"):
        if (holder := dot.getparent()) is not None and holder.get("class") == "tabDurSym":
            dotted.setdefault(holder, []).append(dot)
    for group, dots in dotted.items():
        stem = group.find(f"{{{SVG}}}g[@class='stem']/{{{SVG}}}path")
        if stem is None:
            continue
        points = [float(n) for n in re.findall(r"-?\d+(?:\.\d+)?", stem.get("d", ""))]
        x, top, away = points[0], min(points[1], points[3]), -1
        if context.system.tab is not None and top > context.system.tab.heights[-1]:
            top, away = max(points[1], points[3]), 1  # the stem of a second voice
        beamed = any(a.get("class") == "beam" for a in group.iterancestors())
        flagged = group.find(f".//{{{SVG}}}use") is not None
        drop = _DOT_UNDER_BEAM if beamed else _DOT_DROP
        for position, dot in enumerate(dots):
            dot.set("rx", number(_DOT))
            dot.set("ry", number(_DOT))
            right = _DOT_AFTER_FLAG if flagged else _DOT_AFTER_STEM
            dot.set("cx", number(x + right + position * 3 * _DOT))
            dot.set("cy", number(top - away * drop))


def _struck(notated: NotatedMeasure) -> Iterator[tuple[Symbol, tuple[Note, ...]]]:
    """The first symbol of each event of a measure, and all notes that are struck with it, in
    whatever voices they are."""
    for symbol in notated.symbols:
        if symbol.part == 0 and not symbol.is_rest:
            notes = notated.measure.events[symbol.event_index].notes
            if symbol.only_string == notes[0].string:
                yield symbol, notes


def _letters(context: MarkContext, layer: etree._Element) -> None:
    """Picking letters on one line under the tab, inferred ones in italics."""
    system = context.system
    if system.tab is None:
        return
    # Under the stems, which hang under the tab.
    bottom = max(system.tab.heights[-1] + CAP_HEIGHT / 2 * DIGIT_SIZE, system.bottom)
    base = bottom + _LETTER_GAP + CAP_HEIGHT * LETTER_SIZE
    if _strokes(context, layer, base):
        base += LETTER_SIZE * _ROW
    letters = finger_letters(context.score)
    for notated in context.notated:
        for symbol, struck in _struck(notated):
            fingers = [note for note in struck if note.finger]
            at = system.places.get(tab_id(notated, symbol, struck[0])) if fingers else None
            if at is None:
                continue
            # One letter under a brush; a pinch has its letters one under the other, thumb last.
            names = list(dict.fromkeys(letters[n.finger] for n in fingers if n.finger))
            inferred = all(n.inferred_finger for n in fingers)
            for row, name in enumerate(names):
                box = text(
                    layer,
                    name,
                    at[0],
                    base + row * LETTER_SIZE * _ROW,
                    LETTER_SIZE,
                    style=Style.ITALIC if inferred else Style.REGULAR,
                    class_="finger inferred" if inferred else "finger",
                )
                system.bottom = max(system.bottom, box.bottom)
                context.taken.add(box)


def _strokes(context: MarkContext, layer: etree._Element, base: float) -> bool:
    """The signs of down-strokes and up-strokes on one line under the tab, and whether any are."""
    system, any_drawn = context.system, False
    for notated in context.notated:
        for symbol, struck in _struck(notated):
            event = notated.measure.events[symbol.event_index]
            rows = [row for row in STROKES if getattr(event, row.field)]
            at = system.places.get(tab_id(notated, symbol, struck[0])) if rows else None
            if at is None:
                continue
            group = etree.SubElement(layer, "g", {"class": rows[0].name})
            ICONS[rows[0].name](group, at[0] - ICON / 2, base)
            box = Box(at[0] - ICON / 2, base - ICON, at[0] + ICON / 2, base)
            system.bottom = max(system.bottom, box.bottom)
            context.taken.add(box)
            any_drawn = True
    return any_drawn


def _left_fingers(context: MarkContext, layer: etree._Element) -> None:
    """Finger numbers of the left hand, where they are written: on one line under the letters,
    those of a chord one under the other as its strings are."""
    system = context.system
    if system.tab is None:
        return
    first = system.bottom + _LEFT_GAP + CAP_HEIGHT * _LEFT_SIZE
    for notated in context.notated:
        for symbol, struck in _struck(notated):
            held = [note for note in struck if note.left_finger]
            at = system.places.get(tab_id(notated, symbol, held[0])) if held else None
            if at is None:
                continue
            for row, note in enumerate(held):
                base = first + row * _LEFT_SIZE * 0.95
                words = str(note.left_finger)
                box = text(layer, words, at[0], base, _LEFT_SIZE, class_="left-finger written")
                system.bottom = max(system.bottom, box.bottom)
                context.taken.add(box)


def _brushes(context: MarkContext, layer: etree._Element) -> None:
    """A brush: an arrow beside the digits, from the lowest line struck to the highest."""
    for notated in context.notated:
        for symbol, struck in _struck(notated):
            if not notated.measure.events[symbol.event_index].brush:
                continue
            named = [(note, tab_id(notated, symbol, note)) for note in struck]
            found = [
                (*context.system.places[name], half_width(note))
                for note, name in named
                if name in context.system.places
            ]
            if not found or context.system.tab is None:
                continue
            x = found[0][0] - max(f[2] for f in found) - BRUSH_OFFSET
            low, high = max(p[1] for p in found) + 70, min(p[1] for p in found) - 125
            # A bent shaft and a large head: a straight line would be taken for a bar line.
            neck = high + _BRUSH_TIP - 25
            path(
                layer,
                f"M{number(x)} {number(low)} Q{number(x - 2 * _BRUSH_BOW)} "
                f"{number((low + neck) / 2)} {number(x)} {number(neck)}",
                20.0,
                class_="brush",
            )
            shape(
                layer,
                "path",
                class_="brush",
                fill="currentColor",
                d=f"M{number(x)} {number(high)} l52 {_BRUSH_TIP} l-52 -32 l-52 32 Z",
            )
            context.taken.add(Box(x - 52, high, x + 52, low))


Draw = Callable[[MarkContext, etree._Element], None]


MARKS: tuple[tuple[str, Draw], ...] = (
    ("unsure", draw_unsure),
    ("lyrics", settle_lyrics),
    ("cautions", draw_cautions),
    ("lines", _digits_and_lines),
    ("dots", _dots),
    ("graces", draw_graces),
    ("slides", draw_staff_slides),
    ("bends", draw_staff_bends),
    ("edges", draw_staff_edges),
    ("brushes", _brushes),
    ("ties", draw_ties),
    ("links", draw_links),
    ("ornaments", draw_ornaments),
    ("letters", _letters),
    ("left hand", _left_fingers),
    ("words", draw_lyrics_under_tab),
    ("above", draw_above),
)


def draw_marks(context: MarkContext, others: OtherMarks) -> None:
    """Draw every kind of mark onto one system, each kind in a layer of its own: first ours, then
    those of ``others``. A layer on which nothing was drawn, or drawing failed, is taken away."""
    system = context.system.element
    for name, draw in MARKS:
        layer = shape(system, "g", class_=f"marks {slug(name)}")
        draw(context, layer)
        if len(layer) == 0:
            system.remove(layer)
    for mark in others():
        layer = shape(system, "g", class_=f"marks {slug(mark.name)}")
        if not mark.draw(SheetCanvas(context, layer)) or len(layer) == 0:
            system.remove(layer)


def slug(name: str) -> str:
    """A mark's name as a class of SVG."""
    return re.sub(r"[^\w]+", "-", name)
