"""A sheet of closed chord shapes: each shape a row, its places along the neck side by side."""

from __future__ import annotations

from collections.abc import Sequence

from lxml import etree

from rollstave.deciding.shape_names import heading
from rollstave.deciding.shapes import CAUTION, MovableShape
from rollstave.instruments.setup import Setup
from rollstave.writing.fonts import FAMILY_LIST, Style, face_rules
from rollstave.writing.options import Paper, SheetOptions
from rollstave.writing.sheet.chordrow import draw_shapes
from rollstave.writing.sheet.drawing import number, shape, text
from rollstave.writing.sheet.engraving import SVG
from rollstave.writing.xml import root_element

_SIDE, _TOP = 1_200.0, 1_200.0
_TITLE, _TEXT = 520.0, 310.0
_UNDER_TITLE, _UNDER_ROW = 700.0, 480.0
_A4 = SheetOptions().paper


def write_shape_sheet(shapes: Sequence[MovableShape], setup: Setup, paper: Paper = _A4) -> bytes:
    """The shapes as one SVG, as wide as the paper and as high as it needs."""
    root = root_element(f"{{{SVG}}}svg", {None: SVG})
    title = f"Movable shapes in {setup.tuning.written}"
    shape(root, "title").text = title
    body = shape(root, "g", font_family=FAMILY_LIST, fill="currentColor")
    left, right = _SIDE, paper.width - _SIDE
    y = _TOP + 400
    text(body, title, paper.width / 2, y, _TITLE)
    y += _UNDER_TITLE
    for movable in shapes:
        y += _TEXT
        text(body, heading(movable, setup), left, y, _TEXT, "start", Style.ITALIC)
        y = draw_shapes(body, movable.positions, setup.instrument, left, right, y + 160)
        y += _UNDER_ROW
    text(body, CAUTION, left, y + 100, _TEXT, "start")
    height = y + 100 + 900
    root.set("width", f"{paper.width / 100:.1f}mm")
    root.set("height", f"{height / 100:.1f}mm")
    root.set("viewBox", f"0 0 {paper.width} {number(height)}")
    root.set("role", "img")
    shape(root, "style").text = face_rules({Style.REGULAR, Style.ITALIC})
    return etree.tostring(root, xml_declaration=True, encoding="UTF-8")
