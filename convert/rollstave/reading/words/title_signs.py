"""What can be seen of words that may be the title: the signs that fitted weights are for.

Each sign is a name that a candidate has or not: how its words look, what stands beside them on
their line, where the line stands, whether the text names them again.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence

from msgspec import Struct

from rollstave.patterns import rare
from rollstave.reading.beside.attach import CHORD
from rollstave.reading.page.decode import Line
from rollstave.reading.words import titles
from rollstave.reading.words.directions import is_jump
from rollstave.reading.words.dividing import pieces
from rollstave.reading.words.headings import begins_heading, read_headings
from rollstave.reading.words.name_score import GREETS, OF_TUNES, SAYS_HOW, SENT, points
from rollstave.reading.words.names import SPEAKS, is_sentence, presents
from rollstave.reading.words.section_names import read_section
from rollstave.reading.words.title_candidates import NONE, Candidate
from rollstave.reading.words.title_line import begins_with_instrument
from rollstave.reading.words.tuning_words import is_tuning
from rollstave.vocabulary import naming
from rollstave.vocabulary.headings import INSTRUMENTS

_INSTRUMENT = rare(rf"\b(?:{INSTRUMENTS})s?\b", re.IGNORECASE)
_OCCASION = rare(naming.OCCASIONS, re.IGNORECASE)
_DAY = rare(naming.DAYS, re.IGNORECASE)
_THING = rare(naming.THINGS, re.IGNORECASE)
_CALLED = rare(naming.CALLED, re.IGNORECASE)
_LEADS = rare(naming.LEADS, re.IGNORECASE)
_SHOWS = rare(naming.SHOWS, re.IGNORECASE)
_GREETED = rare(naming.GREETED, re.IGNORECASE)
_MADE_BY = rare(naming.MADE_BY, re.IGNORECASE)
_SUBJECT = rare(naming.SUBJECTS, re.IGNORECASE)
_COMMON = frozenset(naming.COMMON_WORDS.split())
_BY = rare(r"\b(?:by|from|to|author|composer|arranger|sender|source)\W*$", re.IGNORECASE)
_LABEL = rare(r"\s*[A-Z][\w-]*(?:\s\w+)?:\s")
_PERSON = rare(r"(?:[A-Z][a-z'’-]+|[A-Z]\.)\s+(?:[A-Z]\.\s*)?[A-Z][\w'’-]+$")
_WORD = re.compile(r"[^\W\d_][\w']*")
_LETTERS = re.compile(r"(?:[A-Ga-g][#b]?){4,7}")
_PART_OF = rare(naming.PARTS_OF, re.IGNORECASE)
_COLONS = re.compile(r":\s+")
_SHORT = 4  # letters
_FAR = 4  # blanks


class Head(Struct, frozen=True):
    """The lines over the first rows, and what is seen of each once: that it has words, headings,
    a name, what heads a sheet. ``text`` is all of the file in small letters, blanks as one."""

    lines: tuple[Line, ...]
    shown: tuple[int, ...]  # indices of the lines with words
    headings: frozenset[int]
    named: frozenset[int]
    sheet: frozenset[int]
    text: str


def head_of(lines: Sequence[Line], shown: Sequence[int], text: str) -> Head:
    """The head that ends where the first rows begin; ``shown`` are the lines that count."""
    bare = {i: titles.undressed(lines[i].text.strip()) for i in shown}
    sheet = frozenset(i for i, x in bare.items() if titles.heads_a_sheet(x) or _DAY.search(x))
    return Head(
        lines=tuple(lines),
        shown=tuple(shown),
        headings=frozenset(
            i
            for i in shown
            if read_headings(lines[i], head=True) or titles.facts_among_words(lines[i])
        ),
        named=frozenset(i for i, x in bare.items() if titles.looks_named(x)) - sheet,
        sheet=sheet,
        text=" ".join(text.casefold().split()),
    )


def signs(head: Head, candidate: Candidate) -> list[str]:
    """The signs that a candidate has."""
    if candidate is NONE:
        return ["none", f"none of {_step(len(head.shown), (0, 1, 2, 4, 8))}"]
    text = head.lines[candidate.index].text
    before, after = text[: candidate.start], text[candidate.end :]
    found = points(head.lines, candidate.index, candidate.name)
    words = " ".join(candidate.name.casefold().split())
    return [
        candidate.found,
        f"words {_step(len(candidate.name.split()), (1, 2, 5, 8))}",
        f"points {_step(found, (-6, -3, 0, 2, 4, 6))}",
        *_that_hold(_OF_WORDS, candidate.name),
        *_beside(before, after),
        *(_of_place(head, candidate.index) if not candidate.under else ("under",)),
        *(["named again"] if " " in words and head.text.count(words) > 1 else []),
    ]


def _step(value: int, steps: Sequence[int]) -> str:
    return next((str(step) for step in steps if value <= step), "more")


_Signs = tuple[tuple[str, Callable[[str], object]], ...]


def _that_hold(table: _Signs, text: str) -> Iterator[str]:
    return (sign for sign, holds in table if holds(text))


def _as_line(text: str) -> Line:
    return Line(1, text, text)


def _has_fact(text: str) -> bool:
    """True for words that have a fact in them, as a heading would."""
    words = [text[m.end() :] for m in _COLONS.finditer(text)]
    words += [piece.text for piece in pieces(text)][1:]
    return any(read_headings(_as_line(x), head=True) for x in words if x.strip())


def _speaks(text: str) -> bool:
    found = SENT.search(text) or GREETS.match(text) or presents(text)
    return bool(found) or is_sentence(text, 4)


def _is_common(text: str) -> bool:
    return _COMMON.issuperset(_WORD.findall(text.casefold()))


# A method of a rare pattern is asked for when it is needed: to ask compiles the pattern.
_OF_WORDS: _Signs = (
    ("named", titles.looks_named),
    ("loud", lambda t: t.isupper() and len(t.split()) > 1),
    ("loud word", lambda t: t.isupper() and len(t.split()) == 1),
    ("small", str.islower),
    ("begins small", lambda t: t[:1].islower()),
    ("of tunes", lambda t: OF_TUNES.search(t)),
    ("named of tunes", lambda t: titles.looks_named(t) and OF_TUNES.search(t)),
    ("sentence", lambda t: is_sentence(t, 4)),
    ("ends", lambda t: t[-1] in ".,;:!?"),
    ("sheet", titles.heads_a_sheet),
    ("occasion", lambda t: _OCCASION.search(t)),
    ("day", lambda t: _DAY.search(t)),
    ("sent", lambda t: SENT.search(t)),
    ("greets", lambda t: GREETS.match(t)),
    ("elsewhere", titles.leads_elsewhere),
    ("digit", lambda t: any(map(str.isdigit, t))),
    ("instrument", lambda t: _INSTRUMENT.search(t)),
    ("begins instrument", begins_with_instrument),
    ("says how", lambda t: SAYS_HOW.match(t)),
    ("short words", lambda t: max(map(len, _WORD.findall(t)), default=0) < _SHORT),
    ("chords", lambda t: all(CHORD.match(w) for w in t.split())),
    ("comma", lambda t: "," in t),
    ("colon", lambda t: ":" in t),
    ("dash", lambda t: " - " in t or "--" in t),
    ("gap", lambda t: "  " in t),
    ("brackets", lambda t: any(c in t for c in "()[]")),
    ("odd brackets", lambda t: t.count("(") != t.count(")")),
    ("quote in it", lambda t: any(c in t for c in '"“”')),
    ("equals", lambda t: "=" in t or "|" in t),
    ("person", lambda t: _PERSON.fullmatch(t)),
    ("jump", is_jump),
    ("closes", titles.closes),
    ("stops inside", lambda t: ". " in t),
    ("hard stop", lambda t: "!" in t or "?" in t),
    ("by in it", lambda t: " by " in t),
    ("counted", titles.is_counted),
    ("common", _is_common),
    ("speaks", _speaks),
    ("of speech", lambda t: SPEAKS.search(t)),
    ("tuning", is_tuning),
    ("letters", lambda t: _LETTERS.fullmatch(t)),
    ("part of", lambda t: _PART_OF.search(t)),
    ("fact in it", _has_fact),
    ("heading", lambda t: read_headings(_as_line(t), head=True)),
    ("section", lambda t: read_section(_as_line(t))),
)
_BEFORE: _Signs = (
    ("before: sheet", lambda t: titles.heads_a_sheet(t) or _OCCASION.search(t)),
    ("before: day", lambda t: _DAY.search(t)),
    ("before: thing", lambda t: _THING.search(t)),
    ("before: called", lambda t: _CALLED.search(t)),
    ("before: leads", lambda t: _LEADS.search(t)),
    ("before: shows", lambda t: _SHOWS.search(t)),
    ("before: greets", lambda t: _GREETED.search(t)),
    ("before: small", lambda t: t.split()[-1][:1].islower()),
    ("before: named", titles.looks_named),
    ("before: loud", str.isupper),
    ("before: instrument", lambda t: _INSTRUMENT.search(t)),
    ("before: by", lambda t: _BY.search(t)),
    ("before: heading", lambda t: begins_heading(f"{t}:")),
    ("before: number", lambda t: t[-1].isdigit()),
    ("before: sentence", lambda t: is_sentence(t, 4)),
)
_AFTER: _Signs = (
    ("after: number", lambda t: t[:1].isdigit()),
    ("after: by", lambda t: _MADE_BY.match(t)),
    ("after: small", lambda t: t[:1].islower()),
    ("after: named", titles.looks_named),
    ("after: sheet", titles.heads_a_sheet),
    ("after: heading", lambda t: read_headings(_as_line(t), head=True)),
    ("after: sentence", lambda t: is_sentence(t, 4)),
    ("after: person", lambda t: _PERSON.fullmatch(t)),
)


def may_name(text: str) -> bool:
    """True for words that are written as a name is and say nothing of a sheet or its occasion."""
    other = titles.heads_a_sheet(text) or _OCCASION.search(text) or _DAY.search(text)
    plain = not other and not GREETS.match(text)
    plain = plain and not any(char.isdigit() or char == ":" for char in text)
    return plain and titles.looks_named(text) and not _is_common(text)


def _beside(before: str, after: str) -> Iterator[str]:
    """The signs of what else stands on the line."""
    words_before = before.strip(' :-,;(["“*=')
    words_after = after.strip(' :-,;)]"”*=.')
    alone = not (words_before or words_after)
    yield "whole" if alone else "part"
    if words_before:
        yield f"before {_divider(before.rstrip(), before)}"
        yield from _that_hold(_BEFORE, words_before)
    elif before.strip() and alone:
        yield f"dressed {before.strip()[0]}"
    if words_after:
        yield f"after {_divider(after.lstrip()[::-1], after[::-1])}"
        yield from _that_hold(_AFTER, words_after)
    elif after.strip()[:1] in tuple(".!?,:;"):
        yield "stopped"
    if before.rstrip().endswith(tuple('"“„«')) and after.lstrip().startswith(tuple('"”“»')):
        yield "in quotes"
        if alone:
            yield "line in quotes"


def _divider(stripped: str, text: str) -> str:
    """What words stand beside: a sign, a wide gap, or a word."""
    last = stripped[-1:]
    if not last.isalnum():
        return last
    return "gap" if len(text) - len(stripped) > 1 else "word"


def _of_place(head: Head, index: int) -> Iterator[str]:
    """The signs of where the line stands among the others."""
    lines, shown = head.lines, head.shown
    at = shown.index(index)
    earlier, later = shown[:at], shown[at + 1 :]
    text = lines[index].text
    above = lines[index - 1].text.strip() if index else ""
    below = lines[index + 1].text.strip() if index + 1 < len(lines) else ""
    close_above, close_below = (any(map(str.isalnum, x)) for x in (above, below))
    yield f"line {_step(at, (0, 1, 2, 4))}"
    yield f"lines to rows {_step(len(later), (0, 1, 2, 4))}"
    yield "close above" if close_above else "gap above"
    yield "close below" if close_below else "gap below"
    next_is_heading = bool(later) and later[0] in head.headings
    sheets = head.sheet | head.headings
    table: tuple[tuple[str, object], ...] = (
        ("alone", not close_above and not close_below),
        ("underlined", below and not close_below),
        ("overlined", above and not close_above),
        ("line of headings", index in head.headings),
        ("headings next", next_is_heading),
        ("headings below", next_is_heading and close_below),
        ("by next", later and _MADE_BY.match(lines[later[0]].text.strip())),
        ("rows next", not later),
        ("indented", len(text) - len(text.lstrip()) > _FAR),
        ("line with label", _LABEL.match(text)),
        ("line of mail", _SUBJECT.match(text)),
        ("line of sheet", index in head.sheet),
        ("only sheets above", earlier and sheets.issuperset(earlier)),
        ("names above", not head.named.isdisjoint(earlier)),
        ("headings above", not head.headings.isdisjoint(earlier)),
        ("names under", not head.named.isdisjoint(later)),
    )
    yield from (sign for sign, holds in table if holds)
