"""Little drawings of signs, for the key at the foot. Each stands on a base line, in units.

A technique whose drawing is only here is drawn with it over its digit, too.
"""

from __future__ import annotations

from collections.abc import Callable

from lxml import etree

from rollstave.writing.frets import GRACE_SIZE
from rollstave.writing.sheet.drawing import number, path, shape, text

Icon = Callable[[etree._Element, float, float], None]
ICON = 260.0  # the width of an icon
_FIGURE = 256.0  # of a figure over what its stem tells


def _slide(parent: etree._Element, x: float, y: float) -> None:
    path(parent, f"M{number(x + 20)} {number(y - 30)}L{number(x + 230)} {number(y - 150)}", 20.0)


def _brush(parent: etree._Element, x: float, y: float) -> None:
    middle = x + ICON / 2
    path(parent, f"M{number(middle)} {number(y + 30)}V{number(y - 150)}", 18.0)
    shape(
        parent,
        "path",
        fill="currentColor",
        d=f"M{number(middle)} {number(y - 215)}l40 80h-80Z",
    )


def _down_stroke(parent: etree._Element, x: float, y: float) -> None:
    """As the sign of a down-bow (SMuFL 1.4, stringsDownBow, U+E610): a bar with two legs."""
    left, right = x + ICON / 2 - 75, x + ICON / 2 + 75
    path(parent, f"M{number(left)} {number(y)}V{number(y - 170)}H{number(right)}V{number(y)}", 18.0)
    shape(parent, "rect", x=left, y=y - 179, width=150.0, height=60.0, fill="currentColor")


def _up_stroke(parent: etree._Element, x: float, y: float) -> None:
    """As the sign of an up-bow (SMuFL 1.4, stringsUpBow, U+E612): a tall V."""
    middle = x + ICON / 2
    path(parent, f"M{number(middle - 60)} {number(y - 200)}L{number(middle)} {number(y)}", 24.0)
    path(parent, f"M{number(middle)} {number(y)}L{number(middle + 60)} {number(y - 200)}", 14.0)


def _vibrato(parent: etree._Element, x: float, y: float) -> None:
    waves = "".join(" q25 -50 50 0 q25 50 50 0" for _ in range(2))
    path(parent, f"M{number(x + 30)} {number(y - 90)}{waves}", 20.0)


def _bend(parent: etree._Element, x: float, y: float) -> None:
    path(
        parent,
        f"M{number(x + 60)} {number(y - 10)}Q{number(x + 170)} {number(y - 10)} "
        f"{number(x + 170)} {number(y - 120)}",
        18.0,
    )
    shape(parent, "path", fill="currentColor", d=f"M{number(x + 170)} {number(y - 195)}l38 75h-76Z")


def _ring_on(parent: etree._Element, x: float, y: float) -> None:
    path(parent, f"M{number(x + 40)} {number(y - 60)}q90 -90 180 0", 18.0)


def _open(parent: etree._Element, x: float, y: float) -> None:
    shape(
        parent,
        "circle",
        cx=x + ICON / 2,
        cy=y - 95,
        r=52.0,
        fill="none",
        stroke="currentColor",
        stroke_width=13.0,
    )


def _silent(parent: etree._Element, x: float, y: float) -> None:
    middle = x + ICON / 2
    path(
        parent,
        f"M{number(middle - 48)} {number(y - 143)}l96 96m0 -96l-96 96",
        13.0,
    )


def _leaving(parent: etree._Element, x: float, y: float) -> None:
    """A hollow dot on its string, so that it is not taken for the ring of an open one."""
    middle = x + ICON / 2
    path(parent, f"M{number(middle)} {number(y - 205)}V{number(y + 15)}", 11.0)
    shape(
        parent,
        "circle",
        cx=middle,
        cy=y - 95,
        r=62.0,
        fill="none",
        stroke="currentColor",
        stroke_width=20.0,
    )


def _grace(parent: etree._Element, x: float, y: float) -> None:
    text(parent, "2", x + ICON / 2, y, GRACE_SIZE, "middle", class_="key-sign")


def _half(parent: etree._Element, x: float, y: float) -> None:
    """A figure over the short stem of a half note."""
    text(parent, "0", x + ICON / 2, y - 75, _FIGURE, "middle", class_="key-sign")
    path(parent, f"M{number(x + ICON / 2)} {number(y - 25)}V{number(y + 60)}", 18.0)


def _whole(parent: etree._Element, x: float, y: float) -> None:
    text(parent, "0", x + ICON / 2, y, _FIGURE, "middle", class_="key-sign")


ICONS: dict[str, Icon] = {
    "slide": _slide,
    "brush": _brush,
    "down-stroke": _down_stroke,
    "up-stroke": _up_stroke,
    "vibrato": _vibrato,
    "bend": _bend,
    "ring": _ring_on,
    "open": _open,
    "silent": _silent,
    "leaving": _leaving,
    "grace": _grace,
    "half": _half,
    "whole": _whole,
}
