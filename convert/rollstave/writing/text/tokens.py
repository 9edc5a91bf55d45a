"""How one note is typed: its fret with what clings to it, and the sign that leads to it.

The signs are those that :mod:`rollstave.reading.cells.signs` reads; where the tune's own legend
gives a sign another meaning, another spelling is taken.
"""

from __future__ import annotations

from msgspec import Struct

from rollstave.grid.typed import Link, SlideEdge
from rollstave.reading.cells.signs import Signs
from rollstave.score.records import Event, Note


class Token(Struct, frozen=True):
    """A note as typed. ``before`` and ``after`` cling to the digits; ``sign`` is the link."""

    digits: str
    before: str = ""
    after: str = ""
    sign: str = ""

    @property
    def left(self) -> int:
        """Characters to the left of the digits, the sign included."""
        return len(self.before) + len(self.sign)

    @property
    def right(self) -> int:
        """Characters from the first digit to the end."""
        return len(self.digits) + len(self.after)

    @property
    def text(self) -> str:
        return f"{self.sign}{self.before}{self.digits}{self.after}"


def grace_texts(event: Event, signs: Signs) -> dict[int, str]:
    """What is typed for the grace notes before an event, by string; those of one group begin in
    one column."""
    texts: dict[int, list[str]] = {}
    for number, group in enumerate(event.grace):
        for grace in group:
            sign = next((s for s, link in signs.links.items() if link is grace.leads), "")
            row = texts.setdefault(grace.string, [""] * len(event.grace))
            row[number] = f"{{{grace.fret_text}}}{sign if grace.leads else ''}"
    widths = [max(len(row[n]) for row in texts.values()) for n in range(len(event.grace))]
    return {
        string: "".join(text.ljust(width, "-") for text, width in zip(row, widths, strict=True))
        for string, row in texts.items()
    }


def token(note: Note, fret_before: int | None, brushed: bool, signs: Signs) -> Token:
    """The token of a note. ``fret_before`` is the last fret on its string, for the slide's
    direction; ``brushed`` asks for the brush sign at this note."""
    digits = note.fret_text or "x"
    before = after = ""
    if note.harmonic:
        before, after = "<", ">"
    elif (note.ghost and signs.brackets == "ghost") or (
        note.let_ring and signs.brackets == "let_ring"
    ):
        before, after = "(", ")"
    elif note.let_ring:
        after += _mark("let_ring", signs)
    if note.bend is not None:
        after += _mark("bend", signs)
        if note.bend != 2 and note.fret is not None:
            after += f"({note.fret + note.bend})"
    if note.vibrato:
        after += _mark("vibrato", signs)
    if brushed:
        after += _mark("brushed", signs)
    if note.slide_to is not None:
        after += "/" if note.slide_to is SlideEdge.UP else "\\"
    return Token(digits=digits, before=before, after=after, sign=_sign(note, fret_before, signs))


def _mark(name: str, signs: Signs) -> str:
    return next((sign for sign, mark in signs.marks.items() if mark == name), "")


def _sign(note: Note, fret_before: int | None, signs: Signs) -> str:
    if note.slide_from is not None:
        return "/" if note.slide_from is SlideEdge.UP else "\\"
    if note.link is None:
        return ""
    if note.link is Link.SLIDE and signs.links.get("/") is Link.SLIDE:
        down = fret_before is not None and note.fret is not None and note.fret < fret_before
        return "\\" if down and signs.links.get("\\") is Link.SLIDE else "/"
    return next((sign for sign, link in signs.links.items() if link is note.link), "")
