"""Taking the texts out of Verovio's SVG: frets, syllables, the numbers of endings.

Verovio nests texts in spans with sizes of their own; each becomes one plain text. Lengths are in
units.
"""

from __future__ import annotations

import re

from lxml import etree

from rollstave.writing.fonts import CAP_HEIGHT, DESCENT, text_width
from rollstave.writing.frets import DIGIT_SIZE, GRACE_SIZE
from rollstave.writing.sheet.engraving import FRET_WEIGHT, LYRIC_SIZE, SVG, System
from rollstave.writing.sheet.skyline import Box
from rollstave.writing.xml import all_text

_PATH = f"{{{SVG}}}path"
_NUMBER = r"-?\d+(?:\.\d+)?"
_POINT = re.compile(rf"({_NUMBER})[ ,]({_NUMBER})")


def take_fret(system: System, text: etree._Element, name: str) -> None:
    """Put one plain text in place of Verovio's nested one, its middle exactly on the line."""
    tab = system.last
    x, y = float(text.get("x", "0")), float(text.get("y", "0"))
    line = min(tab.heights, key=lambda height: abs(height - (y - 95)))
    small = "-g" in name
    if small:
        # Verovio puts a grace note on a line of its own choice.
        line = tab.heights[int(name.rpartition("-")[2]) - 1]
    size = GRACE_SIZE if small else DIGIT_SIZE
    words = all_text(text)
    text.clear()
    text.text = words
    text.set("class", "fret")
    text.set("x", f"{x:g}")
    text.set("y", f"{line + CAP_HEIGHT / 2 * size:.0f}")
    text.set("font-size", f"{size:g}")
    text.set("font-weight", FRET_WEIGHT)
    text.set("text-anchor", "middle")
    system.places[name] = (x, line)
    system.texts[name] = text


def take_ending(system: System, group: etree._Element) -> None:
    """Take an ending's bracket out; it is drawn again above the chord names."""
    number = all_text(group)
    lines = group.findall(_PATH)
    xs = [float(x) for line in lines for x, _ in _POINT.findall(line.get("d", ""))]
    for child in list(group):
        group.remove(child)
    if xs:
        system.endings.append((group, number, min(xs), max(xs), len(lines) > 2))


def lay_text_flat(system: System, text: etree._Element) -> None:
    """Lyrics come as nested spans with sizes of their own: make each one plain text."""
    words = all_text(text)
    if not words:
        return
    parent = text.getparent()
    size = DIGIT_SIZE if parent is not None and "tuplet" in parent.get("class", "") else LYRIC_SIZE
    for child in list(text):
        text.remove(child)
    text.text = words
    text.set("font-size", f"{size:g}")
    x, y = float(text.get("x", "0")), float(text.get("y", "0"))
    width = text_width(words, size)
    if size == LYRIC_SIZE and (middle := _middle_of_owner(system, text)) is not None:
        system.lyrics.append((text, middle))
        return
    left = {"middle": x - width / 2, "end": x - width}.get(text.get("text-anchor", ""), x)
    system.take(Box(left, y - CAP_HEIGHT * size, left + width, y + DESCENT * size))


def _middle_of_owner(system: System, text: etree._Element) -> float | None:
    """The middle of the note that a syllable belongs to: one over it in the tree, or the first
    of a chord over it."""
    for ancestor in text.iterancestors():
        for element in (ancestor, *ancestor):
            if (place := system.places.get(element.get("id", ""))) is not None:
                return place[0]
        if ancestor is system.element:
            break
    return None
