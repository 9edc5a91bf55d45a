"""How one note is typed: its fret with what clings to it, and the sign that leads to it.

The signs are those of the table of techniques; where the tune's own legend gives a sign another
meaning, another spelling is taken.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec import Struct

from rollstave.grid.typed import Link, SlideEdge
from rollstave.score.records import Event, Note
from rollstave.vocabulary.signs import BY_NAME, COMMON, EDGES, LINKS, Signs, techniques_of
from rollstave.vocabulary.technique import Technique


class Token(Struct, frozen=True):
    """A note as typed. ``before`` and ``after`` cling to the digits; ``sign`` is the link.
    ``slid`` is what is typed after the note before as well, where that is far."""

    digits: str
    before: str = ""
    after: str = ""
    sign: str = ""
    slid: str = ""

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
            sign = signs.spelling(LINKS[grace.leads]) if grace.leads else ""
            row = texts.setdefault(grace.string, [""] * len(event.grace))
            row[number] = f"{{{grace.fret_text}}}{sign}"
    widths = [max(len(row[n]) for row in texts.values()) for n in range(len(event.grace))]
    return {
        string: "".join(text.ljust(width, "-") for text, width in zip(row, widths, strict=True))
        for string, row in texts.items()
    }


def rest_token(
    before: Mapping[int, Token], event: Event, after: Event | None, signs: Signs
) -> dict[int, Token]:
    """The letter of a rest, on a string of the event before it that is not bent, where it would
    say that the bend is released, nor led on over the rest. Empty where the legend leaves no
    letter for it."""
    row = BY_NAME["rest"]
    usual = (s for s in row.signs if signs.meanings.get(s) is COMMON.meanings.get(s))
    letter = signs.spelling(row) or next(usual, "")
    taken = {note.string for note in event.notes if note.bend is not None}
    if after is not None:
        taken |= {note.string for note in after.notes if note.link is not None}
    free = [string for string in before if string not in taken]
    others = (n for n in range(1, len(taken) + 2) if n not in taken)
    string = free[0] if free else next(others)
    return {string: Token(letter)} if letter else {}


def token(note: Note, fret_before: int | None, brushed: bool, signs: Signs) -> Token:
    """The token of a note. ``fret_before`` is the last fret on its string, for the slide's
    direction; ``brushed`` asks for the brush sign at this note."""
    marks = techniques_of(note)
    digits = note.fret_text or "x"
    for row in marks:
        # A legend may have a sign for it that stands after the fret.
        if row.instead and not (note.fret_text and signs.spelling(row)):
            digits = row.instead
    bracketed = _bracketed(marks, signs)
    before, after = "", ""
    if bracketed is not None:
        before, after = ("(", ")") if bracketed is signs.brackets else bracketed.around
    rest = [row for row in marks if row is not bracketed and row.instead != digits]
    starred = next((row for row in rest if row.star and row.star not in signs.meanings), None)
    if starred is not None:
        after += starred.star
    for row in rest:
        if row.what == "mark" and row is not starred:
            after += signs.spelling(row) + _size(row, note)
    if brushed:
        after += signs.spelling(BY_NAME["brush"])
    for row in rest:
        if row.what == "edge" and row.field == "slide_to":
            after += signs.spelling(row, BY_NAME["slide"])
    sign = _sign(note, fret_before, signs)
    slid = sign if note.link is Link.SLIDE else ""
    return Token(digits=digits, before=before, after=after, sign=sign, slid=slid)


def _bracketed(marks: Sequence[Technique], signs: Signs) -> Technique | None:
    """The mark that is said by the brackets around the fret. There is room for one pair: what can
    be said in no other way has it, and none whose brackets are signs of the tune's own legend."""
    own = {sign.sign for sign in signs.own}
    found = [
        row
        for row in marks
        if row is signs.brackets
        or (row.around not in ((), ("(", ")")) and own.isdisjoint(row.around))
    ]
    return min(found, key=lambda row: bool(row.star or row.signs), default=None)


def _size(row: Technique, note: Note) -> str:
    """How far a note is bent, where it is not as far as the sign alone says."""
    if row.field != "bend" or note.bend is None or note.bend == row.value or note.fret is None:
        return ""
    return f"({note.fret + note.bend})"


def _sign(note: Note, fret_before: int | None, signs: Signs) -> str:
    """What is typed before a note: how it is reached."""
    slide = BY_NAME["slide"]
    if note.slide_from is not None:
        return signs.spelling(_edge(note.slide_from), slide)
    if note.link is None:
        return ""
    if note.link is Link.SLIDE:
        down = fret_before is not None and note.fret is not None and note.fret < fret_before
        return signs.spelling(_edge(SlideEdge.DOWN if down else SlideEdge.UP), slide)
    return signs.spelling(LINKS[note.link])


def _edge(way: SlideEdge) -> Technique:
    """The row whose signs slide into a note that way."""
    return next(row for row in EDGES if row.field == "slide_from" and row.value is way)
