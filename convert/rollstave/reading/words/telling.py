"""Facts that the words of a tune tell in their own way, found by :mod:`rollstave.reading.saying`.

What is sure is taken and said with its place; what may be so is asked about, with what to type.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Sequence, Set

from msgspec import Struct
from msgspec.structs import replace

from rollstave.grid.typed import FreeText, Heading
from rollstave.instruments.instrument import Instrument
from rollstave.instruments.tunings import from_letters, parse_tuning
from rollstave.patterns import rare
from rollstave.pitch import accidental
from rollstave.problems import Place, Severity
from rollstave.reading.page.decode import Line
from rollstave.reading.saying.judge import ASKED, TAKEN, probability
from rollstave.reading.saying.parse import Found, found_in, may_tell
from rollstave.reading.state import ReadingState, TuneSoFar
from rollstave.reading.words.agreeing import meaning
from rollstave.reading.words.directions import Direction
from rollstave.reading.words.evenly import LEADS, TIMES, take_even_notes
from rollstave.reading.words.headings import remark_after
from rollstave.reading.words.paragraphs import Words, joined, paragraphs
from rollstave.reading.words.repeats_by_place import goes_back_from_a_row
from rollstave.vocabulary import problems as kinds
from rollstave.vocabulary.headings import ROWS
from rollstave.vocabulary.in_words import NOT_SO_AFTER, NOT_SO_BEFORE

# The heading that each fact is.
_KEYS = {
    "time": "time",
    "capo": "capo",
    "fifth_capo": "fifth string",
    "key": "key",
    "tempo": "tempo",
    "pace": "pace",
    "tuning": "tuning",
    "source": "source",
}
_FACT_OF = {key: fact for fact, key in _KEYS.items()}
_SAID_BY = {"source": ("composer", "arranger"), "pace": ("tempo",)}  # headings that say as much


_ASKS = {"time": kinds.TIME, "tempo": kinds.TEMPO, "capo": kinds.CAPO}
_LOOK_BACK = 40  # characters in which a fact is denied
_BEFORE = rare(NOT_SO_BEFORE, re.IGNORECASE)
_AFTER = rare(NOT_SO_AFTER, re.IGNORECASE)


def not_so(text: str, start: int, end: int) -> bool:
    """True if a fact is denied, or said of something else, by the words beside it."""
    before = _BEFORE.search(text[max(0, start - _LOOK_BACK) : start])
    return before is not None or _AFTER.match(text, end) is not None


class Told(Struct, frozen=True):
    """A fact that words tell, as the text of its heading, how likely it is, and in which words."""

    found: Found
    place: Place
    words: str
    text: str
    probability: float


def facts_told(
    state: ReadingState, tune: TuneSoFar, lines: Sequence[Line], asked: Set[str]
) -> None:
    """Take what lines of words tell of a tune and no heading says; not what is asked already."""
    lines = [line for line in lines if remark_after(line.text) is None]
    words = paragraphs(lines)
    _take_facts(state, tune, words, asked)
    _take_unit(state, tune, lines)
    take_even_notes(state, tune, ((some.text, some.place) for some in words))
    _take_jump(state, tune, lines)


def speed_told(state: ReadingState, tune: TuneSoFar, lines: Sequence[Line]) -> None:
    """Take what lines that hold headings tell of how fast the tune goes."""
    _take_facts(state, tune, paragraphs(lines), frozenset(), ("tempo", "pace"))


def _take_facts(
    state: ReadingState,
    tune: TuneSoFar,
    words: Sequence[Words],
    asked: Set[str],
    facts: Collection[str] = tuple(_KEYS),
) -> None:
    for fact in facts:
        key = _KEYS[fact]
        if key in asked or any(tune.has_heading(k) for k in (key, *_SAID_BY.get(key, ()))):
            continue
        there = [t for some in words for t in _told(state, some, fact)]
        if fact == "fifth_capo":
            there = [t for t in there if not _is_fretted(state, tune, t.found)]
        if fact == "pace":
            there = _longest([t for t in there if not _in_title(tune, t)])
        if there and (fact != "pace" or max(t.probability for t in there) >= TAKEN):
            _take(state, tune, key, there)


def _longest(there: Sequence[Told]) -> list[Told]:
    """What is told without that which stands in the words of another that is believed."""
    sure = [t for t in there if t.probability >= TAKEN]
    return [
        one for one in there if not any(one.text != t.text and one.text in t.text for t in sure)
    ]


def _in_title(tune: TuneSoFar, told: Told) -> bool:
    """True for a word of the tune's name: the goose that stepped lightly may do so slowly."""
    return any(
        h.key == "title" and h.place.line == told.place.line and told.words in h.text
        for h in tune.headings
    )


_CREDITS = ("source", "composer", "arranger")


