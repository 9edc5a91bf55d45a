"""What a file's own legend says of the signs in its rows: ``^ = slide``, ``(2) = let ring``."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from functools import cache

from msgspec.structs import replace

from rollstave.grid.typed import LegendSign
from rollstave.patterns import rare
from rollstave.problems import ProblemList
from rollstave.reading.page.decode import Line
from rollstave.reading.saying.judge import told
from rollstave.vocabulary import problems as kinds
from rollstave.vocabulary.signs import BY_NAME, COMMON, ROUND, Signs
from rollstave.vocabulary.technique import Technique
from rollstave.vocabulary.techniques import TECHNIQUES

_ITEM = re.compile(
    r"(?<![^\s,;(])(?!(?i:key)\b)(?P<sign>\(\s?[\dn#xX]{0,2}\s?\)|<\s?[\dn#]{1,2}\s?>|[^\s\w=:,;.\-|(){}]|[{}\[\]*]"
    r"|_|=(?=n\b)|[A-Za-z]{1,3})(?:(?<=[^\s\w])n\b)?"
    r"(?:\s+(?:after|before|behind|over|under|around|beside|between)"
    r"\s+(?:an?|two|the|every|each)\s+(?:number|fret|note|figure|digit)s?)?"
    r"\s*(?:=|:|\bis\b|\bmeans\b|--?)\s*(?P<words>[A-Za-z][^=:;,.]{2,60})"
)
SQUARE = rare(r"\[\s?[\dn#xX]?\s?\]", cues=("[",))


# A line that lists signs with nothing but a blank before their meanings.
_LIST = re.compile(
    r"\W*(?:(?:my|our|the)\s+)?(?:legend|key\s+to\s+(?:the\s+)?\w+|signs|symbols|marks|codes"
    r"|notation|abbreviations|abbr\.|zeichen|signes|signos|tekens|segni|tecken)\s*[:\-]",
    re.IGNORECASE,
)
_LISTED = rare(
    r"(?:(?<=[:,;])|(?<=-\s))\s*(?P<sign>\(\s?[\dnx#]{1,2}\s?\)|[^\s\w=:,;.\-|(){}]|[A-Za-z]{1,3})"
    r"\s+(?P<words>[A-Za-z][^=:;,.]{2,60})"
)


_FEWEST_LISTED = 2
_INDENTED = "   "  # a line that goes on with a list
# "A number in brackets is still ringing from before": no sign, but words for one.
_BRACKETED = rare(
    r"\b(?:notes?|numbers?|figures?|frets?|one|ones|those|anything|everything|what(?:ever)?)\b"
    r"[^.;:()]{0,20}?\b(?:in|with)\s+(?:round\s+|a\s+|these\s+)?"
    r"(?:brackets?|paren\w*|\(?\s?round(?:\s+(?:ones?|things?|signs?|marks?|brackets?))?\s?\)|round\s+ones|\(\s?\))"
    r"(?:\s+around\s+\w+)?,?\s+"
    r"(?P<words>(?:is|are|means?|was|were|rings?|sounds?|goes|holds?|should|may|can|you|do|does|don't|keeps?)\b[^.;]{2,60})",
    re.IGNORECASE,
)


# What begins a list of signs on the lines below it, and what such a line holds.
_LIST_BELOW = rare(
    r"[^|]*\b(?:signs|symbols|legend|marks|markings|notation)\b[^|]*:\s*$",
    re.IGNORECASE,
    cues=("signs", "symbols", "legend", "mark", "notation"),
)
_IN_LIST = rare(
    r"(?:^|(?<=\s\s))\s*(?P<sign>\(\s?[\dnx#]{0,2}\s?\)|[^\s\w=:,;.\-|(){}]|[A-Za-z]{1,3})"
    r"\s+(?P<words>[A-Za-z][^=:;,]{2,60}?)(?=\s{2,}|\s*$)"
)


# "< hammer on    > pull off": signs and a few words each, and nothing else.
_ALL_SIGNS = rare(
    r"(?:\s*(?:[^\s\w=:,;.\-|(){}\"'\[\]]|\(\s?\))\s+"
    r"[A-Za-z][A-Za-z -]{2,24}?(?:\s{2,}|\s*$))+"
)


# "Go by the letters. ^ hammer or pull.": a sign and its meaning as a sentence.
_SENTENCE = rare(
    r"(?:^|(?<=[.;]\s))\s*(?P<sign>[^\s\w=:,;.\-|(){}\"'\[\]<>])\s+"
    r"(?P<words>(?:an?\s)?[a-z]{3,12}(?:[ -][a-z]{1,12}){0,5})(?=[.;,]|\s*$)"
)


# "5>7 slide up": a sign between two frets, and what it means.
_EXAMPLE = rare(
    r"(?<![\w/])\d{1,2}(?P<sign>[^\w\s.:|-])\d{1,2}\s*(?:=|:|\bis\b|\bmeans\b)?\s+"
    r"(?P<words>(?:an?\s)?[a-z]{3,12}(?:[ -][a-z]{1,12}){0,3})(?=[.;,)]|\s{2}|\s*$)"
)


@cache
def _meanings() -> tuple[tuple[re.Pattern[str], Technique], ...]:
    """The words of a legend and what they mean, tried in order."""
    return tuple((re.compile(t.legend, re.IGNORECASE), t) for t in TECHNIQUES if t.legend)


def read_legend(lines: Iterable[Line], problems: ProblemList, bodies: Sequence[str] = ()) -> Signs:
    """The signs of a file: the common ones, changed by every ``sign = meaning`` in its words.

    A change of the common meaning is reported, so that a legend misread does no silent harm.
    ``bodies`` are the rows: what stands before frets in them is a sign, also where it is a letter
    that common words of prose give a meaning.
    """
    signs = COMMON
    listing = below = False  # on the lines below; below a first sign, those that stand under it
    before: Line | None = None
    for line in lines:
        items = [*_ITEM.finditer(line.text)]
        if _LIST.match(line.text) and not items:
            items = [*_LISTED.finditer(line.text)]
            if len(items) < _FEWEST_LISTED and "   " in line.text.strip():
                begins = line.text.index(":") + 1 if ":" in line.text else 0
                items = [*_IN_LIST.finditer(" " * begins + line.text[begins:])]
        if not items and not listing and _ALL_SIGNS.fullmatch(line.text):
            items = [*_IN_LIST.finditer(line.text)]
            known = sum(any(said.search(m["words"]) for said, _ in _meanings()) for m in items)
            if known < _FEWEST_LISTED or 2 * known < len(items):
                items = []
        if not items and not listing:
            items = [m for m in _SENTENCE.finditer(line.text) if _says_at_once(m["words"])]
        if not items and not listing and _EXAMPLE.search(line.text):
            items = [m for m in _EXAMPLE.finditer(line.text) if _says_at_once(m["words"])]
        if listing and not items:
            items = [*_IN_LIST.finditer(line.text)]
        if below and line.text.startswith(_INDENTED) and not items:
            items = [*_IN_LIST.finditer(line.text)]
        below = not line.blank and (below or _LIST.match(line.text) is not None)
        listing = not line.blank and (listing or _LIST_BELOW.match(line.text) is not None)
        for match in items:
            meant = meaning_of(match["words"])
            typed = meant is not None and meant.held and _leads(match["sign"], bodies)
            sign = meant and _changing(signs, match["sign"], meant, typed)
            if meant is None or not sign:
                continue
            problems.add(
                kinds.LEGEND,
                f"{match['sign']} is read as the tab's own legend says: "
                f"{match['words'].split('  ')[0].strip()}",
                line.place(match.start("sign")),
            )
            signs = signs.with_own(LegendSign(sign=sign, means=meant.name, line=line.text.strip()))
            if meant.other and re.search(BY_NAME[meant.other].legend, match["words"], re.I):
                signs = replace(signs, either=signs.either | {sign})
        signs = _with_told(signs, line, problems)
        signs = _with_brackets(signs, line, problems)
        if before is not None and before.number + 1 == line.number and not line.blank:
            signs = _with_brackets(signs, _sentence(before, line), problems)
        before = None if line.blank else line
    return signs


def _says_at_once(words: str) -> bool:
    """True for words that begin with what a sign means."""
    bare = re.sub(r"^an?\s+", "", words)
    return any(said.match(bare) for said, _ in _meanings())


# What stands behind a wide gap or a bracket is said of something else than the letter before it,
# and a down strum is a way of striking, for all that is struck.
_OF_ELSE = rare(
    r"(?:\s\w)*(?:\)|\s{3})|\W*(?:(?:is|means|for)\s)?\W*(?:(?:an?|the)\s)?(?:down|up)\b",
    re.IGNORECASE,
)


def _with_told(signs: Signs, line: Line, problems: ProblemList) -> Signs:
    """The signs with what a line tells in its own way: ``l = ligado``, ``the h's are hammers``."""
    own = {sign.sign for sign in signs.own}
    for found in told(line.text, "legend"):
        if not isinstance(found.value, tuple) or found.value[-1] not in BY_NAME:
            continue
        sign, means = found.value
        if _OF_ELSE.match(line.text, found.start + len(str(sign))):
            continue
        row = BY_NAME[str(means)]
        sign = _changing(signs, str(sign), row)
        if not sign or sign in own:
            continue
        problems.add(
            kinds.LEGEND,
            f"{sign} is read as {row.name}: the words say so",
            line.place(found.start),
        )
        signs = signs.with_own(LegendSign(sign=sign, means=row.name, line=line.text.strip()))
    return signs


