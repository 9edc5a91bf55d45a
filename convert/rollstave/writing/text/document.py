"""The whole text: headings, free text, systems with what stands over and under them.

Everything is written so that the reader takes it for what it is; where a line of free text would
be taken for something else, it is kept apart by an empty line and written as it was.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Container, Mapping, Sequence
from fractions import Fraction

from msgspec.structs import replace

from rollstave.deciding.picking import style_says_brushes
from rollstave.grid.typed import Bar, LegendSign
from rollstave.patterns import rare
from rollstave.reading.page.decode import Line
from rollstave.reading.words.headings import read_headings
from rollstave.reading.words.section_names import read_section
from rollstave.reading.words.title_line import split_title
from rollstave.reading.words.titles import LONGEST_LINE
from rollstave.score.records import Measure, Score
from rollstave.vocabulary.signs import COMMON, Signs, says, signs_of
from rollstave.writing.headings import typed_changes, typed_headings
from rollstave.writing.text.counting import counts_in, sums_in, values_in
from rollstave.writing.text.exercises import exercise_lines
from rollstave.writing.text.fills import looks_filled
from rollstave.writing.text.hand_words import hand_lines, hand_words
from rollstave.writing.text.labels import row_labels
from rollstave.writing.text.manners import MANNERS, Again, Manner, Typing, best_text, best_typing
from rollstave.writing.text.sliding import slide_far
from rollstave.writing.text.spacing import Spacing, Typed, spacing_of
from rollstave.writing.text.times import as_held
from rollstave.writing.text.tokens import Token, grace_texts, rest_token, token
from rollstave.writing.voicing import voice_words

_RULED = rare(r"--|([^\w\s.])\1\1")  # a run of signs, as rows have it in many ways of typing
_THUMB = "t"  # a finger, and a thirty-second note
WIDTH = 80  # characters of a line, unless one measure needs more


def write_text(score: Score, width: int = WIDTH, again: Again | None = None) -> bytes:
    """The score as text tab in UTF-8, systems no wider than ``width`` where a measure allows.

    ``again`` reads a text: with it the rhythm is said in a manner that is read as it is meant.
    """
    score = as_held(score)
    return best_text(score, lambda manner: _in_manner(score, width, manner), again)


def typing_of(score: Score, width: int = WIDTH, again: Again | None = None) -> Typing:
    """The text, as :func:`write_text` has it, and the measures that ``again`` reads otherwise."""
    score = as_held(score)
    return best_typing(score, lambda manner: _in_manner(score, width, manner), again)


def _in_manner(score: Score, width: int, manner: Manner) -> bytes:
    head, systems = typed_blocks(score, width, manner=manner)
    return as_text([head, *(lines for _, lines in systems)])


def typed_blocks(
    score: Score,
    width: int = WIDTH,
    breaks: Container[int] = (),
    manner: Manner = MANNERS[0],
) -> tuple[list[str], list[tuple[int, list[str]]]]:
    """The lines of the head, and of each system with the index of its first measure. ``breaks`` are
    indices of measures that begin a system whatever stands before them."""
    score = as_held(score)
    signs = _signs(score)
    typed = _typed(score, signs, manner)
    spacing = spacing_of(typed, shows_time=manner.wide or _short_inside(score))
    setups = score.setups
    labels = {setup: row_labels(replace(score, setup=setup)) for setup in dict.fromkeys(setups)}
    widest = max(len(name) for names in labels.values() for name in names)
    for string in range(1, score.setup.instrument.strings + 1):
        slide_far(typed, string, spacing)
    systems = _systems(typed, spacing, widest, width, breaks)
    exercises = exercise_lines(score, systems)
    written = []
    for system in systems:
        first = system[0].measure
        names = [name.ljust(widest) for name in labels[setups[first.index]]]
        lines = [*_heading(first, exercises), *_system(score, system, spacing, names, manner)]
        if first.change is not None:
            changes = [f"{name}: {words}" for name, words in typed_changes(score, first)]
            lines = [*changes, "", *lines]
        written.append((first.index, lines))
    return _head(score, under_headings=exercises), written


def as_text(blocks: Sequence[Sequence[str]]) -> bytes:
    """Blocks of lines with an empty line between two, in UTF-8."""
    text = "\n\n".join("\n".join(line.rstrip() for line in block) for block in blocks if block)
    return (text + "\n").encode()


def _signs(score: Score) -> Signs:
    """The signs as the tune's own legend, which is written again, will have them read."""
    if not score.signs:
        return COMMON
    lines = (*score.notes, *(words for _, words in typed_headings(score)))
    return signs_of(sign for sign in score.signs if any(says(line, sign) for line in lines))


