"""Markup of web pages and message boards: tags, character references, codes in brackets."""

from __future__ import annotations

import re
from itertools import pairwise

from msgspec.structs import replace

from rollstave.patterns import rare
from rollstave.problems import Place
from rollstave.reading.ledger import Ledger, Use
from rollstave.reading.page.decode import Line, plain
from rollstave.reading.page.frames import is_heading
from rollstave.reading.state import ReadingState
from rollstave.vocabulary import problems as kinds

# Only tags by name: <12> is a harmonic.
_TAG = rare(
    r"</?(?:!doctype|html|head|body|title|pre|br|p|div|span|code|tt|font|a|b|i|u|em|strong|h[1-6]"
    r"|center|blockquote|td|th|tr|table|hr|meta|script|style)(?:\s[^<>]*)?/?>|<!--.*?-->",
    re.IGNORECASE,
)
# Tags that end a line on the page: what stands on both sides of one is not one line of words.
_BLOCK = rare(r"</?(?:title|p|div|br|h[1-6]|td|th|tr|pre|blockquote|center|hr)\b", re.IGNORECASE)
_PART = rare(r"\s*<[A-F]>")
_LINK_END = "</"
_GAP = "   "  # divides headings
_ENTITY = rare(r"&(?:[a-z]{2,8}|#\d{1,6}|#x[0-9a-f]{1,5});", re.IGNORECASE)
_FEWEST_ENTITIES = 6  # lines with one, where there is no tag: cut from a page's source
# Codes of a message board; believed where one of them is closed, since ``[B]`` names a part.
_BOARD = (
    r"(?:b|i|u|s|code|pre|quote|tab|font|size|colou?r|cent(?:er|re)|url|spoiler|list)"
    r"(?:=[^\[\]]{0,60})?\]"
)
_BOARD_END = rare(rf"\[/{_BOARD}", re.IGNORECASE)
_PRE = rare(r"</?pre\b[^<>]*>", re.IGNORECASE)
_BREAK = rare(r"</?(?:pre|br|p|div|tr)\b[^<>]*>", re.IGNORECASE)
_NAMED = 3  # that a notice names
_FEWEST_BREAKS = 4  # in a page without lines


def line_breaks(state: ReadingState) -> None:
    """Cut a line of a page where tags end a line: where a tab begins and ends, and at every break
    of a page that is all one line."""
    lines = state.lines
    tagged = any(
        "<" in line.text and _TAG.search(line.text) and not _names_a_part(line.text, state)
        for line in lines
    )
    state.markup = tagged or (
        sum("&" in line.text and bool(_ENTITY.search(line.text)) for line in lines)
        >= _FEWEST_ENTITIES
    )
    if state.markup:
        state.lines = [cut for line in lines for cut in _at_line_breaks(line)]


def _names_a_part(text: str, state: ReadingState) -> bool:
    """True for ``<A>`` at the beginning of a line of a file in which no such tag is closed."""
    return _PART.match(text) is not None and _LINK_END not in state.text


def tags_and_codes(state: ReadingState) -> None:
    """Take off tags and the codes of message boards, and put characters for their references."""
    patterns = [_TAG.pattern, _ENTITY.pattern] if state.markup else []
    if any("[/" in line.text and _BOARD_END.search(line.text) for line in state.lines):
        patterns.append(rf"\[/?{_BOARD}")
    if not patterns:
        return
    parts = "" if _LINK_END in state.text else r"(?!(?-i:<[A-F]>))"
    codes = re.compile(f"{parts}(?:{'|'.join(patterns)})", re.IGNORECASE)
    _say_taken(state, codes)
    state.lines = [
        _without_codes(line, codes, state.ledger)
        if any(char in line.text for char in "<&[")
        else line
        for line in state.lines
    ]


def _say_taken(state: ReadingState, codes: re.Pattern[str]) -> None:
    """Say what is taken from the midst of words: it may be what the typist meant."""
    found: dict[str, Place] = {}
    for line in state.lines:
        if "<" not in line.text and "[" not in line.text:
            continue
        if "--" in line.text:
            continue
        first, last = len(line.text) - len(line.text.lstrip()), len(line.text.rstrip())
        for tag in codes.finditer(line.text):
            behind_words = tag.start() > first and line.text[tag.start() - 1] == " "
            if behind_words and tag.end() < last and not tag[0].startswith("&"):
                found.setdefault(tag[0], line.place(tag.start()))
    if found:
        names = list(found)
        more = f" and {len(names) - _NAMED} more" if len(names) > _NAMED else ""
        said = ", ".join(name[:40] for name in names[:_NAMED])
        state.problems.add(
            kinds.MARKUP,
            f"{said}{more} among words is taken for markup and left out",
            found[names[0]],
        )


def _at_line_breaks(line: Line) -> list[Line]:
    if "<" not in line.text:
        return [line]
    found = [m.start() for m in _BREAK.finditer(line.text)]
    if len(found) < _FEWEST_BREAKS:
        found = [m.start() for m in _PRE.finditer(line.text)]
    length = len(line.text)
    edges = [0, *(at for at in found if at), length]
    columns = line.columns or tuple(range(length))
    return [replace(line, text=line.text[a:b], columns=columns[a:b]) for a, b in pairwise(edges)]


def _without_codes(line: Line, codes: re.Pattern[str], ledger: Ledger) -> Line:
    """Rebuild a line from the left, so that long lines cost no more than their length."""
    texts: list[str] = []
    columns: list[int] = []
    own = line.columns or tuple(range(len(line.text)))
    at = 0
    for match in codes.finditer(line.text):
        texts.append(line.text[at : match.start()])
        columns.extend(own[at : match.start()])
        if match[0].startswith("&"):
            from html import unescape

            texts.append(plain(unescape(match[0])[:1].replace("\u00a0", " "))[:1])
            columns.append(own[match.start()])
            # The first character stands for all; it is claimed by whoever reads it.
            ledger.claim(line, match.start() + 1, match.end(), Use.FRAME)
        else:
            ledger.claim(line, match.start(), match.end(), Use.FRAME)
            if _BLOCK.match(match[0]) and texts[-1].strip() and not texts[-1].endswith("|"):
                named = match[0][:4].lower() in ("</td", "</th") and is_heading("".join(texts))
                gap = ":  " if named else _GAP
                texts.append(gap)
                columns.extend([own[match.start()]] * len(gap))
        at = match.end()
    texts.append(line.text[at:])
    columns.extend(own[at:])
    return Line(number=line.number, text="".join(texts), typed=line.typed, columns=tuple(columns))
