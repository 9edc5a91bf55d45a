"""The numbers of tuplets on the tab, right over its short stems.

Verovio reckons their middle from all that it draws of a digit; here it is that of the stems
and rests, as on a staff (Gould, Behind Bars, 2011, from memory). Lengths are in units.
"""

from __future__ import annotations

from lxml import etree
from msgspec import Struct

from rollstave.patterns import rare
from rollstave.writing.sheet.closing_up import STEM
from rollstave.writing.sheet.drawing import number
from rollstave.writing.sheet.engraving import SVG
from rollstave.writing.sheet.skyline import Box

_GROUP, _PATH, _USE = (f"{{{SVG}}}{name}" for name in ("g", "path", "use"))
_POLYLINE = f"{{{SVG}}}polyline"
_OVER = 60.0  # how far a bracket reaches over the outer stems
_HALF_REST = 110.0  # from the left of a rest to its middle
_GAP = 60.0  # between a bracket and the number in it
_HOOK = 90.0  # of a bracket
_AIR = 55.0  # between the stems and what stands lowest over them
_OFF = 45.0  # between a number and the lines of a staff
_NUMBER = rare(r"-?\d+(?:\.\d+)?")
_PLACED = rare(r"translate\(-?[\d.]+,? ?(-?[\d.]+)\) scale\((-?[\d.]+)")
THREE = "E883"  # SMuFL 1.4: tuplet3


class Tuplet(Struct, frozen=True):
    """The number of a tuplet: the use of its sign, its scale and its reach at scale 1; the outer
    stems or rests under it. ``under`` is one of a second voice, under the tab."""

    sign: etree._Element
    scale: float
    box: Box
    left: float
    right: float
    under: bool

    @property
    def tall(self) -> float:
        return self.scale * (self.box.bottom - self.box.top)

    @property
    def reach(self) -> tuple[float, float, float]:
        """Its left and right end, and how high it will reach over the top line of the tab."""
        high = 0.0 if self.under else STEM + _AIR + self.tall
        return self.left - _OVER, self.right + _OVER, high


def tuplet_of(group: etree._Element, box: Box) -> Tuplet | None:
    """The number of a tuplet of the tab. ``box`` is the reach of the number at scale 1."""
    stems = [
        float(_NUMBER.findall(path.get("d", "0"))[0])
        for part in group.iter(_GROUP)
        if part.get("class") == "stem"
        for path in part.iterfind(_PATH)
    ]
    stems += [
        float(_NUMBER.findall(use.get("transform", "0"))[0]) + _HALF_REST
        for part in _of(group, "rest")
        for use in part.iter(_USE)
    ]
    sign = next((u for g in _of(group, "tupletNum") for u in g.iter(_USE)), None)
    placed = _PLACED.match(sign.get("transform", "")) if sign is not None else None
    if not stems or sign is None or placed is None:
        return None
    return Tuplet(
        sign=sign,
        scale=float(placed[2]),
        box=box,
        left=min(stems),
        right=max(stems),
        under=_voice(group) % 2 == 0,
    )


def _voice(group: etree._Element) -> int:
    """The voice that a group is in: its layers are in their order."""
    layer = next(g for g in group.iterancestors() if g.get("class") == "layer")
    staff = layer.getparent()
    return 1 if staff is None else _of(staff, "layer").index(layer) + 1


def off_lines(group: etree._Element, box: Box, lines: tuple[float, float]) -> None:
    """Move the number of a tuplet of the staff that stands at a beam without a bracket off the
    staff: no line runs through it or touches it (Gould, Behind Bars, 2011, from memory).
    ``lines`` are the top and the bottom one."""
    if _of(group, "tupletBracket"):
        return
    for use in (u for g in _of(group, "tupletNum") for u in g.iter(_USE)):
        place = [float(n) for n in _NUMBER.findall(use.get("transform", ""))]
        if len(place) < 3:
            continue
        x, y, scale = place[:3]
        top, bottom = y + scale * box.top, y + scale * box.bottom
        stems = [
            float(n)
            for part in group.iter(_GROUP)
            if part.get("class") == "stem"
            for path in part.iterfind(_PATH)
            for n in _NUMBER.findall(path.get("d", ""))[1::2]
        ]
        below = bool(stems) and sum(stems) / len(stems) < (top + bottom) / 2
        if below and lines[0] < top < lines[1] + _OFF:
            y += lines[1] + _OFF - top
        elif not below and lines[0] - _OFF < bottom < lines[1]:
            y -= bottom - (lines[0] - _OFF)
        use.set("transform", f"translate({number(x)}, {number(y)}) scale({scale:g}, {scale:g})")


def over_stems(group: etree._Element, box: Box, outer: tuple[float, float]) -> None:
    """Put the number of a tuplet over the middle of its stems, and its bracket around that, over
    the top line of the tab; of a second voice, under the bottom line."""
    tuplet = tuplet_of(group, box)
    if tuplet is None:
        return
    scale = tuplet.scale
    middle = (tuplet.left + tuplet.right) / 2
    x = middle - scale * (box.left + box.right) / 2
    bottom = outer[1] + STEM + _AIR + tuplet.tall if tuplet.under else outer[0] - STEM - _AIR
    at = f"translate({number(x)}, {number(bottom - scale * box.bottom)})"
    tuplet.sign.set("transform", f"{at} scale({scale:g}, {scale:g})")
    pieces = [line for g in _of(group, "tupletBracket") for line in g.iter(_POLYLINE)]
    if len(pieces) == 2:
        line = bottom - tuplet.tall / 2
        inner = x + scale * box.left - _GAP, x + scale * box.right + _GAP
        outer = tuplet.left - _OVER, tuplet.right + _OVER
        for piece, end, stop in zip(pieces, outer, inner, strict=True):
            hook = max(line - _HOOK, bottom - tuplet.tall) if tuplet.under else line + _HOOK
            points = ((end, min(hook, bottom)), (end, line), (stop, line))
            piece.set("points", " ".join(f"{number(a)},{number(b)}" for a, b in points))


def _of(group: etree._Element, kind: str) -> list[etree._Element]:
    return [child for child in group if child.get("class") == kind]