# Headings -----------------------------------------------------------------------------------


def _head(score: Score, under_headings: Mapping[int, Sequence[str]]) -> list[str]:
    headings = typed_headings(score)
    first, words = headings[0] if headings else ("", "")
    if words == score.title and split_title(Line(1, words, words), 0, words)[1]:
        # A time or a key that is part of the title: of two headings the first counts.
        headings = [*headings[1:], (first, words)]
    lines = [f"{name}: {words}" for name, words in headings]
    placed = [note for over in under_headings.values() for note in over[1:]]
    notes = [note for note in score.notes if note not in placed]
    if notes:
        lines += ["", *(remark(note, score.signs) for note in notes)]
    return lines


# Of what stood under a tune, and raises no string there: in the head it would.
_SPIKED = re.compile(r"^\W*(?:spiked?|hooked|capo(?:ed)?)\s+(?:at|on|up)\s+\d", re.IGNORECASE)


def remark(text: str, signs: Sequence[LegendSign] = ()) -> str:
    """A line of words. What would be read as rows or headings says that it is a remark; a legend
    must be read as one."""
    if any(says(text, sign) for sign in signs):
        return text
    line = Line(1, text, text)
    looks_else = "|" in text or _RULED.search(text) or _SPIKED.search(text) or looks_filled(text)
    looks_else = looks_else or read_headings(line, head=True) is not None
    if not looks_else and len(text) <= LONGEST_LINE:  # headings behind other words
        looks_else = bool(split_title(line, 0, text)[1])
    return f"Remark: {text}" if looks_else else text


# Measures -----------------------------------------------------------------------------------


def _typed(score: Score, signs: Signs, manner: Manner) -> list[Typed]:
    frets: dict[int, int | None] = {}
    result = []
    unsigned = style_says_brushes(score)
    for measure in score.measures:
        tokens: list[dict[int, Token]] = []
        for event in measure.events:
            row: dict[int, Token] = {}
            for note in event.notes:
                brushed = event.brush and not unsigned and note is event.notes[0]
                row[note.string] = token(note, frets.get(note.string), brushed, signs)
                frets[note.string] = note.fret
            for string, small in grace_texts(event, signs).items() if event.grace else ():
                own = row.get(string, Token(""))
                row[string] = replace(own, sign=small + own.sign)
                frets.setdefault(string, None)
            if not event.notes and tokens:
                sounding, after = measure.events[len(tokens) - 1], measure.events[len(tokens) + 1 :]
                row = rest_token(tokens[-1], sounding, next(iter(after), None), signs)
            tokens.append(row)
        chords = tuple((c.onset, len(c.text)) for c in measure.chords if not c.inferred)
        lyrics = tuple(
            (e.onset, max(len(text) for _, text in e.sung)) for e in measure.events if e.sung
        )
        hands = hand_words(score, measure)
        voices = [
            tuple((onset, len(text) - 1) for onset, text in words)
            for words in voice_words(score, measure).values()
        ]
        words = (chords, lyrics, *hands, _rhythm_words(score, measure, manner), *voices)
        result.append(Typed(measure, tuple(tokens), words))
    return result