def _take(state: ReadingState, tune: TuneSoFar, key: str, there: Sequence[Told]) -> None:
    best = max(there, key=lambda t: t.probability)
    place, words = best.place, best.words
    name = ROWS[key].name
    others = [
        t for t in there if t.probability >= TAKEN and t.text.casefold() != best.text.casefold()
    ]
    if best.probability >= TAKEN and not (others and key != "source"):
        tune.headings.append(Heading(key, best.text, place))
        state.problems.add(
            kinds.IN_WORDS,
            f"the {key} {best.text} is told by the words {words!r}; if that is wrong, add a line "
            f"with the right one that begins: {name}:",
            place,
        )
        return
    if not others:
        tune.asked.append(Heading(key, best.text, place))
    also = f" or {others[0].text}" if others else ""
    state.problems.add(
        _ASKS.get(key, kinds.IN_WORDS),
        f"the words {words!r} may tell the {key} {best.text}{also}, which is not taken; if they "
        f"do, add a line such as: {name}: {best.text}",
        place,
        # Who wrote a tune changes nothing that is played, and its words are kept.
        Severity.NOTICE if key in _CREDITS else Severity.WARNING,
    )


def _told(state: ReadingState, words: Words, fact: str) -> Iterator[Told]:
    """What words tell of a fact, or may tell."""
    if fact == "tuning":
        yield from (t for t in _tunings(state, words) if t.probability >= ASKED)
        return
    if not may_tell(words.text, (fact,)):
        return
    more = ("retuned",) if fact in ("fifth_capo", "key") else ()
    there = found_in(words.text, (fact, *more))
    moved = {f.value for f in there if f.fact == "retuned"}
    for found in there:
        if found.fact != fact or (fact == "fifth_capo" and len(moved) > 1):
            continue
        if (likely := probability(found)) < ASKED:
            continue
        if not_so(words.text, found.start, found.end):
            continue
        text = str(found.value)
        if fact == "capo" and found.value == 0:
            text = "none"
        if fact == "fifth_capo":
            text = f"capo {found.value}"
        if fact == "source" and text.isupper():
            text = text.title()
        yield _of(words, found, text, likely)


def _is_fretted(state: ReadingState, tune: TuneSoFar, found: Found) -> bool:
    """True for words of the short string at a fret, where the rows have that string open and at
    that fret: they say how one note is played, and no capo lies there."""
    short = state.instrument.short_string
    if short is None or found.way != "short string at n":
        return False
    frets = {
        stroke.fret
        for measure in tune.measures
        for column in measure.columns
        for stroke in column.strokes
        if stroke.string == short.string
    }
    return {0, found.value} <= frets


def _of(words: Words, found: Found, text: str, likely: float) -> Told:
    return Told(
        found=found,
        place=words.place(found.start),
        words=words.text[found.start : found.end].strip(" ,;"),
        text=text,
        probability=likely,
    )


# Tunings -------------------------------------------------------------------------------------


def _tunings(state: ReadingState, words: Words) -> Iterator[Told]:
    """The tunings that a line spells, makes out of another, or names, the first of these kinds."""
    instrument = state.instrument
    found = [f for f in found_in(words.text, ("tuning", "retuned")) if f.fact != "capo"]
    spelled = [f for f in found if f.way in ("letters of strings", "compact letters")]
    moved = [f for f in found if f.fact == "retuned"]
    named = [f for f in found if f.fact == "tuning" and f not in spelled]
    for one in spelled:
        if tuning := parse_tuning(str(one.value), instrument):
            yield _of(words, one, tuning.written, probability(one))
            return
    strings = {f.value[0] for f in moved if isinstance(f.value, tuple)}
    if moved and strings != {5} and not state.labels:
        likely = min(map(probability, moved))
        if (text := _moved(instrument, moved)) and likely >= ASKED:
            yield _of(words, moved[0], text, likely)
            return
    names = [n.lower() for t in instrument.tunings for n in t.names if " " in n]
    if any(name in words.text.lower() for name in names):
        return  # weighed with the notes where the tuning is told
    for one in named:
        text = str(one.value).replace("dubbel", "double")
        if parse_tuning(text, instrument) is not None:
            likely = probability(one) if not state.labels else 0.0
            yield _of(words, one, text, likely)


def _moved(instrument: Instrument, moved: Sequence[Found]) -> str:
    """The usual tuning with some strings moved, by its letters; empty if there is none such."""
    letters = [(p.step, p.alter) for p in reversed(instrument.default.pitches)]
    short = instrument.short_string is not None
    for found in moved:
        assert isinstance(found.value, tuple)
        number, pitch = found.value
        number = number or instrument.strings - short
        if number > instrument.strings:
            return ""
        letters[instrument.strings - number] = (pitch[0], accidental(pitch[1:]))
    tuning = from_letters(letters, instrument)
    return tuning.written if tuning else ""


