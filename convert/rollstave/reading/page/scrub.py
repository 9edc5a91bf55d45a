"""Taking off what surrounds a tab: quote marks and codes of a mail, markup of a page, fences."""

from __future__ import annotations

import html
import re
from collections import Counter
from collections.abc import Sequence
from itertools import pairwise

from msgspec.structs import replace

from rollstave.problems import ProblemList
from rollstave.reading.ledger import Ledger, Use
from rollstave.reading.page.decode import Line, plain
from rollstave.reading.page.mail import without_header
from rollstave.reading.page.quoted import uncoded

_QUOTE = re.compile(r"\s*(?:>\s?)+")
# Only tags by name: <12> is a harmonic.
_TAG = re.compile(
    r"</?(?:!doctype|html|head|body|title|pre|br|p|div|span|code|tt|font|a|b|i|u|em|strong|h[1-6]"
    r"|center|blockquote|td|tr|table|hr|meta|script|style)(?:\s[^<>]*)?/?>|<!--.*?-->",
    re.IGNORECASE,
)
# Tags that end a line on the page: what stands on both sides of one is not one line of words.
_BLOCK = re.compile(r"</?(?:title|p|div|br|h[1-6]|td|tr|pre|blockquote|center|hr)\b", re.IGNORECASE)
_GAP = "   "  # divides headings
_ENTITY = re.compile(r"&(?:[a-z]{2,8}|#\d{1,6}|#x[0-9a-f]{1,5});", re.IGNORECASE)
# Codes of a message board; believed where one of them is closed, since ``[B]`` names a part.
_BOARD = (
    r"(?:b|i|u|s|code|pre|quote|tab|font|size|colou?r|cent(?:er|re)|url|spoiler|list)"
    r"(?:=[^\[\]]{0,60})?\]"
)
_BOARD_END = re.compile(rf"\[/{_BOARD}", re.IGNORECASE)
_PAGE = re.compile(r"(?:- ?)?(?:page|p\.) ?\d{1,4}(?: of \d{1,4})?(?: ?-)?", re.IGNORECASE)
_PAGE_NUMBER = re.compile(r"(-{1,3}) ?\d{1,3} ?\1")  # believed between empty lines
# A line of words in a box: the sides are no bars.
_SIDES = "|#"
_A_WORD = re.compile(r"[^\W\d_]{3}")
_FENCE = re.compile(r"\s*(?:```|~~~)\w*\s*$")


def scrub(lines: Sequence[Line], ledger: Ledger, problems: ProblemList | None = None) -> list[Line]:
    """The lines without quote marks, tags, character references, code fences and mail's coding.

    A mark that is taken off is claimed in the ledger; all other characters keep their places.
    ``problems`` gets what is doubtful, where someone wants to know.
    """
    for front in (_numbers_of_lines(lines), _quote_marks(lines), _initials(lines)):
        if front is not None:
            lines = [_without_front(line, front, ledger) for line in lines]
    markup = any(_TAG.search(line.text) for line in lines)
    # Cut from a page's source, a tab may have no tag left.
    markup = markup or sum(bool(_ENTITY.search(line.text)) for line in lines) >= _FEWEST_LINES
    patterns = [_TAG.pattern, _ENTITY.pattern] if markup else []
    if any(_BOARD_END.search(line.text) for line in lines):
        patterns.append(rf"\[/?{_BOARD}")
    codes = re.compile("|".join(patterns), re.IGNORECASE) if patterns else None
    lines = _without_page_numbers(lines, ledger)
    if markup:
        lines = [piece for line in lines for piece in _at_line_breaks(line)]
    lines = [_scrub(line, codes, ledger) for line in lines]
    return without_header(uncoded(lines, ledger, problems), ledger)


# What stands before every line of a listing, or of a quotation.
_LINE_NUMBER = re.compile(r"\s*(\d{1,6})[:.)|]?(?:\s|$)")
_INITIALS = re.compile(r"\s*([A-Z]{2,4})>")
_COLON_AND_GAP = re.compile(r"\s*:(?:\s|$)")
_BAR_AND_GAP = re.compile(r"\s*\|(?:\s|$)")
_FEWEST_LINES = 6


def _numbers_of_lines(lines: Sequence[Line]) -> re.Pattern[str] | None:
    """The pattern of line numbers, if every line that is not blank has one and they count on."""
    first: int | None = None
    seen = 0
    for line in lines:
        if line.blank:
            continue
        match = _LINE_NUMBER.match(line.text)
        if match is None:
            return None
        offset = int(match[1]) - line.number
        if first is not None and offset != first:
            return None
        first = offset
        seen += 1
    return _LINE_NUMBER if seen >= _FEWEST_LINES else None


def _quote_marks(lines: Sequence[Line]) -> re.Pattern[str] | None:
    """The pattern of a bar or a colon before every line, words and all, as some programs quote."""
    typed = [line.text for line in lines if not line.blank]
    if len(typed) < _FEWEST_LINES:
        return None
    if all(_COLON_AND_GAP.match(text) for text in typed):
        return _COLON_AND_GAP
    if not all(_BAR_AND_GAP.match(text) for text in typed):
        return None
    return _BAR_AND_GAP if any(text.count("|") == 1 for text in typed) else None


