"""Which lines of words are titles: the first of a file, and those of further tunes."""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction

from rollstave.grid.typed import Heading
from rollstave.patterns import rare
from rollstave.reading.page.decode import Line
from rollstave.reading.words.dividing import pieces
from rollstave.reading.words.headings import bare_heading, read_headings
from rollstave.reading.words.section_names import read_section
from rollstave.reading.words.title_line import split_title
from rollstave.vocabulary.doubtful import OF_SHEETS, OF_SHEETS_CUES, PAGES_OF_SITES
from rollstave.vocabulary.headings import HEADINGS

_LONGEST = 70
LONGEST_LINE = 300  # of a title with what it says more
_NUMBERED = rare(r"\s*(?:(?:tune|no\.?|nr\.?|#)\s*)?\(?\d{1,3}\s*[.):]\s+\S", re.IGNORECASE)
# Headings that a new tune begins with; a lone meter or key may change inside a tune.
_OPENING = frozenset(row.key for row in HEADINGS if row.opens)


def is_ruler(line: Line) -> bool:
    """A line of dashes, stars or the like that divides or underlines."""
    text = line.text.strip()
    return bool(text) and not any(c.isalnum() for c in text)


def could_be_title(line: Line) -> bool:
    """True for words that may be a title; a long line if it says more behind a title."""
    words = line.text.strip()
    if closes(words) or leads_elsewhere(words):
        return False
    sentences = words.endswith(".") and ". " in words
    if _LONGEST < len(words) <= LONGEST_LINE or (sentences and len(words) <= _LONGEST):
        title, more = split_title(line, line.text.find(words), words)
        words = title if more else words
    named = 3 * sum(c.isalnum() for c in words) > len(words.replace(" ", ""))
    if words.startswith("|"):  # bars without a row: chord names that are not known, a ruler
        return False
    if words.endswith((".", ":", ";", ",")) and not _SHORTENED.search(words):
        # At the very top of a file a name may end with a stop.
        return line.number == 1 and words[-1] in ".:" and _is_a_name(words[:-1])
    return named and len(words) <= _LONGEST


def _is_a_name(words: str) -> bool:
    return len(words.split()) > 1 and looks_named(words)


# What closes a tune or a file: no title.
_CLOSING = rare(
    r"[-=*~. ]*(?:(?:that's\s+)?(?:the\s+)?end"
    r"(?:\s+of\s+(?:the\s+)?(?:tab|tune|file|song|page|sheet))?"
    r"|fin|finis|that's\s+(?:all|it))[-=*~.! ]*",
    re.IGNORECASE,
    cues=("end", "fin", "that's"),
)


def closes(text: str) -> bool:
    """True for words that close a tune or a file: ``THE END``."""
    return _CLOSING.fullmatch(text.strip()) is not None


_BETWEEN_PAGES = re.compile(r"\s*[|»›«·•>]+\s*|\s*[\[\]]+\s*|\s+[-/:]{1,2}\s+|\s{2,}|,\s+")
_PAGES = frozenset(PAGES_OF_SITES.split())
_MOST_OF_PAGES = Fraction(1, 2)
_LONGEST_OF_PAGES = 300  # characters of a line that leads to other pages


def leads_elsewhere(text: str) -> bool:
    """True for the words of a page that lead to others: ``Home | Tabs | Contact``, ``[back]
    [next]``, ``<< previous``. One of them is often named as a tune is; half of them are not."""
    if len(text) > _LONGEST_OF_PAGES or not _BETWEEN_PAGES.search(text):
        return False
    found = [piece for piece in _BETWEEN_PAGES.split(text.strip(" <>")) if piece]
    pages = sum(bool(words := _words(piece)) and _PAGES.issuperset(words) for piece in found)
    barred = any(sign in text for sign in "|»«·•>[")
    return pages >= (1 if barred else 3) and pages >= _MOST_OF_PAGES * len(found)


def end_of_trail(text: str) -> str:
    """The name that a way through the pages of a site ends with: ``Home > Tabs > Reed Gate``."""
    if len(text) > _LONGEST_OF_PAGES:
        return ""
    last = re.split(r"\s*[>»›]+\s*", text.strip())[-1]
    trail = leads_elsewhere(text) and last != text.strip() and len(last.split()) > 1
    return last if trail and looks_named(last) and not _PAGES.issuperset(_words(last)) else ""


def _words(text: str) -> list[str]:
    return re.findall(r"[\w']+", text.casefold())


_SMALL = ("over", "under", "with", "from", "down", "into", "upon", "through", "between")


def looks_named(text: str) -> bool:
    """True if words are written as names are: every longer one with a capital."""
    found = re.findall(r"[^\W\d_][\w']*", text)
    return (
        0 < len(found) <= 8
        and found[0][0].isupper()
        and all(word[0].isupper() for word in found if len(word) > 3 and word not in _SMALL)
        and text.rstrip()[-1] not in ".!?:;,"
    )


_SHEETS = rare(OF_SHEETS, re.IGNORECASE, OF_SHEETS_CUES)


def heads_a_sheet(text: str) -> bool:
    """True for what stands in the head of a page rather than in the name of a tune: a school, a
    handout and its number, who wrote when."""
    return _SHEETS.search(text) is not None


