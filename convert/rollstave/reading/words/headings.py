"""Headings: what is said about a tune, in any order, case and wording.

What people call each, with a colon and without, stands in the table of headings.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache

from msgspec.structs import replace

from rollstave.grid.typed import Heading
from rollstave.instruments.known import Known
from rollstave.patterns import fold, rare
from rollstave.reading.page.decode import Line
from rollstave.reading.words.dividing import Piece, pieces
from rollstave.reading.words.tuning_words import are_letters, could_be_tuning, is_tuning, now_known
from rollstave.vocabulary.headings import HEADINGS, INSTRUMENTS, HeadingRow

REMARK = "remark"  # the key of words among headings that are kept as text

# A few words at the head of a tune that are no heading, and that no heading is made of.
# A dance says something of the meter, but not how it is picked.
_DANCES = (
    *("jig", "reel", "hornpipe", "waltz", "polka", "mazurka", "schottische", "march", "strathspey"),
    *("clog", "fling", "breakdown", "minuet", "quickstep", "galop"),
)
# Before the word tuning stands the name of one, no wide gap in it, and letters may follow it.
_NAMED_TUNING = rare(
    r"(?P<v>(?:(?!\s{2}).){1,30})\s+tuning(?P<w>\s*[(\[][^)\]]*[)\]]|:?\s[A-G#♯♭]{4,9})?\s*$",
    re.IGNORECASE,
    cues=("tuning",),
)


def _any_of(patterns: Iterable[str]) -> str:
    """A pattern of several, the number of a row as the name of each; rows without one left out."""
    return "|".join(f"(?P<k{i}>{words})" for i, words in enumerate(patterns) if words)


def _ends(pattern: str, cues: tuple[str, ...] = ()) -> re.Pattern[str]:
    return rare(pattern + r"\s*$", re.IGNORECASE, cues)


# "jig", "a slip jig for mandolin"
_KINDS = ("song", "tune", "air", "lullaby", "ballad", "round", "hymn", "piece", "rag", "duet")
_REMARKS = (
    (
        _ends(
            rf"(?:an?\s+)?(?P<v>(?:slip\s+)?(?:{'|'.join(_DANCES)})"
            # A name with capitals is the tune's: "Waltz for the Tin Duck".
            r"(?:\s+(?:for|on)(?:\s+the)?(?:\s+(?:(?-i:[a-z\d])[\w-]*"
            rf"|{INSTRUMENTS})){{1,3}})?)",
            _DANCES,
        ),
        _DANCES,
    ),
    # "a song", "an old air"
    (_ends(rf"(?P<v>an?\s+(?:[a-z]+\s+)?(?:{'|'.join(_KINDS)}))", _KINDS), _KINDS),
)
# "JIG: Pears for the Vicar"
DANCE_FIRST = rare(
    rf"(?P<dance>(?i:(?:slip\s+)?(?:{'|'.join(_DANCES)}))):\s+(?=[\"“A-Z])",
    cues=tuple(f"{dance}:" for dance in _DANCES),
)


_KEYWORD = re.compile(
    rf"(?<![\w#])(?:{_any_of(row.words for row in HEADINGS)})(?:\*\*|__)?\s*[:=](?:\*\*|__)?\s*",
    re.IGNORECASE,
)


def begins_heading(text: str) -> bool:
    """True for a line that begins with the name of a heading and a colon."""
    return _has_colon(text) and _KEYWORD.match(text) is not None


def _indent(text: str) -> int:
    return len(text) - len(text.lstrip())


def _has_colon(text: str) -> bool:
    """True for a text that has what stands behind the name of a heading."""
    return ":" in text or "=" in text


# A dash in place of the colon, at the beginning of a line only: "Tuning - gDGCD".
_DASHED = rare(
    rf"\s*(?:{_any_of(row.dashed for row in HEADINGS)})\s* -{{1,2}}\s+(?=\S)",
    re.IGNORECASE,
    cues=(" -",),
)
# Patterns, the key of each, whether a period at the end of the line belongs to it, and its cues.
_Form = tuple[re.Pattern[str], str, bool, tuple[str, ...]]


def _forms(row: HeadingRow, patterns: Iterable[str]) -> Iterator[_Form]:
    return ((_ends(pattern, row.cues), row.key, row.sentence, row.cues) for pattern in patterns)


_WHOLE: list[_Form] = [form for row in HEADINGS for form in _forms(row, row.whole)]
_BARE: list[_Form] = [form for row in HEADINGS for form in _forms(row, row.bare)]
_AT_HEAD: list[_Form] = [
    *_BARE,
    *(form for row in HEADINGS for form in _forms(row, row.at_the_head)),
    *((pattern, REMARK, True, cues) for pattern, cues in _REMARKS),
]
# What has none of these in it is no form but one without cues: most words are neither.
_CUES = tuple(dict.fromkeys(cue for *_, cues in _AT_HEAD for cue in cues))
_NO_CUES: list[_Form] = [form for form in _AT_HEAD if not form[-1]]
_SHORT = frozenset(row.key for row in HEADINGS if row.short)


# "Key: h - hammer, p - pull" is a legend, not a key.
_LISTS_SIGNS = rare(r"(?!\s*[A-G][#b]?\s)\s*\S{1,3}\s?[-=:]\s?[A-Za-z]{4}")
_REMARK_LINE = re.compile(r"\s*remark\s*:\s*(?=\S)", re.IGNORECASE)


def remark_after(text: str) -> int | None:
    """Where the words of a line begin that says itself that it is a remark, or None: such a line
    is nothing else, whatever it looks like."""
    match = _REMARK_LINE.match(text)
    return match.end() if match else None


_MOST_OF_A_STYLE = 4  # words; more are a sentence


# A small letter before capitals, as no name has it.
_LETTERS_OF_STRINGS = rare(r"\s*[a-g](?:[A-G][#b]?){3,5}\s*")


def read_headings(line: Line, head: bool = False) -> list[Heading] | None:
    """The headings on a line, or None if the line is something else.

    Several headings may share a line, with keywords and colons or, without, with commas, wide
    gaps, dashes or brackets between them. ``head`` is True where no tab stands above. Words
    among headings that are none have the key :data:`REMARK`.
    """
    return headings_within(line, 0, line.text, head)


def headings_within(line: Line, start: int, text: str, head: bool = False) -> list[Heading] | None:
    """The headings that a text is that stands at ``line.text[start:]``, as if nothing but blanks
    stood before it."""
    # What is none at the head is none below: rules and the chain of lines ask about both.
    found = _headings(text, True, now_known())
    if found is not None and not head:
        found = _headings(text, False, now_known())
    if found is None:
        return None
    return [replace(one, place=line.place(start + one.place.column - 1)) for one in found]


@lru_cache(maxsize=512)  # many rules ask about the same line, and about pieces of it
def _headings(text: str, head: bool, known: Known) -> list[Heading] | None:
    """The headings of a text, their places those of a first line."""
    line = Line(1, text, text)
    for opens, closes in ("[]", "()"):  # [Time: 4/4]
        if text.count(opens) == 1 and text.lstrip()[:1] == opens:
            text = text.rstrip().removesuffix(closes)
    if (start := remark_after(text)) is not None:
        return [Heading(REMARK, text[start:].rstrip(), line.place(start))]
    matches = list(_KEYWORD.finditer(text)) if _has_colon(text) else []
    if not matches and " -" in text and (dashed := _DASHED.match(text, _indent(text))):
        matches = [dashed]
    if matches and _key(matches[0]) == "key" and _LISTS_SIGNS.match(text, matches[0].end()):
        return None
    if matches:
        before = text[: matches[0].start()].strip(" -*•,;([#")
        found = _read_bare(line, " " * text.find(before) + before, head) if before else []
        if found is None:
            return None
        for match, after in zip(matches, [*matches[1:], None], strict=True):
            end = after.start() if after else len(text)
            key = _key(match)
            value = text[match.end() : end].rstrip(" \t,;|/-([")
            if key == "pace" and value.strip(" .").isdecimal():
                key = "tempo"  # Pace ...... 80
            if key == "title" and value.lstrip().startswith("___"):
                return None  # "Name: ____  Date: ____", to be filled in
            if key == "title" and _LETTERS_OF_STRINGS.fullmatch(value):
                key = "tuning"  # tune: gDGBD
            if key == "style" and value.endswith(".") and len(value.split()) > _MOST_OF_A_STYLE:
                return None  # "Right hand: the thumb leads, whatever the book says."
            if key in _SHORT and (after or key == "time"):
                value = value.rstrip(".")  # facts that share a line end like sentences
            value += "|" * text.startswith(value + "|", match.end()) * (value.upper() == "C")
            heading = Heading(key, value, line.place(match.end()))
            found += _with_more(heading, line, match.end(), head)
        return found
    return _read_bare(line, text, head)


def _with_more(heading: Heading, line: Line, start: int, head: bool) -> list[Heading]:
    """A heading and those that follow its value: ``Tuning: open G, 4/4``, ``Key: A (capo 2)``."""
    several = pieces(heading.text) if heading.key in _SHORT else ()
    again = next((p for p in several[1:] if p.text.startswith("=")), None)
    if again is not None:
        # "A modal (aEADE) [= G modal capo 2]": the same once more in other words.
        words = heading.text[again.start :].strip(" )]")
        before = replace(heading, text=heading.text[: again.start].rstrip(" ,;/-([|"))
        remark = Heading(REMARK, words, line.place(start + again.start))
        return [*_with_more(before, line, start, head), remark]
    if len(several) < 2:
        return [heading]
    more = [bare_heading(line, start + p.start, p.text, head) for p in several[1:]]
    if not any(more) or any(h is not None and h.key == heading.key for h in more):
        return _first_sentence(heading, line, start, several)
    rest = [
        found or Heading(REMARK, piece.text, line.place(start + piece.start))
        for piece, found in zip(several[1:], more, strict=True)
    ]
    return [replace(heading, text=several[0].text), *rest]


def _first_sentence(
    heading: Heading, line: Line, start: int, several: Sequence[Piece]
) -> list[Heading]:
    """A heading that ends with its sentence: what follows on its line is a remark."""
    after = next((p for p in several[1:] if p.divider[:1] in tuple(".!?")), None)
    if after is None:
        return [heading]
    value = heading.text[: after.start].rstrip()
    if heading.key == "tempo":
        # The words of a tempo are printed with their punctuation, and its number may follow.
        if any(c.isdigit() for c in heading.text[after.start :]):
            return [heading]
    else:
        value = value.rstrip(".!?")
    rest = heading.text[after.start :].rstrip()
    return [
        replace(heading, text=value),
        Heading(REMARK, rest, line.place(start + after.start)),
    ]


def _key(match: re.Match[str]) -> str:
    """The key of a heading, which the one group that matched names."""
    assert match.lastgroup is not None
    return HEADINGS[int(match.lastgroup[1:])].key


def _read_bare(line: Line, text: str, head: bool) -> list[Heading] | None:
    bare = text.strip()
    for pattern, key, *_ in _WHOLE:
        if match := pattern.match(bare):
            return [Heading(key, match["v"], line.place(max(0, line.text.find(match["v"]))))]
    several = pieces(text)
    found = [bare_heading(line, piece.start, piece.text, head) for piece in several]
    if not found or found[0] is None:
        return None
    return [
        heading or Heading(REMARK, piece.text, line.place(piece.start))
        for heading, piece in zip(found, several, strict=True)
    ]


def bare_heading(line: Line, start: int, text: str, head: bool = True) -> Heading | None:
    """The heading that words without a colon are, or None; they stand at ``line.text[start:]``."""
    found = _form_of(text, head, now_known())
    return Heading(found[0], found[1], line.place(start + found[2])) if found else None


@lru_cache(maxsize=256)  # many rules ask for the same words
def _form_of(text: str, head: bool, known: Known) -> tuple[str, str, int] | None:
    """The key, the value and where that begins of words that are a heading without a colon."""
    words = text.rstrip(".")
    forms = _AT_HEAD if head else _BARE
    if not any(map(fold(text).__contains__, _CUES)):
        forms = _NO_CUES if head else []
    for pattern, key, sentence, _ in forms:
        if match := pattern.match(text if sentence else words):
            return key, match["v"].strip(), match.start("v")
    if match := _NAMED_TUNING.match(words):
        letters = match["w"] or ""
        if could_be_tuning(match["v"]) or are_letters(letters.strip(" ()[]")):
            return "tuning", match["v"].strip() + letters, 0
        return None
    return ("tuning", words, 0) if head and is_tuning(words) else None
