"""Numbers and letters in a MusicXML file: what is none, or cannot be, is named with its line.

Ranges are those of the MusicXML 4.0 types where it has one (``octave`` 0 to 9, ``divisions`` more
than 0); the others are ours and only keep out what no music has.
"""

from __future__ import annotations

from typing import Any

from lxml import etree


class WrongValue(ValueError):
    """An element or an attribute of one with something else than what belongs there; ``line`` is
    its line."""

    def __init__(self, element: etree._Element, wanted: str, attribute: str = "") -> None:
        tag = f"{attribute} of <{element.tag}>" if attribute else f"<{element.tag}>"
        text = (element.get(attribute, "") if attribute else element.text or "").strip()
        super().__init__(f"{tag} is {text[:40]!r}, where {wanted} stands")
        self.line = line_of(element)


def line_of(element: etree._Element) -> int:
    """The line on which an element begins; 1 where that is not known."""
    line: Any = element.sourceline
    return line if isinstance(line, int) else 1


def whole(
    element: etree._Element, path: str, default: int, least: int = -1000, most: int = 1_000_000_000
) -> int:
    """The whole number in the element at ``path``, or the default where there is no such element.
    Parts of a whole are cut off. Raises WrongValue."""
    found = element.find(path)
    if found is None:
        return default
    number = _number(found.text or "")
    if number is None or not least <= number <= most:
        raise WrongValue(found, f"a whole number from {least} to {most}")
    return number


def whole_attribute(element: etree._Element, name: str, default: int, least: int, most: int) -> int:
    """The whole number in an attribute, or the default where there is none. Raises WrongValue."""
    text = element.get(name)
    if text is None:
        return default
    number = _number(text)
    if number is None or not least <= number <= most:
        raise WrongValue(element, f"a whole number from {least} to {most}", name)
    return number


def _number(text: str) -> int | None:
    try:
        return int(float(text))
    except (ValueError, OverflowError):
        return None


def step(element: etree._Element, path: str) -> str:
    """The letter of a note name in the element at ``path``, C where there is none. Raises
    WrongValue."""
    found = element.find(path)
    letter = (found.text or "").strip() if found is not None else "C"
    if found is not None and (len(letter) != 1 or letter not in "ABCDEFG"):
        raise WrongValue(found, "a letter from A to G")
    return letter