def _short_inside(score: Score) -> bool:
    """True if a measure is short in the middle of a strain: its letters alone could mean that it
    begins with a rest, so columns must show that it does not."""
    return any(
        measure.length < meter.length
        and measure.left is not Bar.REPEAT_START
        and after.left is not Bar.REPEAT_START
        and before.right not in (Bar.REPEAT_END, Bar.DOUBLE)
        and measure.right not in (Bar.REPEAT_END, Bar.DOUBLE)
        for before, measure, after, meter in zip(
            score.measures, score.measures[1:], score.measures[2:], score.meters[1:], strict=False
        )
    )


def _rhythm_words(
    score: Score, measure: Measure, manner: Manner
) -> tuple[tuple[Fraction, int], ...]:
    """Where counts or note values stand and how much room they take. They may stand closer
    than other words, so their length is given one less."""
    found = counts_in(score, measure) if manner.counts else None
    if found is None:
        found = _values(score, measure, manner)
    return tuple((onset, len(text) - 1) for onset, text in found or ())


def _systems(
    typed: Sequence[Typed], spacing: Spacing, label: int, width: int, begins: Container[int]
) -> list[list[Typed]]:
    """Measures by system: as many as fit, a new one where a section begins, something changes or
    words follow."""
    systems: list[list[Typed]] = []
    load = 0
    for index, one in enumerate(typed):
        wide = spacing.width(one.measure) + 2
        before = typed[index - 1].measure if index else None
        breaks = before is None or one.measure.section is not None or one.measure.index in begins
        breaks = breaks or one.measure.change is not None
        if before is not None:
            said = before.fine or before.to_coda or before.jump is not None
            said = said or before.times is not None
            double = before.right is Bar.DOUBLE and one.measure.left is Bar.REPEAT_START
            breaks = breaks or said or double or load + wide > width
        if breaks:
            systems.append([])
            load = label + 2
        systems[-1].append(one)
        load += wide
    return systems


# Systems ------------------------------------------------------------------------------------


def _bar(before: Measure | None, after: Measure | None) -> str:
    """The bar between two measures of a system, or at one of its ends."""
    ends = before is not None and before.right is Bar.REPEAT_END
    starts = after is not None and after.left is Bar.REPEAT_START
    if ends and starts:
        return ":||:"
    if ends or starts:
        return ":|" if ends else "|:"
    return "||" if before is not None and before.right in (Bar.DOUBLE, Bar.FINAL) else "|"


def _system(
    score: Score,
    system: Sequence[Typed],
    spacing: Spacing,
    labels: Sequence[str],
    manner: Manner,
) -> list[str]:
    measures = [one.measure for one in system]
    bars = [
        _bar(before, after)
        for before, after in zip([None, *measures], [*measures, None], strict=True)
    ]
    rows = [[label, bars[0]] for label in labels]
    starts = []
    at = len(labels[0]) + len(bars[0])
    for one, bar in zip(system, bars[1:], strict=True):
        starts.append(at)
        for string, row in enumerate(rows, start=1):
            row.append(_cell(one, string, spacing))
            row.append(bar)
        at += spacing.width(one.measure) + len(bar)
    lines = _over(system, starts, spacing)
    lines += ["".join(row) for row in rows]
    lines += _under(score, system, starts, spacing, manner)
    last = measures[-1]
    if last.times is not None:
        lines.append(f"Play {last.times} times")
    if last.to_coda:
        lines += ["", "To Coda"]
    if last.fine:
        lines += ["", "Fine"]
    if last.jump is not None:
        lines += ["", last.jump]
    return lines


def _heading(measure: Measure, exercises: Mapping[int, Sequence[str]]) -> list[str]:
    """The lines over a system that say what begins with a measure."""
    if measure.section is None:
        return []
    return [*(exercises.get(measure.index) or _section(measure.section))]


def _section(name: str) -> list[str]:
    """The line that names a section, in a form that is read back as that name. One that has none
    is a remark: before an empty line it might be the title of another tune."""
    for form in (name, f"[{name}]"):
        if read_section(Line(1, form, form)) == (name, ""):
            return [form]
    return [f"Remark: {name}", ""]


