"""Facts of a tune that its words say in a sentence, where no heading says them.

What is taken so is said as a notice with its place; words that name two things are asked about,
and nothing is taken.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterator, Sequence
from functools import cache

from msgspec import Struct
from msgspec.structs import replace

from rollstave.grid.typed import FreeText, Heading
from rollstave.instruments.instrument import Instrument
from rollstave.instruments.tunings import parse_tuning
from rollstave.patterns import fold, rare
from rollstave.problems import Severity
from rollstave.reading.page.decode import Line
from rollstave.reading.saying.judge import denied
from rollstave.reading.state import ReadingState, TuneSoFar
from rollstave.reading.words import names
from rollstave.reading.words.agreeing import agree
from rollstave.reading.words.dividing import pieces
from rollstave.reading.words.head_rules import forget_guess
from rollstave.reading.words.headings import bare_heading
from rollstave.reading.words.telling import facts_told, headings_in_words, not_so, speed_told
from rollstave.reading.words.titles import looks_named
from rollstave.vocabulary import problems as kinds
from rollstave.vocabulary.headings import ROWS
from rollstave.vocabulary.in_words import SAID, Said

_MOST_LINES = 60  # of words at the head and at the foot of a tune
_SHOWN = 50
_SPELLED = rare(r"^(?:[1-6](?:st|nd|rd|th)?\W?\s?)?[A-Ga-g][#b]?[ ,.\-;]")  # letter by letter


class Words(Struct, frozen=True):
    """Lines of words as one text: the lines, and where each begins in it."""

    lines: tuple[Line, ...]
    starts: tuple[int, ...]
    text: str

    def at(self, offset: int) -> tuple[Line, int]:
        """The line of a character, and its index there."""
        index = max(0, bisect_right(self.starts, offset) - 1)
        return self.lines[index], offset - self.starts[index]


def facts_in_words(state: ReadingState) -> None:
    """Take what the words of every tune say of it and no heading says."""
    _join_headings_at_the_end(state)
    by_number: dict[int, Line] = {}
    for line in state.lines:
        by_number.setdefault(line.number, line)
    tunes = [tune for tune in state.tunes if tune.measures]
    for tune in tunes:
        head = _words(by_number, _numbers(tune, 0))
        foot = _words(by_number, _numbers(tune, len(tune.measures)) if len(tunes) == 1 else ())
        headings_in_words(state, tune, by_number)
        asked: set[str] = set()
        for words in (head, foot):
            if not words.text:
                continue
            _take_title(state, tune, words)
            for key in dict.fromkeys(said.key for said in SAID):
                if not tune.has_heading(key):
                    asked |= {key} if _take(state, tune, words, key) else set()
                elif key in _DOUBTED and words is head:
                    _doubt(state, tune, words, key)
        facts_told(state, tune, [*head.lines, *foot.lines], asked)
        headed = _words(by_number, _of_headings(tune)).lines
        speed_told(state, tune, [line for line in headed if len(line.text.split()) >= _MANY])
        if not tune.has_heading("time"):
            _time_behind_title(state, tune, by_number)
        if not tune.has_heading("time"):
            _take(state, tune, _words(by_number, _of_headings(tune)), "time")
        if not tune.has_heading("tempo"):
            lines = sorted({h.place.line for h in tune.headings if h.key in _MAY_NAME_TEMPO})
            _take(state, tune, _words(by_number, lines), "tempo")


_FACTS = {"fifth string": "fifth_capo"}  # keys that are called otherwise where facts are told
_DOUBTED = ("time", "tuning")  # what the words before a tune say once more, or otherwise


def _doubt(state: ReadingState, tune: TuneSoFar, words: Words, key: str) -> None:
    """Warn of words that name another time or tuning than the heading does."""
    heading = next(h for h in tune.headings if h.key == key)
    for value, match in _found(words, key, state.instrument):
        line, index = words.at(match.start("v") if "v" in match.groupdict() else match.start())
        place = line.place(index)
        if match[0].lower().startswith("count"):  # how it is counted, which may be by halves
            continue
        if place.line == heading.place.line or agree(
            heading, Heading(key, value, place), state.instrument
        ):
            continue
        state.problems.add(
            kinds.IN_WORDS,
            f"these words name the {key} {value}, and the heading {heading.text!r} counts; take "
            "out what is wrong",
            place,
            Severity.WARNING,
        )
        return


# Headings whose words may name the time of the tune as well; figures in others are dates and frets.
_MAY_NAME_TIME = ("tempo", "style", "tuning", "key", "source", "arranger", "composer")


_MAY_NAME_TEMPO = ("time", "key")
_MANY = 2  # words of a line that says more than its heading


def _of_headings(tune: TuneSoFar) -> Sequence[int]:
    """The numbers of the lines with headings whose words may name the time."""
    return sorted({h.place.line for h in tune.headings if h.key in _MAY_NAME_TIME})


def _time_behind_title(state: ReadingState, tune: TuneSoFar, by_number: dict[int, Line]) -> None:
    """Take the time in brackets, or behind a dash, that ends a title: ``(6/8 time)``."""
    title = tune.title
    line = by_number.get(title.place.line) if title is not None else None
    if title is None or line is None:
        return
    start = line.text.find(title.text)
    for piece in pieces(title.text)[1:] if start >= 0 else ():
        found = bare_heading(line, start + piece.start, piece.text.removeprefix("in "))
        if found is None or found.key != "time":
            continue
        before = title.text[: piece.start]
        opened = max(before.rfind("("), before.rfind("["))
        ends = opened if opened >= 0 else len(before)
        name = title.text[:ends].rstrip(" -,;(/[")
        rest = title.text[piece.start + len(piece.text) :].strip(" ])")
        if rest or not name:
            continue
        tune.headings[tune.headings.index(title)] = replace(title, text=name)
        tune.headings.append(found)
        if inside := before[ends:].strip(" -,;(/["):
            tune.notes.insert(0, FreeText(inside, title.place, 0))
        state.problems.add(
            kinds.IN_WORDS,
            f"the time {found.text} is taken from behind the title {name!r}; if that is wrong, "
            "add a line such as: Time: 4/4",
            found.place,
        )
        return


def _join_headings_at_the_end(state: ReadingState) -> None:
    """Give headings that stand under the only tab of a file to its tune, which has no title."""
    if len(state.tunes) != 2:
        return
    tune, end = state.tunes
    if not tune.measures or end.measures or tune.title is not None or end.directions:
        return
    after = len(tune.measures)
    tune.notes.extend(replace(note, before_measure=after) for note in end.notes)
    for heading in end.headings:
        if heading.key == "title" and (
            names.is_sentence(heading.text, 3) or names.presents(heading.text)
        ):
            tune.notes.append(FreeText(heading.text, heading.place, after))
        elif not tune.has_heading(heading.key):
            tune.headings.append(heading)
        else:
            tune.notes.append(FreeText(heading.text, heading.place, after))
    tune.notes.sort(key=lambda note: (note.place.line, note.place.column))
    state.tunes.pop()


def _numbers(tune: TuneSoFar, before: int) -> Sequence[int]:
    """The numbers of the lines of words that stand before a measure, the guessed title's too."""
    found = {note.place.line for note in tune.notes if note.before_measure == before}
    if before == 0 and tune.title is not None and tune.title_guessed:
        found.add(tune.title.place.line)
    return sorted(found)[:_MOST_LINES]


