"""Drawing on an SVG with lxml: lines, texts, paths, all with plain attributes."""

from __future__ import annotations

import re
from functools import lru_cache

from lxml import etree

from rollstave.writing.fonts import CAP_HEIGHT, DESCENT, Style, text_width
from rollstave.writing.sheet.engraving import SVG
from rollstave.writing.sheet.skyline import Box
from rollstave.writing.xml import clean

_TEXT = f"{{{SVG}}}text"
_STYLES: dict[Style, dict[str, str]] = {
    Style.REGULAR: {},
    Style.SEMIBOLD: {"font-weight": "600"},
    Style.BOLD: {"font-weight": "700"},
    Style.ITALIC: {"font-style": "italic"},
}
_DEEP = frozenset("gjpqyQ,;()[]/")
_ANCHORS = {"start": 0.0, "middle": 0.5, "end": 1.0}
# Signs that a typist writes with letters, as a printer sets them.
# After the letter of a note, and before an altered degree of a chord: m7b5, 7#9.
_FLAT = re.compile(r"(?<=[A-G])b|b(?=\d)")
_SHARP = re.compile(r"(?<=[A-G])#|#(?=\d)")


def number(value: float) -> str:
    """A coordinate, to a whole unit: a hundredth of a millimetre."""
    return str(round(value))


def with_signs(name: str) -> str:
    """A chord or note name with a true flat or sharp: ``Bb7/F#`` becomes ``B♭7/F♯``,
    ``F#m7b5`` becomes ``F♯m7♭5``."""
    return _SHARP.sub("♯", _FLAT.sub("♭", name))


def shape(parent: etree._Element, tag: str, **attributes: object) -> etree._Element:
    """Append an SVG element; ``_`` in names stands for ``-``, floats are rounded."""
    return etree.SubElement(
        parent,
        f"{{{SVG}}}{tag}",
        {
            _attribute(name): number(value) if isinstance(value, float) else clean(str(value))
            for name, value in attributes.items()
            if value is not None
        },
    )


@lru_cache(maxsize=64)
def _attribute(name: str) -> str:
    return name.rstrip("_").replace("_", "-")


def text_box(
    words: str,
    x: float,
    y: float,
    size: float,
    anchor: str = "middle",
    style: Style = Style.REGULAR,
) -> Box:
    """The ground that a text takes; below the base line only if a letter reaches there."""
    width = text_width(words, size, style)
    left = x - _ANCHORS[anchor] * width
    deep = 0.02 if _DEEP.isdisjoint(words) else DESCENT
    return Box(left, y - (CAP_HEIGHT + 0.03) * size, left + width, y + deep * size)


def text(
    parent: etree._Element,
    words: str,
    x: float,
    y: float,
    size: float,
    anchor: str = "middle",
    style: Style = Style.REGULAR,
    **attributes: object,
) -> Box:
    """Append a text: its anchor at x, its base line at y, its size in units. Returns its ground."""
    # The attributes are put together by hand: a sheet has many hundred texts.
    given = {"x": number(x), "y": number(y), "font-size": number(size), **_STYLES[style]}
    if anchor != "start":
        given["text-anchor"] = anchor
    for name, value in attributes.items():
        if value is not None:
            given[_attribute(name)] = clean(str(value))
    element = etree.SubElement(parent, _TEXT, given)
    element.text = clean(words)
    return text_box(words, x, y, size, anchor, style)


def shortened(words: str, room: float, size: float, style: Style = Style.REGULAR) -> str:
    """Words cut to the room there is, with an ellipsis."""
    while text_width(words, size, style) > room and len(words) > 2:
        words = words[:-2].rstrip() + "…"
    return words


def wrapped(words: str, width: float, size: float, style: Style = Style.REGULAR) -> list[str]:
    """Words in lines no wider than ``width``."""
    lines = [""]
    for word in words.split():
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and text_width(longer, size, style) > width:
            lines.append(word)
        else:
            lines[-1] = longer
    return lines


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
