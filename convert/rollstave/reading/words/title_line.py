"""A title with more behind it on its line: ``Nettle Hill (gDGCD)``, ``Nettle Hill - key of G``."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from functools import cache

from msgspec.structs import replace

from rollstave.grid.typed import Heading
from rollstave.patterns import rare
from rollstave.reading.page.decode import Line
from rollstave.reading.words.dividing import WIDE, Piece, pieces
from rollstave.reading.words.headings import (
    DANCE_FIRST,
    REMARK,
    bare_heading,
    headings_within,
)
from rollstave.reading.words.tuning_words import are_letters
from rollstave.vocabulary.headings import INSTRUMENTS

_QUOTES = re.compile(r"""^(["'])(?P<inside>.*\S)\1$""")
# "Nettle Hill by Mara Quay", with the name in capitals.
_BY = rare(
    r"(?P<title>\S.*\S)\s+(?:by|(?P<arranged>(?:[Aa]rr|ARR)\.|arranged)(?:\s+by)?)\s+"
    r"(?P<name>[A-Z][\w.'-]*(?:\s+[A-Z][\w.'-]*)+)$",
    cues=("by", "arr"),
)
_MINOR = re.compile(r"[A-G][#b♯♭]?m(?:in(?:or)?)?$")  # alone on a line it would be a chord
# "Bass part for "Nettle Hill" - 4/4": what is in quotes is the title, whatever stands around it.
_IN_QUOTES = rare(
    r"""(?P<before>(?:[^"“]{0,60}(?:\b(?:for|of|tab|part|(?i:learning|playing))\s*[:-]?|:|\s-+)\s+)?)"""
    r"""["“](?P<inside>[^"“”]*\w[^"“”]*)["”]"""
    r"(?P<rest>.*)",
    cues=('"', "“"),
)
_LONG_DASH = ("--", "---")
_TWO_BLANKS = re.compile(r"(?<=\S) {2,}(?=\S)")  # they divide where what follows is understood
# Which instruments there are besides is not asked: plugins are looked for where they are needed.
_INSTRUMENTS = rf"gtr\.?|{INSTRUMENTS}"
# What may stand before an instrument and belongs to it.
_KINDS = (
    r"(?:(?:for|claw-?hammer|old-?time|three-finger|finger-?style|finger-?picked|flat-?picked|acoustic|electric|irish|soprano|baritone"
    r"|tenor|solo|mountain|[456four]{1,4}[- ]string|five[- ]string|six[- ]string)\s+){0,3}"
)
_ONLY_INSTRUMENT = rare(
    rf"{_KINDS}(?:(?:{_INSTRUMENTS})(?:\s+(?:tab|part|solo))?|[456][- ]string)\.?$",
    re.IGNORECASE,
    cues=(*_INSTRUMENTS.replace(r"\.?", "").split("|"), "string"),
)
# "Ropewalk Waltz 3/4", "Willow Gate gDGCD": the last word of a title says more.
_METER_AT_END = rare(
    r"(?P<title>\S.*\S)\s+(?:in\s+)?(?P<last>\d{1,2}/(?:2|4|8|16))(?:\s+time)?$", cues=("/",)
)
_WORD_AT_END = re.compile(r"(?P<title>\S.*\S)\s+(?P<last>\S{4,12})$")


def split_title(line: Line, start: int, text: str) -> tuple[str, list[Heading]]:
    """The title, and what else ``text`` says, which stands at ``line.text[start:]``.

    The title ends where something that is understood begins (a key, a tuning, a name after
    "by"), or at a long dash: what follows that is the source. Else all of it is title.
    """
    if dance := DANCE_FIRST.match(text):
        name, others = split_title(line, start + dance.end(), text[dance.end() :])
        return name, [Heading(REMARK, dance["dance"], line.place(start)), *others]
    if (quoted := _IN_QUOTES.fullmatch(text)) and quoted["rest"].lstrip()[:1] not in ("'", "?"):
        return _with_quoted(line, start, quoted)
    found = pieces(text)
    end = next(
        (
            index
            for index in range(1, len(found))
            if _understood(line, start, found[index])
            or found[index].divider in _LONG_DASH
            or _says_more(line, start, found, index)
        ),
        len(found),
    )
    if not found:
        return text, []
    # A bracket that what is understood stands in does not belong to the title.
    while end > 1 and _is_open(text[: found[end - 1].start + len(found[end - 1].text)]):
        end -= 1
    last = found[end - 1]
    title = text[: last.start + len(last.text)]
    if end == len(found):
        title = text
    more: list[Heading] = []
    for piece in found[end:]:
        if headings := _understood(line, start, piece):
            more += headings
        elif more and more[-1].key == "source" and piece.divider.strip() == ",":
            more[-1] = replace(more[-1], text=f"{more[-1].text}, {piece.text}")
        else:
            key = "source" if piece.divider in _LONG_DASH else REMARK
            more.append(Heading(key, piece.text, line.place(start + piece.start)))
    for gap in _TWO_BLANKS.finditer(title):
        piece = Piece(gap.end(), title[gap.end() :], "")
        if headings := _understood(line, start, piece):
            more[:0] = headings
            title = title[: gap.start()]
            break
    for pattern, key in ((_METER_AT_END, "time"), (_WORD_AT_END, "tuning")):
        match = pattern.match(title)
        if match and (key == "time" or are_letters(match["last"])):
            more.insert(0, Heading(key, match["last"], line.place(start + match.start("last"))))
            title = match["title"]
    if by := _BY.match(title):
        key = "arranger" if by["arranged"] else "composer"
        more.insert(0, Heading(key, by["name"], line.place(start + by.start("name"))))
        title = by["title"]
    quoted = _QUOTES.match(title)
    return (quoted["inside"] if quoted else title), more


_FEW = 2  # words that are no sentence
_SHORT = 4  # letters of a word that needs no capital in a name
_GAP = 4  # blanks that end a title, where what follows is written in another way
_MARGIN = 8  # blanks that end it whatever follows: that stands at the other margin


def _says_more(line: Line, start: int, found: Sequence[Piece], index: int) -> bool:
    """True for words at the other margin, for words in small letters behind a wide gap, or behind
    a dash if something that is understood follows them: ``Nettle Hill    arr. for the school``,
    ``NETTLE HILL - up the neck - G tuning``; for a sentence behind a name, too: ``Nettle Hill.
    Taken down in a hurry, gDGBD``."""
    piece, before = found[index], found[index - 1]
    if piece.divider == "." and index == 1:
        letters = piece.text.isupper() and not found[0].text.isupper()  # "Alder Morning. DAD."
        says = len(piece.text.split()) > _FEW and not _is_name(piece.text)
        return _is_name(found[0].text) and (letters or says)
    gap = piece.start - before.start - len(before.text)
    if gap >= _MARGIN and not piece.divider and before.text[:1].isalpha():
        return True
    if not piece.text[:1].islower() or not found[0].text[:1].isupper():
        return False
    if gap >= _GAP + len(piece.divider) - (piece.divider == "-") and piece.divider in ("", "-"):
        return True
    later = found[index + 1 :]
    return piece.divider == "-" and any(_understood(line, start, other) for other in later)


def _is_name(text: str) -> bool:
    """True for two words and more, the longer ones of which have capitals."""
    words = [word.strip("\"'(),") for word in text.split()]
    return len(words) > 1 and all(word[:1].isupper() for word in words if len(word) > _SHORT)


def _with_quoted(line: Line, start: int, quoted: re.Match[str]) -> tuple[str, list[Heading]]:
    """A title in quotes, and what is said around it."""
    more: list[Heading] = []
    if before := quoted["before"].strip(" :-"):
        more.append(Heading(REMARK, before, line.place(start)))
    at = start + quoted.start("rest")
    for piece in pieces(quoted["rest"]):
        key = "source" if piece.divider in _LONG_DASH else REMARK
        more += _understood(line, at, piece) or [
            Heading(key, piece.text, line.place(at + piece.start))
        ]
    return quoted["inside"].strip(), more


def begins_with_instrument(text: str) -> bool:
    """True for a line that begins with an instrument as no title does: ``Tenor banjo (CGDA)``."""
    return _instrument_first()(text) is not None


@cache
def _instrument_first() -> Callable[[str], re.Match[str] | None]:
    return re.compile(
        rf"\W*{_KINDS}(?:{_INSTRUMENTS})(?:\s+(?:tab|part))?"
        r"(?:\s*[(,:-]|\s{2,}|\s*$|\s+(?:with\s+an?\b|tuned\b|in\s+(?:standard|open|[A-G])\b))",
        re.IGNORECASE,
    ).match


def _is_open(text: str) -> bool:
    return any(text.count(left) > text.count(right) for left, right in ("()", "[]"))


# "T. Corrigan-Bly", "Mrs. A. Venn": who made it.
_PERSON = rare(
    r"(?:(?:Mr|Mrs|Ms|Miss|Dr)\.?\s+)?(?:[A-Z]\.[ -]?){1,3}[A-Z][\w'’]+(?:[- ][A-Z][\w'’]+)?$"
)
_BEFORE_A_PERSON = ("/", "-", "--", "")


def _understood(line: Line, start: int, piece: Piece) -> list[Heading] | None:
    if piece.divider in _BEFORE_A_PERSON and piece.start and _PERSON.match(piece.text):
        return [Heading("composer", piece.text, line.place(start + piece.start))]
    if _ONLY_INSTRUMENT.match(piece.text):
        return [Heading(REMARK, piece.text, line.place(start + piece.start))]
    if _MINOR.match(piece.text):
        return [Heading("key", piece.text, line.place(start + piece.start))]
    if found := bare_heading(line, start + piece.start, piece.text):
        return [found]
    # With a keyword and a colon. What stands before is as blank as it can tell.
    at = start + piece.start
    blank = min(at, WIDE)
    return headings_within(line, at - blank, " " * blank + piece.text, head=True)
