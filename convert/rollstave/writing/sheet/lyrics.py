"""Syllables: centred under their notes, pushed apart where they would touch."""

from __future__ import annotations

from lxml import etree

from rollstave.writing.fonts import CAP_HEIGHT, text_width
from rollstave.writing.sheet.context import MarkContext, tab_id
from rollstave.writing.sheet.drawing import number, text, text_box
from rollstave.writing.sheet.engraving import LYRIC_SIZE

_GAP = 75.0  # between two words, in units
_UNDER_LETTERS = 150.0  # between the picking letters and the words of a tab without a staff
_BAR_GAP = 50.0  # between a bar line and a word


def settle_lyrics(context: MarkContext, layer: etree._Element) -> None:
    """Move the syllables that Verovio set; nothing is drawn on the layer."""
    rows: dict[str, list[tuple[float, etree._Element]]] = {}
    for element, middle in context.system.lyrics:
        rows.setdefault(element.get("y", ""), []).append((middle, element))
    for row in rows.values():
        row.sort(key=lambda item: item[0])
        words = [(middle, element.text or "") for middle, element in row]
        for (_, element), left in zip(row, _lefts(context, words), strict=True):
            element.set("x", number(left))
            if "text-anchor" in element.attrib:
                del element.attrib["text-anchor"]
            element.set("class", "lyric")
            y = float(element.get("y", "0"))
            context.system.take(text_box(element.text or "", left, y, LYRIC_SIZE, "start"))


def draw_lyrics_under_tab(context: MarkContext, layer: etree._Element) -> None:
    """The syllables of a sheet without a staff, in one line under the picking letters."""
    system = context.system
    if system.staff is not None:
        return
    words: list[tuple[float, str]] = []
    for notated in context.notated:
        for symbol in notated.symbols:
            lyric = notated.measure.events[symbol.event_index].lyric
            if not lyric or symbol.part or not symbol.heads:
                continue
            name = tab_id(notated, symbol, symbol.heads[0].note)
            if name in system.places:
                words.append((system.places[name][0], lyric))
    base = system.bottom + _UNDER_LETTERS + CAP_HEIGHT * LYRIC_SIZE
    for (_, lyric), left in zip(words, _lefts(context, words), strict=True):
        system.take(text(layer, lyric, left, base, LYRIC_SIZE, "start", class_="lyric"))


def _lefts(context: MarkContext, words: list[tuple[float, str]]) -> list[float]:
    """The left edges of syllables, given as the middle of their note and their text.

    Each is centred under its note, but stays in its measure where there is room, and then they
    are pushed to the right from the left, and back to the left from the end of the line.
    """
    widths = [text_width(lyric, LYRIC_SIZE) for _, lyric in words]
    lefts = [
        _in_measure(context, middle, middle - width / 2)
        for (middle, _), width in zip(words, widths, strict=True)
    ]
    for i in range(1, len(words)):
        lefts[i] = max(lefts[i], lefts[i - 1] + widths[i - 1] + _GAP)
    edge = context.system.first.right
    for i in range(len(words) - 1, -1, -1):
        lefts[i] = min(lefts[i], edge - widths[i])
        edge = lefts[i] - _GAP
    return lefts


def _in_measure(context: MarkContext, middle: float, left: float) -> float:
    """A left edge that does not reach over the bar line before the note."""
    for start, end in context.system.spans.values():
        if start <= middle < end:
            return max(left, min(start + _BAR_GAP, middle))
    return left