def _sentence(line: Line, after: Line) -> Line:
    """A line with the one below it, where a sentence goes on there."""
    return line.with_text(f"{line.text.rstrip()} {after.text.strip()}")


def meaning_of(words: str) -> Technique | None:
    """What the words of a legend mean, None if they mean nothing known."""
    if _WAY.match(words):
        return None  # a down strum is a way of striking, for all that is struck
    return _first_said(words)


def _first_said(words: str, of_brackets: bool = False) -> Technique | None:
    """The technique that words name first: ``a slide and h is a hammer`` is a slide."""
    found = [
        (match.start(), number, row)
        for number, (said, row) in enumerate(_meanings())
        if (row.brackets or not of_brackets) and (match := said.search(words))
    ]
    return min(found, key=lambda one: one[:2])[2] if found else None


_WAY = rare(r"(?:an?\s|the\s)?(?:down|up)\b", re.IGNORECASE, cues=("down", "up"))


def square_meaning(line: Line) -> Technique | None:
    """What a line says that notes in square brackets are: ``[n] tied note``."""
    match = SQUARE.match(line.text.strip())
    if match is None:
        return None
    words = line.text.strip()[match.end() :]
    return next((row for said, row in _meanings() if row.brackets and said.search(words)), None)


# "( )   still ringing from the bar before", and among others: "x dead note; (n) still sounding"
_ROUND_LISTED = rare(
    r"(?:^\s*\(\s?[nx#\d]{0,2}\s?\)|(?:(?<=\s\s)|(?<=[;:,]\s))\(\s?[nx#]?\s?\))\s+"
    r"(?P<words>[a-z][^=|;]{4,80})(?:$|;)",
    cues=("(",),
)


