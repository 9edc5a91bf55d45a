"""Drawing on an SVG with lxml: lines, texts, paths, all with plain attributes."""

from __future__ import annotations

from lxml import etree

from rollstave.writing.sheet.engraving import SVG
from rollstave.writing.xml import clean


def number(value: float) -> str:
    """A coordinate, to a tenth of a unit, without trailing zeros."""
    return f"{value:.1f}".rstrip("0").rstrip(".")


def shape(parent: etree._Element, tag: str, **attributes: object) -> etree._Element:
    """Append an SVG element; ``_`` in names stands for ``-``, floats are rounded."""
    return etree.SubElement(
        parent,
        f"{{{SVG}}}{tag}",
        {
            name.rstrip("_").replace("_", "-"): (
                number(value) if isinstance(value, float) else clean(str(value))
            )
            for name, value in attributes.items()
            if value is not None
        },
    )


def text(
    parent: etree._Element,
    words: str,
    x: float,
    y: float,
    size: float,
    anchor: str = "middle",
    **attributes: object,
) -> etree._Element:
    """Append a text: its anchor at x, its base line at y, its size in units."""
    element = shape(
        parent,
        "text",
        x=float(x),
        y=float(y),
        text_anchor=anchor,
        font_size=float(size),
        **attributes,
    )
    element.text = clean(words)
    return element


def path(parent: etree._Element, data: str, width: float = 22.0, **attributes: object) -> None:
    """Append a stroked path without a fill."""
    shape(
        parent,
        "path",
        d=data,
        fill="none",
        stroke="currentColor",
        stroke_width=float(width),
        stroke_linecap="round",
        **attributes,
    )
