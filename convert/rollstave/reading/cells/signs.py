"""What the signs in a row mean: the common table, and what a file's own legend changes in it."""

from __future__ import annotations

import re
from collections.abc import Iterable

from msgspec import Struct, field
from msgspec.structs import replace

from rollstave.grid.typed import Link
from rollstave.problems import ProblemList
from rollstave.reading.page.decode import Line
from rollstave.vocabulary import problems as kinds

# Common practice; the signs vary by writer. "r" releases a bend: the note is not struck anew.
LINKS: dict[str, Link] = {
    "h": Link.HAMMER_ON,
    "H": Link.HAMMER_ON,
    "ho": Link.HAMMER_ON,
    "ham": Link.HAMMER_ON,
    "p": Link.PULL_OFF,
    "P": Link.PULL_OFF,
    "po": Link.PULL_OFF,
    "pull": Link.PULL_OFF,
    "s": Link.SLIDE,
    "S": Link.SLIDE,
    "sl": Link.SLIDE,
    "/": Link.SLIDE,
    "\\": Link.SLIDE,
    "t": Link.TAP,
    "T": Link.TAP,
    "=": Link.TIE,
    "r": Link.TIE,
}
# Marks belong to one note: the sign, and the field of a stroke that it sets.
MARKS: dict[str, str] = {
    "b": "bend",
    "B": "bend",
    "c": "bend",
    "^": "bend",
    "ch": "bend",
    "~": "vibrato",
    "v": "vibrato",
    "vib": "vibrato",
    "br": "brushed",
    "lr": "let_ring",
    "nh": "harmonic",
    "harm": "harmonic",
}
# Words of a legend and what they mean, tried in order: a link, a mark, or a kind of brackets.
_MEANINGS: tuple[tuple[str, Link | str], ...] = (
    (r"hammer", Link.HAMMER_ON),
    (r"pull", Link.PULL_OFF),
    (r"slid", Link.SLIDE),
    (r"bend|choke", "bend"),
    (r"vibrato|shake", "vibrato"),
    (r"harmonic|chime", "harmonic"),
    (r"ghost|hardly|barely|optional|soft", "ghost"),
    (r"let\s+(?:it\s+)?ring|keep ringing", "let_ring"),
    (r"tie[ds]?\b|held|hold", "tie"),
    (r"mute|dead|damp", "muted"),
    (r"brush|strum", "brushed"),
    (r"grace|quick note", "grace"),
    (r"tap", Link.TAP),
)
_ITEM = re.compile(
    r"(?<![^\s,;(])(?!(?i:key)\b)(?P<sign>\(\s?[\dn#]{1,2}\s?\)|<\s?[\dn#]{1,2}\s?>|[^\s\w=:,;.\-|(){}]|[{}\[\]*]"
    r"|[A-Za-z]{1,3})\s*(?:=|:|\bis\b|\bmeans\b|--?)\s*(?P<words>[A-Za-z][^=:;,.]{2,60})"
)


# A line that lists signs with nothing but a blank before their meanings.
_LIST = re.compile(r"\s*(?:legend|key\s+to\s+(?:the\s+)?\w+|signs|symbols)\s*[:\-]", re.IGNORECASE)
_LISTED = re.compile(
    r"(?:(?<=[:,;])|(?<=-\s))\s*(?P<sign>\(\s?[\dnx#]{1,2}\s?\)|[^\s\w=:,;.\-|(){}]|[A-Za-z]{1,3})"
    r"\s+(?P<words>[A-Za-z][^=:;,.]{2,60})"
)


class Signs(Struct, frozen=True):
    """The signs of one tune. ``brackets`` is what a note in round brackets is: ``ghost``,
    ``let_ring``, ``tie`` or ``grace``. In braces it is always a grace note."""

    links: dict[str, Link] = field(default_factory=lambda: dict(LINKS))
    marks: dict[str, str] = field(default_factory=lambda: dict(MARKS))
    brackets: str = "ghost"

    def __contains__(self, sign: str) -> bool:
        return sign in self.links or sign in self.marks


COMMON = Signs()


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
            meaning = next(
                (m for words, m in _MEANINGS if re.search(words, match["words"], re.IGNORECASE)),
                None,
            )
            if meaning is None:
                continue
            changed = _with(signs, match["sign"], meaning)
            if changed is not signs:
                problems.add(
                    kinds.LEGEND,
                    f"{match['sign']} is read as the tab's own legend says: "
                    f"{match['words'].split('  ')[0].strip()}",
                    line.place(match.start("sign")),
                )
                signs = changed
    return signs


def _with(signs: Signs, sign: str, meaning: Link | str) -> Signs:
    """The signs with one meaning changed; the same object if nothing changes."""
    if sign.startswith("("):
        if meaning in ("ghost", "let_ring", "tie", "grace") and signs.brackets != meaning:
            return replace(signs, brackets=str(meaning))
        return signs
    if sign.startswith("<") or sign in "xX" or meaning in ("ghost", "tie", "muted", "grace"):
        return signs
    if isinstance(meaning, Link):
        if signs.links.get(sign) is meaning:
            return signs
        marks = {s: m for s, m in signs.marks.items() if s != sign}
        return replace(signs, links=signs.links | {sign: meaning}, marks=marks)
    if signs.marks.get(sign) == meaning:
        return signs
    links = {s: k for s, k in signs.links.items() if s != sign}
    return replace(signs, links=links, marks=signs.marks | {sign: meaning})
