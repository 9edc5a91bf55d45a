"""The accidental of a note of the staff."""

from __future__ import annotations

from lxml import etree

from rollstave.notating.notation import GraceHead, Head
from rollstave.writing.xml import add

_ACCIDENTALS = {
    -2: "flat-flat",
    -1: "flat",
    0: "natural",
    1: "sharp",
    2: "double-sharp",
}


def add_accidental(element: etree._Element, head: Head | GraceHead) -> None:
    """The accidental of a note, if it shows one; one that only warns is in parentheses."""
    if head.accidental is None:
        return
    sign = _ACCIDENTALS[head.accidental]
    warns = "yes" if head.cautionary else None
    add(element, "accidental", sign, cautionary=warns, parentheses=warns)