def _words(by_number: dict[int, Line], numbers: Sequence[int]) -> Words:
    lines = tuple(by_number[number] for number in numbers if number in by_number)
    starts, at = [], 0
    for line in lines:
        starts.append(at)
        at += len(line.text) + 1
    return Words(lines, tuple(starts), "\n".join(line.text for line in lines))


@cache
def _pattern(said: Said) -> re.Pattern[str]:
    return re.compile(said.pattern, re.IGNORECASE | re.MULTILINE)


def _named_tunings(instrument: Instrument) -> Said:
    """A tuning by its name in a sentence: ``put the banjo in sawmill``."""
    known = sorted({n for t in instrument.tunings for n in t.names if len(n) > 4}, key=len)
    also = tuple(name.lower() for name in reversed(known))
    names = "|".join(map(re.escape, also))
    before = r"(?<!\bkey\s)\b(?:in|to|into|of|for|use|uses)\s+(?:the\s+)?"
    pattern = rf"{before}(?P<v>{names})\b(?!\s+(?:time|part))"
    return Said(key="tuning", pattern=pattern, hint="", also=tuple(map(fold, also)))


def _found(words: Words, key: str, instrument: Instrument) -> Iterator[tuple[str, re.Match[str]]]:
    """What words say of a heading's matter, and where."""
    low = fold(words.text)
    named = (_named_tunings(instrument),) if key == "tuning" else ()
    for said in (*SAID, *named):
        if said.key != key or said.hint not in low:
            continue
        if said.also and not any(hint in low for hint in said.also):
            continue
        for match in _pattern(said).finditer(words.text):
            if key == "tuning" and parse_tuning(match["v"], instrument) is None:
                continue
            if not_so(words.text, match.start(), match.end()):
                continue
            line, index = words.at(match.start())
            if not denied(line.text, _FACTS.get(key, key), index, index + len(match[0])):
                yield said.value or " ".join(match["v"].split()), match