# Headings that say it in other words ---------------------------------------------------------


def headings_in_words(state: ReadingState, tune: TuneSoFar, line_of: dict[int, Line]) -> None:
    """Understand headings whose value is told in another way: ``Key: Ré majeur``. Words that only
    look like the heading of a tuning are kept as words."""
    for heading in list(tune.headings):
        fact = _FACT_OF.get(heading.key)
        line = line_of.get(heading.place.line)
        if fact is None or line is None or heading.key in ("source", "pace"):
            continue
        if fact == "fifth_capo" and _is_prose(heading, line):
            told = list(_told(state, joined([line]), fact))
            if told and all(_is_fretted(state, tune, one.found) for one in told):
                _back_to_words(tune, heading, line)
                continue
        if _plain_number(heading) or meaning(heading, state.instrument) is not None:
            continue
        told = list(_told(state, joined([line]), fact))
        if told:
            best = max(told, key=lambda t: t.probability)
            tune.headings[tune.headings.index(heading)] = replace(heading, text=best.text)
        elif heading.key == "tuning" and _is_prose(heading, line):
            _back_to_words(tune, heading, line)


def _back_to_words(tune: TuneSoFar, heading: Heading, line: Line) -> None:
    """Make words of a heading that is none."""
    index = tune.headings.index(heading)
    tune.headings.remove(heading)
    before = 0 if index < len(tune.headings) else len(tune.measures)
    tune.notes.append(FreeText(line.text.strip(), line.place(0), before))
    tune.notes.sort(key=lambda note: (note.place.line, note.place.column))


_FEW = 3  # words of a tuning's name


def _is_prose(heading: Heading, line: Line) -> bool:
    bare = ":" not in line.text and "=" not in line.text and " - " not in line.text
    return bare and len(heading.text.split()) > _FEW


def _plain_number(heading: Heading) -> bool:
    """True for a capo or a tempo in figures, which need no help."""
    figures = any(map(str.isdecimal, heading.text))
    return heading.key in ("capo", "tempo", "fifth string") and (figures or heading.key != "capo")


# What a column lasts -------------------------------------------------------------------------

_FEWEST = 2  # measures as wide as each other that tell the time


def _take_unit(state: ReadingState, tune: TuneSoFar, lines: Sequence[Line]) -> None:
    """Take the time that measures have where words tell how long a column lasts."""
    for line in lines:
        for found in found_in(line.text, ("unit",)):
            likely = probability(found)
            if (
                found.fact != "unit"
                or likely < ASKED
                or not_so(line.text, found.start, found.end)
                or not isinstance(found.value, tuple)
            ):
                continue
            columns, quarters = found.value
            widths = [_width(tune) - lead for lead in range(LEADS)]
            time = next((t for w in widths if (t := TIMES.get(w * quarters / columns))), None)
            place = line.place(found.start)
            if tune.has_heading("time"):
                return
            if time is None or likely < TAKEN:
                state.problems.add(
                    kinds.IN_WORDS,
                    "these words may tell how long a column lasts, and the measures are not as "
                    "wide as a time has it; name the time in a line such as: Time: 4/4",
                    place,
                    Severity.WARNING,
                )
                return
            tune.headings.append(Heading("time", time, place))
            state.problems.add(
                kinds.IN_WORDS,
                f"the time {time} is told by what these words say of a column and the width of "
                "the measures; if that is wrong, add a line with the right one that begins: Time:",
                place,
            )
            return


def _width(tune: TuneSoFar) -> int:
    """The width in columns that most measures have; 0 if there is none."""
    widths = [m.width for m in tune.measures]
    usual = max(set(widths), key=widths.count, default=0)
    return usual if widths.count(usual) >= min(_FEWEST, len(widths)) else 0


# The order of play ---------------------------------------------------------------------------


def _take_jump(state: ReadingState, tune: TuneSoFar, lines: Sequence[Line]) -> None:
    """Take a way back to the beginning that is told in a sentence: it is at the end of the tune."""
    if any(d.kind != "times" for d in tune.directions) or any(m.jump for m in tune.measures):
        return
    there = [
        (probability(found), found, line)
        for line in lines
        for found in found_in(line.text, ("jump",))
        if found.fact == "jump" and not goes_back_from_a_row(line.text)
    ]
    best = max(there, key=lambda one: one[0], default=None)
    if best is None or best[0] < TAKEN:
        return
    _, found, line = best
    tune.directions.append(
        Direction(
            kind="jump",
            value=str(found.value),
            after=len(tune.measures),
            beside=True,
            place=line.place(found.start),
        )
    )
    state.problems.add(
        kinds.IN_WORDS,
        f"these words are read as {found.value} at the end of the tune; if that is wrong, write "
        "where the player goes back on a line under its measure",
        line.place(found.start),
    )