def _cell(one: Typed, string: int, spacing: Spacing) -> str:
    cells = ["-"] * spacing.width(one.measure)
    for event, tokens in zip(one.measure.events, one.tokens, strict=True):
        if string in tokens:
            token = tokens[string]
            start = spacing.column(event.onset) - token.left
            cells[start : start + len(token.text)] = token.text
    if string in one.leads:
        at, sign = one.leads[string]
        at %= len(cells)
        cells[at : at + len(sign)] = sign
    return "".join(cells)


def _line(words: Sequence[tuple[int, str]]) -> str:
    """Words at their columns; a word that would touch the one before moves right."""
    text = ""
    for column, word in sorted(words, key=lambda w: w[0]):
        text = text.ljust(max(column, len(text) + 1 if text else 0)) + word
    return text


def _over(system: Sequence[Typed], starts: Sequence[int], spacing: Spacing) -> list[str]:
    endings, signs, chords = [], [], []
    for one, start in zip(system, starts, strict=True):
        if one.measure.ending is not None:
            endings.append((start, f"{one.measure.ending}."))
        if one.measure.segno:
            signs.append((start, "Segno"))
        if one.measure.coda and (one.measure.section or "").lower() != "coda":
            signs.append((start, "Coda"))
        chords += [
            (start + spacing.column(c.onset), c.text) for c in one.measure.chords if not c.inferred
        ]
    return [_line(words) for words in (endings, signs, chords) if words]


def _under(
    score: Score,
    system: Sequence[Typed],
    starts: Sequence[int],
    spacing: Spacing,
    manner: Manner,
) -> list[str]:
    counted, valued = _rhythm_lines(score, system, starts, spacing, manner)
    placed = list(zip(system, starts, strict=True))
    lyrics: dict[int, list[tuple[int, str]]] = {}
    hands = hand_lines(score, [(one.measure, _columns(at, spacing)) for one, at in placed])
    voices: dict[int, list[tuple[int, str]]] = {}
    for one, start in placed:
        measure = one.measure
        for event in measure.events:
            column = start + spacing.column(event.onset)
            for verse, text in event.sung:
                lyrics.setdefault(verse, []).append((column, text))
        for voice, held in voice_words(score, measure).items():
            line = voices.setdefault(voice, [(0, f"V{voice}")])
            line += [(start + spacing.column(onset), text) for onset, text in held]
    parts = [voices[voice] for voice in sorted(voices)]
    verses = [lyrics[verse] for verse in sorted(lyrics)]
    return [_line(words) for words in (*hands, counted, valued, *parts, *verses) if words]


def _columns(start: int, spacing: Spacing) -> Callable[[Fraction], int]:
    return lambda onset: start + spacing.column(onset)


def _rhythm_lines(
    score: Score,
    system: Sequence[Typed],
    starts: Sequence[int],
    spacing: Spacing,
    manner: Manner,
) -> tuple[list[tuple[int, str]], list[tuple[int, str]]]:
    """Counts under the measures that have them, and note values under the others."""
    counted: list[tuple[int, str]] = []
    valued: list[tuple[int, str]] = []
    for one, start in zip(system, starts, strict=True):
        found = counts_in(score, one.measure) if manner.counts else None
        if found is not None:
            counted += [(start + spacing.column(onset), text) for onset, text in found]
        else:
            valued += _valued(score, one, start, spacing, manner)
    if counted and valued and all(text == _THUMB for _, text in valued):
        # Alone they would be the letters of a thumb.
        pairs = zip(system, starts, strict=True)
        return [], [
            word for one, start in pairs for word in _valued(score, one, start, spacing, manner)
        ]
    return counted, valued


def _valued(
    score: Score, one: Typed, start: int, spacing: Spacing, manner: Manner
) -> list[tuple[int, str]]:
    found = _values(score, one.measure, manner) or ()
    return [(start + spacing.column(onset), text) for onset, text in found]


def _values(score: Score, measure: Measure, manner: Manner) -> list[tuple[Fraction, str]] | None:
    if not manner.values:
        return None
    odd = measure.length != score.meter.length
    return sums_in(measure) if manner.sums and odd else values_in(score, measure)
