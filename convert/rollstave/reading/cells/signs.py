"""What a file's own legend says of the signs in its rows: ``^ = slide``, ``(2) = let ring``."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import cache

from rollstave.grid.typed import LegendSign
from rollstave.patterns import rare
from rollstave.problems import ProblemList
from rollstave.reading.page.decode import Line
from rollstave.vocabulary import problems as kinds
from rollstave.vocabulary.signs import COMMON, ROUND, Signs
from rollstave.vocabulary.technique import Technique
from rollstave.vocabulary.techniques import TECHNIQUES

_ITEM = re.compile(
    r"(?<![^\s,;(])(?!(?i:key)\b)(?P<sign>\(\s?[\dn#]{1,2}\s?\)|<\s?[\dn#]{1,2}\s?>|[^\s\w=:,;.\-|(){}]|[{}\[\]*]"
    r"|[A-Za-z]{1,3})\s*(?:=|:|\bis\b|\bmeans\b|--?)\s*(?P<words>[A-Za-z][^=:;,.]{2,60})"
)


# A line that lists signs with nothing but a blank before their meanings.
_LIST = re.compile(r"\s*(?:legend|key\s+to\s+(?:the\s+)?\w+|signs|symbols)\s*[:\-]", re.IGNORECASE)
_LISTED = rare(
    r"(?:(?<=[:,;])|(?<=-\s))\s*(?P<sign>\(\s?[\dnx#]{1,2}\s?\)|[^\s\w=:,;.\-|(){}]|[A-Za-z]{1,3})"
    r"\s+(?P<words>[A-Za-z][^=:;,.]{2,60})"
)


@cache
def _meanings() -> tuple[tuple[re.Pattern[str], Technique], ...]:
    """The words of a legend and what they mean, tried in order."""
    return tuple((re.compile(t.legend, re.IGNORECASE), t) for t in TECHNIQUES if t.legend)


def read_legend(lines: Iterable[Line], problems: ProblemList) -> Signs:
    """The signs of a file: the common ones, changed by every ``sign = meaning`` in its words.

    A change of the common meaning is reported, so that a legend misread does no silent harm.
    """
    signs = COMMON
    for line in lines:
        items = [*_ITEM.finditer(line.text)]
        if _LIST.match(line.text) and not items:
            items = [*_LISTED.finditer(line.text)]
        for match in items:
            meant = next((row for words, row in _meanings() if words.search(match["words"])), None)
            sign = meant and _changing(signs, match["sign"], meant)
            if meant is None or not sign:
                continue
            problems.add(
                kinds.LEGEND,
                f"{match['sign']} is read as the tab's own legend says: "
                f"{match['words'].split('  ')[0].strip()}",
                line.place(match.start("sign")),
            )
            signs = signs.with_own(LegendSign(sign=sign, means=meant.name, line=line.text.strip()))
    return signs


def _changing(signs: Signs, sign: str, row: Technique) -> str:
    """The sign to which a legend gives another meaning than it has; empty if it changes nothing
    or cannot be taken at its word."""
    if sign.startswith("("):
        return ROUND if row.brackets and signs.brackets is not row else ""
    if row.what in ("rest", "fret"):
        known = sign in row.signs
    else:
        # The common words of prose ("a hold", "T - held") give no letter that meaning.
        known = bool(row.signs or row.instead) and not (row.held and sign.isalpha())
    taken = sign.startswith("<") or sign in "xX" or not known
    return "" if taken or signs.meanings.get(sign) is row else sign
