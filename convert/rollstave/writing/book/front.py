"""Pages of a book that are no tune: its chord shapes by tuning, and the key to its signs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lxml import etree

from rollstave.deciding.shape_row import shape_row
from rollstave.deciding.shapes import CAUTION, NamedShape
from rollstave.instruments.instrument import Instrument
from rollstave.writing.book.plan import Entry
from rollstave.writing.fonts import FAMILY_LIST, Style
from rollstave.writing.options import SheetOptions
from rollstave.writing.sheet.chordrow import draw_shapes
from rollstave.writing.sheet.diagram import HEIGHT, width_of
from rollstave.writing.sheet.drawing import shape, text
from rollstave.writing.sheet.engraving import SVG
from rollstave.writing.sheet.key import SIGNS, Sign, draw_key_line, features
from rollstave.writing.xml import root_element

_SIDE, _TOP, _BOTTOM = 2_200.0, 2_400.0, 2_600.0  # margins, in units
_TITLE, _HEADING, _TEXT = 780.0, 400.0, 330.0
_LINE = 620.0  # between two signs
_ROW = HEIGHT + 250.0
_SUGGESTED = (
    "Letters, chord names and names of shapes in italics are suggestions;",
    "so are the fingers of the chord shapes.",
)
_ABOVE_GROUP, _UNDER_HEADING = 500.0, 200.0


class _Pages:
    """Pages that are filled from the top; a new one begins where something does not fit."""

    def __init__(self, title: str, options: SheetOptions) -> None:
        self.paper = options.paper
        self.title = title
        self.done: list[etree._Element] = []
        self._begin()

    def _begin(self) -> None:
        root = root_element(f"{{{SVG}}}svg", {None: SVG})
        root.set("width", f"{self.paper.width / 100:.1f}mm")
        root.set("height", f"{self.paper.height / 100:.1f}mm")
        root.set("viewBox", f"0 0 {self.paper.width} {self.paper.height}")
        self.body = shape(root, "g", font_family=FAMILY_LIST, fill="currentColor")
        self.y = _TOP
        if not self.done:
            text(self.body, self.title, _SIDE, self.y + _TITLE, _TITLE, "start")
            self.y += 2 * _TITLE
        self.done.append(root)

    @property
    def right(self) -> float:
        return self.paper.width - _SIDE

    def room_for(self, height: float) -> None:
        """Begin a new page if there is less room than ``height``."""
        if self.y + height > self.paper.height - _BOTTOM:
            self._begin()

    def svgs(self) -> list[bytes]:
        return [etree.tostring(page, xml_declaration=True, encoding="UTF-8") for page in self.done]


def chord_pages(entries: Sequence[Entry], options: SheetOptions) -> list[bytes]:
    """The shapes of all tunes as SVG pages, each once, under the tuning they belong to; none where
    no tune has chords."""
    groups = list(_shapes(entries))
    if not groups:
        return []
    pages = _Pages("Chord shapes", options)
    for name, instrument, shapes in groups:
        each = int((pages.right - _SIDE) // (width_of(instrument) + 150.0))
        pages.room_for(_ABOVE_GROUP + _HEADING + _ROW)
        pages.y += _ABOVE_GROUP + _HEADING
        text(pages.body, name, _SIDE, pages.y, _HEADING, "start", Style.BOLD)
        pages.y += _UNDER_HEADING
        for start in range(0, len(shapes), each):
            pages.room_for(_ROW)
            row = shapes[start : start + each]
            draw_shapes(pages.body, row, instrument, _SIDE, pages.right, pages.y)
            pages.y += _ROW
    pages.room_for(_ABOVE_GROUP + _TEXT)
    pages.y += _ABOVE_GROUP
    text(pages.body, CAUTION, _SIDE, pages.y, 285.0, "start", Style.ITALIC)
    return pages.svgs()


def _shapes(entries: Sequence[Entry]) -> Iterator[tuple[str, Instrument, list[NamedShape]]]:
    """Tunings with their shapes, sorted by name and then from low to high."""
    found: dict[str, dict[NamedShape, None]] = {}
    instruments: dict[str, Instrument] = {}
    for entry in entries:
        setup = entry.score.setup
        capo = f", capo {setup.capo}" if setup.capo else ""
        name = entry.tuning + capo
        instruments[name] = setup.instrument
        found.setdefault(name, {}).update(dict.fromkeys(shape_row(entry.score)))
    for name, shapes in found.items():
        if shapes:
            ordered = sorted(shapes, key=lambda s: (s.name, s.lowest, str(s.frets)))
            yield name, instruments[name], ordered


def sign_pages(entries: Sequence[Entry], options: SheetOptions) -> list[bytes]:
    """What the signs of all tunes mean, as SVG pages; none where no tune has any."""
    used = set().union(*(features(entry.score, options) for entry in entries))
    signs: list[Sign] = [sign for sign in SIGNS if sign.feature in used]
    if not signs:
        return []
    pages = _Pages("Signs", options)
    for sign in signs:
        pages.room_for(_LINE)
        pages.y += _LINE
        draw_key_line(pages.body, [sign], _SIDE, pages.y, _TEXT)
    for line in _SUGGESTED:
        pages.room_for(_LINE)
        pages.y += _LINE
        text(pages.body, line, _SIDE, pages.y, _TEXT, "start", Style.ITALIC)
    return pages.svgs()
