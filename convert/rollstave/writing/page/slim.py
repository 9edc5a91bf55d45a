"""The same drawings in fewer bytes, for a page that carries them several times.

What many elements say of themselves (their size, their thickness) is said once in the page's
style sheet; a glyph at one size is one definition; groups that nothing holds on to go. What is
drawn stays the same.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from lxml import etree

from rollstave.writing.sheet.engraving import HREF, SVG

_NUMBER = r"-?\d+(?:\.\d+)?"
_UPRIGHT = re.compile(rf"M({_NUMBER}) ({_NUMBER}) L\1 ({_NUMBER})$")
_LEVEL = re.compile(rf"M({_NUMBER}) ({_NUMBER}) L({_NUMBER}) \2$")
_PLACED = re.compile(rf"translate\(({_NUMBER}), ?({_NUMBER})\) scale\(({_NUMBER}), ?({_NUMBER})\)$")
_NOTE_ID = re.compile(r"[nt]\d+-\d+-\d+-\d+$")
_NAMESPACES = re.compile(r' xmlns(?::\w+)?="[^"]*"')
_USE = f"{{{SVG}}}use"
# Groups that only sort what Verovio drew.
_SORTING = {
    "staff", "layer", "beam", "chord", "tabGrp", "tabDurSym", "stem", "notehead", "flag",
    "accid", "dots", "rest", "ledgerLines above", "ledgerLines below", "above", "below",
    "ending", "measure", "barLine", "line", "marks lines", "marks letters", "marks above",
    "marks links", "marks dots", "marks ties", "chord-shape",
}  # fmt: skip
# Attributes that a style sheet can say as well (SVG 2, presentation attributes).
_LOOKS = (
    "fill", "fill-opacity", "stroke", "stroke-width", "stroke-linecap", "stroke-linejoin",
    "font-size", "font-style", "font-weight", "text-anchor",
)  # fmt: skip


class Slimmer:
    """Slims the drawings of one page, and gathers what they share."""

    def __init__(self) -> None:
        self._looks: dict[tuple[tuple[str, str], ...], str] = {}
        self._uses: dict[tuple[str, str], str] = {}

    def slimmed(self, element: etree._Element, prefix: str = "") -> str:
        """A drawing as text for HTML, its note ids behind a prefix; the element is used up."""
        for group in list(element.iterdescendants(f"{{{SVG}}}g")):
            _unwrap(group)
        for path in list(element.iter(f"{{{SVG}}}path")):
            _join(path)
        for item in element.iter():
            if isinstance(item.tag, str):
                self._slim(item, prefix)
        return _as_text(element)

    def _slim(self, item: etree._Element, prefix: str) -> None:
        name = str(item.attrib.pop("id", ""))
        if _NOTE_ID.match(name):
            item.set("id", prefix + name)
        if item.tag == _USE:
            self._use(item)
        looks = tuple((key, str(item.attrib.pop(key))) for key in _LOOKS if key in item.attrib)
        if looks:
            short = self._looks.setdefault(looks, f"l{len(self._looks)}")
            item.set("class", f"{item.get('class', '')} {short}".strip())

    def _use(self, item: etree._Element) -> None:
        """Place a glyph by x and y; its size belongs to what is placed."""
        glyph = str(item.attrib.pop(HREF, "")).lstrip("#")
        match = _PLACED.match(item.get("transform", ""))
        if match is None:
            item.set("href", f"#{glyph}")
            return
        del item.attrib["transform"]
        wide, tall = match[3], match[4]
        size = wide if wide == tall else f"{wide},{tall}"
        short = self._uses.setdefault((glyph, size), f"u{len(self._uses)}")
        item.set("x", match[1])
        item.set("y", match[2])
        item.set("href", f"#{short}")

    def definitions(self, glyphs: Iterable[etree._Element]) -> str:
        """The glyphs of the page, and each at the sizes in which it is used; a flag of the tab
        is less tall than wide."""
        parts = [_as_text(glyph) for glyph in sorted(glyphs, key=lambda g: g.get("id", ""))]
        parts += [
            f'<use id="{short}" href="#{glyph}" transform="scale({size})"/>'
            for (glyph, size), short in self._uses.items()
        ]
        return "".join(parts)

    def style(self) -> str:
        """The style sheet of the looks that were gathered."""
        return "".join(
            f".{short}{{{';'.join(f'{key}:{_css(key, value)}' for key, value in looks)}}}"
            for looks, short in self._looks.items()
        )


def _css(key: str, value: str) -> str:
    """A presentation attribute as CSS: lengths have a unit there. Nothing typed comes here."""
    return f"{value}px" if key in ("font-size", "stroke-width") else value


def _as_text(element: etree._Element) -> str:
    text = etree.tostring(element, encoding="unicode", with_tail=False)
    return _NAMESPACES.sub("", text)


def _unwrap(group: etree._Element) -> None:
    """Put what a sorting group holds in its place; drop a group that holds nothing."""
    parent = group.getparent()
    if parent is None:
        return
    name = group.get("id", "")
    if len(group) == 0:
        parent.remove(group)
    elif (
        set(group.attrib) <= {"class", "id"}
        and group.get("class", "") in _SORTING
        and not _NOTE_ID.match(name)
    ):
        at = parent.index(group)
        parent[at : at + 1] = list(group)


def _join(path: etree._Element) -> None:
    """Write straight lines shorter, and draw neighbours of one thickness as one path; the lines
    of a staff are five."""
    data = path.get("d", "")
    path.set("d", _LEVEL.sub(r"M\1 \2H\3", _UPRIGHT.sub(r"M\1 \2V\3", data)))
    if set(path.attrib) != {"d", "stroke-width"}:
        return
    parent, before = path.getparent(), path.getprevious()
    if parent is None or before is None or before.tag != path.tag:
        return
    same = set(before.attrib) == set(path.attrib)
    if same and before.get("stroke-width") == path.get("stroke-width"):
        before.set("d", before.get("d", "") + path.get("d", ""))
        parent.remove(path)