def _initials(lines: Sequence[Line]) -> re.Pattern[str] | None:
    """The pattern of the initials of whom a mail quotes (``MQ> ``), where many lines have them."""
    found = Counter(match[1] for line in lines if (match := _INITIALS.match(line.text)))
    who, times = found.most_common(1)[0] if found else ("", 0)
    return re.compile(rf"\s*{who}>\s?") if times >= _FEWEST_LINES else None


def _without_front(line: Line, front: re.Pattern[str], ledger: Ledger) -> Line:
    match = front.match(line.text)
    if match is None:
        return line
    ledger.claim(line, 0, match.end(), Use.FRAME)
    return line.without(0, match.end())


def _scrub(line: Line, codes: re.Pattern[str] | None, ledger: Ledger) -> Line:
    if match := _QUOTE.match(line.text):
        ledger.claim(line, 0, match.end(), Use.FRAME)
        line = line.without(0, match.end())
    if _FENCE.match(line.text):
        ledger.claim(line, 0, len(line.text), Use.FRAME)
        return line.with_text(" " * len(line.text))
    if _PAGE.fullmatch(line.text.strip()):
        ledger.claim(line, 0, len(line.text), Use.FRAME)
        return line.with_text(" " * len(line.text))
    if _in_a_box(line.text.strip()):
        line = _without_sides(line, ledger)
    if codes is not None and any(char in line.text for char in "<&["):
        line = _without_markup(line, codes, ledger)
    return line


_PRE = re.compile(r"</?pre\b[^<>]*>", re.IGNORECASE)
_BREAK = re.compile(r"</?(?:pre|br|p|div|tr)\b[^<>]*>", re.IGNORECASE)
_FEWEST_BREAKS = 4  # in a page without lines


def _at_line_breaks(line: Line) -> list[Line]:
    """The pieces of a line that are lines on the page: where a tab begins and ends, and at every
    break of a page that is all one line."""
    if "<" not in line.text:
        return [line]
    found = [m.start() for m in _BREAK.finditer(line.text)]
    if len(found) < _FEWEST_BREAKS:
        found = [m.start() for m in _PRE.finditer(line.text)]
    length = len(line.text)
    edges = [0, *(at for at in found if at), length]
    columns = line.columns or tuple(range(length))
    return [replace(line, text=line.text[a:b], columns=columns[a:b]) for a, b in pairwise(edges)]


def _without_page_numbers(lines: Sequence[Line], ledger: Ledger) -> list[Line]:
    result = list(lines)
    for index, line in enumerate(lines):
        if not _PAGE_NUMBER.fullmatch(line.text.strip()):
            continue
        if all(
            other.blank
            for other in (*lines[max(0, index - 1) : index], *lines[index + 1 : index + 2])
        ):
            ledger.claim(line, 0, len(line.text), Use.FRAME)
            result[index] = line.with_text(" " * len(line.text))
    return result


def _in_a_box(text: str) -> bool:
    inside = text[1:-1]
    return (
        text[:1] in _SIDES
        and text[-1:] == text[:1]
        and inside[:1].isspace()
        and text[0] not in inside
        and "--" not in inside
        and _A_WORD.search(inside) is not None
    )


def _without_sides(line: Line, ledger: Ledger) -> Line:
    text = line.text
    left, right = len(text) - len(text.lstrip()), len(text.rstrip()) - 1
    for side in (left, right):
        ledger.claim(line, side, side + 1, Use.FRAME)
    return line.with_text(f"{' ' * (left + 1)}{text[left + 1 : right]} {text[right + 1 :]}")


def _without_markup(line: Line, codes: re.Pattern[str], ledger: Ledger) -> Line:
    """Rebuilt piece by piece from the left, so that long lines cost no more than their length."""
    pieces: list[str] = []
    columns: list[int] = []
    own = line.columns or tuple(range(len(line.text)))
    at = 0
    for match in codes.finditer(line.text):
        pieces.append(line.text[at : match.start()])
        columns.extend(own[at : match.start()])
        if match[0].startswith("&"):
            pieces.append(plain(html.unescape(match[0])[:1].replace("\u00a0", " "))[:1])
            columns.append(own[match.start()])
            # The first character stands for all; it is claimed by whoever reads it.
            ledger.claim(line, match.start() + 1, match.end(), Use.FRAME)
        else:
            ledger.claim(line, match.start(), match.end(), Use.FRAME)
            if _BLOCK.match(match[0]) and pieces[-1].strip() and not pieces[-1].endswith("|"):
                pieces.append(_GAP)
                columns.extend([own[match.start()]] * len(_GAP))
        at = match.end()
    pieces.append(line.text[at:])
    columns.extend(own[at:])
    return Line(number=line.number, text="".join(pieces), typed=line.typed, columns=tuple(columns))