def _changed_by(signs: Signs, words: str) -> Technique | None:
    """What words say that round brackets mean, if it is something else than they do."""
    meant = _first_said(words, of_brackets=True)
    return meant if meant is not None and _changing(signs, ROUND, meant) else None


def _with_brackets(signs: Signs, line: Line, problems: ProblemList) -> Signs:
    """The signs with what a sentence says of notes in round brackets."""
    low = line.text.lower()
    if meant := square_meaning(line):
        if signs.brackets is not meant and not any(own.sign == ROUND for own in signs.own):
            signs = signs.with_own(LegendSign(sign=ROUND, means=meant.name, line=line.text.strip()))
        return signs
    if (listed := _ROUND_LISTED.search(line.text)) and _changed_by(signs, listed["words"]):
        meant = _changed_by(signs, listed["words"])
        assert meant is not None
        problems.add(
            kinds.LEGEND,
            f"a note in brackets is read as these words say: {listed['words'].strip()}",
            line.place(listed.start("words")),
        )
        return signs.with_own(LegendSign(sign=ROUND, means=meant.name, line=line.text.strip()))
    words_for_brackets = "bracket" in low or "paren" in low or "round" in low
    if not words_for_brackets and "()" not in low and "( )" not in low:
        return signs
    match = _BRACKETED.search(line.text)
    if match is None:
        return signs
    words = match["words"]
    meant = _first_said(words, of_brackets=True)
    if meant is None or not _changing(signs, ROUND, meant):
        return signs
    problems.add(
        kinds.LEGEND,
        f"a note in brackets is read as these words say: {words.strip()}",
        line.place(match.start("words")),
    )
    return signs.with_own(LegendSign(sign=ROUND, means=meant.name, line=line.text.strip()))


def _leads(sign: str, bodies: Sequence[str]) -> bool:
    """True for a letter that stands before frets in the rows, and behind none."""
    if len(sign) > 1 or not sign.isalpha():
        return False
    before = any(f"{dash}{sign}{n}" in body for body in bodies for n in range(10) for dash in "-|")
    return before and not any(f"{n}{sign}" in body for body in bodies for n in range(10))


def _changing(signs: Signs, sign: str, row: Technique, typed: bool = False) -> str:
    """The sign to which a legend gives another meaning than it has; empty if it changes nothing
    or cannot be taken at its word. ``typed``: the rows have the sign where it makes sense."""
    if sign.startswith("("):
        return ROUND if row.brackets and signs.brackets is not row else ""
    if row.what in ("rest", "fret"):
        # A letter that means nothing in rows may be a rest's; "a rest" is prose.
        known = sign in row.signs or (
            row.what == "rest"
            and len(sign) == 1
            and sign not in COMMON.meanings
            and sign not in "aAI"
        )
    else:
        # The common words of prose ("a hold", "T - held") give no letter that meaning.
        known = bool(row.signs or row.instead) and (typed or not (row.held and sign.isalpha()))
    frets = sign.startswith("<") and (len(sign) > 1 or row.what != "link")
    taken = frets or sign in "xX" or not known
    return "" if taken or signs.meanings.get(sign) is row else sign