_SHORTENED = re.compile(r"\b(?:trad|arr|jr|sr)\.$", re.IGNORECASE)
_DRESS = re.compile(
    r"^(?:(?:(?i:re|fwd?|aw|thread|topic):\s*)+|(?i:(?:banjo )?tab):\s+|TAB\s+-+\s+"
    r"|(?i:tab)\s+(?i:for|of)\s+(?=[\"“A-Z])|#+\s+"
    r"|(?:[*=_~]+\s*)+|>+ (?=.*<$)|-{2,}\s*|[\[{<](?=[^\[{<]+[\]}>]$))"
    r"|(?:\s*[*=_~#<])+$|\s*-{2,}$|(?<=\w)[\]}>]$"
)
# What counts the tunes of a file: "2) Nettle Hill", "No. 3 Nettle Hill".
_COUNTED = re.compile(
    r"^(?:(?i:tune|no\.?|nr\.?)\s*\d{1,3}\s*[.):]?\s+(?=[\"“]?[A-Z])|[#(]?\d{1,3}\s*[.):]\s+(?=\D)"
    r"|#\s?\d{1,3}\s+(?=[\"“]?[A-Z])|[IVXL]{2,7}[.)]\s+(?=\S))"
)
_SPACED = re.compile(r"\w(?:\s+(?:['’]\s?)?\w['’]?){3,}$")


def undressed(text: str) -> str:
    """A title without the signs that make it a title elsewhere, and without its number:
    ``# Title``, ``*** Title ***``, ``2) Title``, ``T I T L E``."""
    bare = _DRESS.sub("", text).strip() or text
    if bare[0] in "«„" and bare[-1] in '»“”"' and bare[1:-1].strip():
        bare = bare[1:-1].strip()
    if bare[-1] in ".:" and _is_a_name(bare[:-1]) and not _SHORTENED.search(bare):
        bare = bare[:-1]
    bare = _COUNTED.sub("", bare)
    if _SPACED.match(bare):
        words = ("".join(word.split()) for word in re.split(r"\s{2,}", bare))
        bare = " ".join(words)
    return bare


_CONTINUED = rare(
    r"[-,]? ?[(\[]?(?:cont(?:inued|\.|'d)?|ctd\.?)[)\]]?$", re.IGNORECASE, cues=("cont", "ctd")
)


def without_continued(text: str) -> str:
    """A title without what says that its tune goes on here: ``Nettle Hill (cont.)``."""
    return _CONTINUED.sub("", text.strip())


def is_counted(text: str) -> bool:
    """True for the name of one of several tunes, with its number: ``#1  Nettle Hill``."""
    return _COUNTED.match(text.strip()) is not None


def is_numbered(text: str) -> bool:
    return _NUMBERED.match(text) is not None


def number_of(text: str) -> int | None:
    """The number of a numbered title, or None."""
    match = _NUMBERED.match(text)
    found = re.search(r"\d+", match[0]) if match else None
    return int(found[0]) if found else None


def capitals_alike(lines: Sequence[Line], index: int, first: str) -> bool:
    """True if a line alone is in capitals as the first title of the file is, several words each:
    the title of a further tune."""
    line = lines[index]
    beside = [lines[i] for i in (index - 1, index + 1) if 0 <= i < len(lines)]
    return (
        all(len(t.split()) > 1 and t.isupper() for t in (first, line.text.strip()))
        and first.split() != line.text.split()  # else the head of a further page
        and all(other.blank or is_ruler(other) for other in beside)
        and could_be_title(line)
        and not read_section(line)
        and not read_headings(line, head=True)
    )


def begins_tune(lines: Sequence[Line], index: int, first_title_numbered: bool) -> bool:
    """True if a line between systems is the title of a further tune.

    It stands alone under an empty line or a ruler, and it is underlined, or numbered as the
    first title was, or followed by headings that only a new tune has.
    """
    line = lines[index]
    alone = index == 0 or lines[index - 1].blank or is_ruler(lines[index - 1])
    if not alone or not could_be_title(line):
        return False
    # What a line of words is not is asked last: it costs most.
    return _opens(lines, index, first_title_numbered) and not (
        read_section(line) or read_headings(line, head=True)
    )


def facts_among_words(line: Line) -> list[Heading]:
    """The headings of a line that has other words, too, if a tuning is among them: ``banjo, G
    minor, sawmill gDGCD, 4/4``."""
    found = [bare_heading(line, piece.start, piece.text, head=True) for piece in pieces(line.text)]
    facts = [heading for heading in found if heading is not None]
    return facts if len(facts) > 1 and any(h.key == "tuning" for h in facts) else []


def _opens(lines: Sequence[Line], index: int, first_title_numbered: bool) -> bool:
    """True if something at a line, or under it, shows that a tune begins there."""
    line = lines[index]
    below = lines[index + 1] if index + 1 < len(lines) else None
    # Two dashes are no underline: in mail they stand over the sender's name.
    if below is not None and is_ruler(below) and len(below.text.strip()) > 2:
        return True
    if first_title_numbered and is_numbered(line.text):
        return True
    title, more = split_title(line, line.text.find(line.text.strip()), line.text.strip())
    if any(h.key == "tuning" for h in more) and looks_named(title):
        return True
    seen = plain = 0
    for later in lines[index + 1 : index + 8]:
        if later.blank:
            continue
        headings = read_headings(later, head=True) or facts_among_words(later)
        if headings and any(h.key in _OPENING for h in headings):
            return True
        seen += 1
        plain += headings is None
        if seen > 3 or plain > (1 if looks_named(line.text) else 0):
            return False
    return False
