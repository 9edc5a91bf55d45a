"""Syllables: centred under their notes, pushed apart where they would touch."""

from __future__ import annotations

from lxml import etree

from rollstave.writing.fonts import text_width
from rollstave.writing.sheet.context import MarkContext
from rollstave.writing.sheet.drawing import number, text_box
from rollstave.writing.sheet.engraving import LYRIC_SIZE

_GAP = 75.0  # between two words, in units
_BAR_GAP = 50.0  # between a bar line and a word


def settle_lyrics(context: MarkContext, layer: etree._Element) -> None:
    """Move the syllables that Verovio set; nothing is drawn on the layer.

    Each is centred under its note, but stays in its measure where there is room, and then they
    are pushed to the right from the left, and back to the left from the end of the line.
    """
    system = context.system
    rows: dict[str, list[tuple[float, etree._Element]]] = {}
    for element, middle in system.lyrics:
        rows.setdefault(element.get("y", ""), []).append((middle, element))
    for row in rows.values():
        row.sort(key=lambda item: item[0])
        widths = [text_width(e.text or "", LYRIC_SIZE) for _, e in row]
        lefts = [
            _in_measure(context, middle, middle - width / 2)
            for (middle, _), width in zip(row, widths, strict=True)
        ]
        for i in range(1, len(row)):
            lefts[i] = max(lefts[i], lefts[i - 1] + widths[i - 1] + _GAP)
        edge = system.first.right
        for i in range(len(row) - 1, -1, -1):
            lefts[i] = min(lefts[i], edge - widths[i])
            edge = lefts[i] - _GAP
        for (_, element), left in zip(row, lefts, strict=True):
            element.set("x", number(left))
            if "text-anchor" in element.attrib:
                del element.attrib["text-anchor"]
            element.set("class", "lyric")
            y = float(element.get("y", "0"))
            system.take(text_box(element.text or "", left, y, LYRIC_SIZE, "start"))


def _in_measure(context: MarkContext, middle: float, left: float) -> float:
    """A left edge that does not reach over the bar line before the note."""
    for start, end in context.system.spans.values():
        if start <= middle < end:
            return max(left, min(start + _BAR_GAP, middle))
    return left
