"""Telling the rows of a system from words, and a row's label from its body."""

from __future__ import annotations

import re

from rollstave.patterns import rare
from rollstave.reading.beside.stems import looks_drawn
from rollstave.reading.page.decode import Line
from rollstave.reading.rows.records import Row
from rollstave.reading.words.headings import remark_after

# Before a label people put a bullet or a number; after it a bar, a colon, a bracket or a gap.
_LABEL = re.compile(
    r"\s*(?P<bullet>(?:[*•·]|-(?=\s)|\(?\d{1,2}(?:[.)]|-(?=\s)))\s+)?"
    r"(?P<open>[(\[])?(?P<label>[A-Ga-g](?:#|♯|♭|b(?=[\s|:!+)\]\-\d=>']))?[0-9']?)(?(open)[)\]])"
    r"(?P<end>-{1,2}(?=\|)|\s*[=>)\].](?=[|!])|\s*(?:\.\s*)?(?=[|!])|\s*:(?!\|)|\s*:(?=\|)|\s+(?=[-=|\d(<xX])|(?=[-=])|\s*[)\]](?=[-|])|\s?\[(?=-|\d{1,2}-))"
)
# A bracket over an ending, drawn with dashes: |1.--------|2.------
_ENDING = rare(r"\s*[|\[]?\s?\d[.)](?=[-\s])(?!\s+\|.*-)")
_BULLET = rare(r"\s*(?:(?:[*•·]|-(?=\s)|\(?\d{1,2}[.)])\s+)?(?=[-|=_])")
_SIGN_LETTERS = "hpsbxtrvcolumngakifjHPSBXTRLNVO"
# Tables for ``str.translate`` that leave what is no sign of a row, and what is not its bulk.
_NO_BODY = dict.fromkeys(map(ord, "-0123456789|!+:^~()<>*/\\=._ []{},'I&%" + _SIGN_LETTERS))
_NO_SOLID = dict.fromkeys(map(ord, "-|0123456789"))
_SHORT = rare(r"\|:?[-\dhpbxt/\\~^(){}<>]*\d[-\dhpbxt/\\~^(){}<>]*:?\|")
_DRESSED = rare(r"-{2,} ?[A-Z]{1,2} ?-{2,}")
# What stands behind the last bar and is music: frets with dashes between.
_MUSIC = rare(r"(?=[^-]*-)(?:[-\d(){}<>*]|[oOxX](?![a-wyzA-WYZ])|[hpsHPS/\\~^](?=[-\doO(]))+\s*")
_BRACKETED = re.compile(r"[(<{]\d{1,2}[)>}]")  # a fret in brackets is a fret


def as_row(line: Line) -> Row | None:
    """The line as a row of a tab system, or None if it is something else.

    A row has at least three dashes, is made of dashes, bars, frets and signs, and dashes, bars
    and digits are the most of it.
    """
    text = line.text
    dashes = text.count("-") + len(_BRACKETED.findall(text))
    # A row of a measure with one or two notes has few dashes, but its bars on both sides.
    if dashes < 3 and not (dashes >= 2 and text.count("|") >= 2 and _SHORT.search(text)):
        return None
    label, start = label_of(text)
    if not label and _ENDING.match(text):
        return None
    end = body_end(text, start)
    core = text[start:end]
    inside = core.replace(" ", "")
    strange = len(core.translate(_NO_BODY))
    if not inside or strange > max(2, 0.05 * len(core)):
        return None
    brackets = 2 * len(_BRACKETED.findall(inside))
    solid = len(inside) - len(inside.translate(_NO_SOLID)) + brackets
    if solid < 0.55 * len(inside) or core.count("-") + brackets < 0.15 * len(inside):
        return None
    if "|" not in core and ("---" not in core or _is_dressed(core)):
        return None
    return Row(line=line, label=label, start=start, end=end)


def _is_dressed(core: str) -> bool:
    """True for a letter or two among dashes, as a heading is dressed: ``--- A ---``."""
    return not any(map(str.isdigit, core)) and _DRESSED.fullmatch(core.strip()) is not None


# The name of a part, or the number of a measure, in the margin: "A  D|---".
_MARGIN = re.compile(
    r"\s*(?:(?:part )?[A-Z]|\d{1,3})[.:)]?\s+(?=[A-Ga-g][#b]?\s?\|)", re.IGNORECASE
)


def before_label(text: str) -> int:
    """Where the label of a row begins that has the name of a part before it; else 0."""
    match = _MARGIN.match(text)
    return match.end() if match else 0


def label_of(text: str) -> tuple[str, int]:
    """The label of a row and where its body starts."""
    match = _LABEL.match(text) or _LABEL.match(text, before_label(text))
    if match:
        return match["label"], match.end()
    bullet = _BULLET.match(text)
    return "", bullet.end() if bullet else len(text) - len(text.lstrip())


_ARROWS = rare(r"<-+|-+>")


def body_end(text: str, start: int) -> int:
    """Where a row ends and words to its right begin, or the end of the line.

    Words come after the last bar, or after a gap if the row has no bar at its end. A run of
    dashes among them means that they are music after all.
    """
    last_bar = text.rfind("|")
    if last_bar > start:
        rest = last_bar + 1
        while rest < len(text) and text[rest] in ":*":
            rest += 1
        if "--" not in _ARROWS.sub("", text[rest:]) and not _MUSIC.fullmatch(text, rest):
            return rest
    for gap in re.finditer(r"(?<=[-\d:])\s+(\S+)", text[start:]):
        word = gap[1]
        letters = sum(c.isalpha() for c in word)
        at = start + gap.start()
        wide = gap.end() - gap.start() - len(word) > 1 and len(text) - at < _MOST_BEHIND
        if wide and _words_behind(text[at:].strip()):
            return at
        if letters >= 2 and not set("-|") & set(word) and "--" not in text[start + gap.end() :]:
            return start + gap.start()
    return len(text)


_MOST_BEHIND = 100  # characters of words behind a row
_TIMES = rare(r"\(?(?:[xX]\s?\d|\d\s?[xX])\)?")
_TWO_LETTERS = rare(r"[^\W\d_]{2}")


def _words_behind(rest: str) -> bool:
    """True for words, or how often a row is played, behind a wide gap: no music follows."""
    if "--" in rest or "|" in rest:
        return False
    return _TWO_LETTERS.search(rest) is not None or _TIMES.fullmatch(rest) is not None


def plain_row(line: Line) -> Row | None:
    """The line as a row, None also where it is a drawing of stems or says that it is a remark."""
    row = as_row(line)
    if row is None or _TRIPLET.fullmatch(line.text) or looks_drawn(line.text) or is_remark(line):
        return None
    return row


# Over its notes; between bars at the margin it is a row with a fret 3.
_TRIPLET = rare(
    r"(?:\s*(?:[\[\u250c]-{1,3}3-{1,3}[\]\u2510]\s*)+|\s{2,}(?:[|\[]-{1,3}3-{1,3}[|\]]\s*)+)"
)


def is_remark(line: Line) -> bool:
    return remark_after(line.text) is not None


def trailing_text(row: Row) -> tuple[int, str] | None:
    """Words that stand to the right of a row: where they start, and what they are."""
    text = row.line.text[row.end :]
    if not text.strip():
        return None
    return row.end + len(text) - len(text.lstrip()), text.strip()