def _take(state: ReadingState, tune: TuneSoFar, words: Words, key: str) -> bool:
    """Take a fact; True if words name two of them, and are asked about."""
    found = list(_found(words, key, state.instrument))
    if key == "tuning":
        # Names and letters in one are weighed with the notes and labels where the tuning is told.
        found = [(v, match) for v, match in found if not v.isalpha() and _SPELLED.search(v)]
    if not found:
        return False
    value, match = found[0]
    line, index = words.at(match.start() + len(match[0]) - len(match[0].lstrip(" \n,;.(-")))
    place = line.place(index)
    name = ROWS[key].name
    others = [v for v, _ in found if _plain(key, v) != _plain(key, value)]
    if key == "tuning":
        known = parse_tuning(value, state.instrument)
        others = [v for v in others if parse_tuning(v, state.instrument) != known]
    if others:
        state.problems.add(
            kinds.IN_WORDS,
            f"these words may name the {key} {value} or {others[0]}, and neither is taken; add a "
            f"line such as: {name}: {value}",
            place,
            Severity.WARNING,
        )
        return True
    tune.headings.append(Heading(key, value, place))
    state.problems.add(
        kinds.IN_WORDS,
        f"the {key} {value} is taken from the words {_short(match[0])!r}; if that is wrong, add "
        f"a line with the right one that begins: {name}:",
        place,
    )
    return False


def _plain(key: str, value: str) -> str:
    plain = value.replace(" ", "").casefold()
    if key == "time":
        return {"cuttime": "2/2", "commontime": "4/4"}.get(plain, plain)
    return plain


def _short(text: str) -> str:
    words = " ".join(text.split()).strip(" ,;.(-")
    return words if len(words) <= _SHOWN else words[:_SHOWN] + "..."


# "Subject: the new one" names no tune where the mail says what it is called.
_SUBJECT = rare(r"\W*(?:subject|re)\s*:", re.IGNORECASE)


def _take_title(state: ReadingState, tune: TuneSoFar, words: Words) -> None:
    """Take the name of the tune from a sentence where no line is a title, or the line that was
    taken for one is a sentence."""
    old = tune.title
    unsure = old is not None and tune.title_guessed
    if old is not None and not (
        unsure and (names.is_sentence(old.text) or names.presents(old.text))
    ):
        line = state.line_numbered(old.place.line)
        mailed = line is not None and _SUBJECT.match(line.typed) is not None
        if not mailed or looks_named(old.text) or not names.is_called(words.text):
            return
    found = names.named_in(words.text)
    if not found:
        return
    (name, start), *others = found
    line, index = words.at(start)
    place = line.place(index)
    forget_guess(state, tune, name)
    tune.headings.insert(0, Heading("title", name, place))
    other = next((n for n, _ in others if n.casefold() != name.casefold()), None)
    if other is not None:
        state.problems.add(
            kinds.IN_WORDS,
            f"the title {name!r} is taken from these words, which name {other!r} as well; if "
            f"that is wrong, add a line such as: Title: {other}",
            place,
            Severity.WARNING,
        )
        return
    state.problems.add(
        kinds.IN_WORDS,
        f"the title {name!r} is taken from these words; if that is wrong, add a line with the "
        "right one that begins: Title:",
        place,
    )
