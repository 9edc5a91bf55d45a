"""Voices as they are typed: which notes are in the second voice, and how long each is held.

A heading ``Voices: strings 4-6`` or ``Voices: thumb and fingers`` gives notes to the second voice;
each then lasts until the next of its voice, or to the end of the measure. A line ``V2 h q q`` under
a system says note by note how long the second voice holds what is struck there, and is believed
before the heading; ``V1`` says so of the first. What neither says is as the heading has it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace

from rollstave.grid.typed import Attachment, GridMeasure, GridTune, Heading, LineKind
from rollstave.problems import ProblemList
from rollstave.score.finding import Finding, How
from rollstave.score.records import Event, Finger, Measure, Note
from rollstave.score.voices import NoteAt, has_voices, until_next
from rollstave.vocabulary import problems as kinds
from rollstave.vocabulary.note_values import NOTE_VALUES


class VoiceRule(Struct, frozen=True):
    """Which notes are in the second voice: those on some strings, or those of the thumb."""

    strings: frozenset[int] = frozenset()
    thumb: bool = False

    def second(self, note: Note) -> bool:
        """True for a note of the second voice."""
        return note.string in self.strings or (self.thumb and note.finger is Finger.THUMB)


_ONE = VoiceRule()
_LENGTHS = {value.letter: value.length for value in NOTE_VALUES if value.letter}
_FACTORS = {"": Fraction(1), ".": Fraction(3, 2), "..": Fraction(7, 4), "3": Fraction(2, 3)}


def with_voices(
    measures: Sequence[Measure], grid: GridTune, problems: ProblemList
) -> tuple[tuple[Measure, ...], tuple[Finding, ...]]:
    """The measures with each note in its voice, and what was declared."""
    rules = _rules(grid, problems)
    lines = any(a.kind is LineKind.VOICES for m in grid.measures for a in m.attachments)
    if not lines and not rules:
        return tuple(measures), ()  # nearly always
    found: list[Measure] = []
    rule = rules.get(-1, _ONE)
    for index, (measure, typed) in enumerate(zip(measures, grid.measures, strict=True)):
        rule = rules.get(index, rule)
        found.append(_voiced(measure, typed, rule, problems))
    said = next((h.text for h in grid.headings if h.key == "voices"), "")
    findings = (Finding("voices", said, How.DECLARED),) if said else ()
    return tuple(found), findings


def _rules(grid: GridTune, problems: ProblemList) -> dict[int, VoiceRule]:
    """The rule that each heading gives, by the place of its measure; -1 is the head of the tune."""
    said: list[tuple[int, Heading]] = [(-1, h) for h in grid.headings if h.key == "voices"][:1]
    said += [(i, h) for i, m in enumerate(grid.measures) for h in m.changes if h.key == "voices"]
    found = {index: _rule(heading, grid.strings, problems) for index, heading in said}
    return {index: rule for index, rule in found.items() if rule is not None}


def _rule(heading: Heading, strings: int, problems: ProblemList) -> VoiceRule | None:
    words = heading.text.lower()
    if re.match(r"(?:one|1|none|single)\b", words):
        return _ONE
    if "string" in words:
        ends = re.search(r"(\d)\s*(?:-|–|to|through)\s*(\d)", words)
        if ends:
            low, high = sorted((int(ends[1]), int(ends[2])))
            named = frozenset(range(low, high + 1))
        else:
            named = frozenset(map(int, re.findall(r"\d", words)))
        if named and max(named) <= strings and min(named) > 0:
            return VoiceRule(strings=named)
    elif "thumb" in words:
        return VoiceRule(thumb=True)
    problems.add(
        kinds.VOICES,
        f"{heading.text!r} does not say which notes are the second voice; a line such as "
        '"Voices: strings 4-6" or "Voices: thumb and fingers" does',
        heading.place,
    )
    return None


def _voiced(
    measure: Measure, typed: GridMeasure, rule: VoiceRule, problems: ProblemList
) -> Measure:
    """A measure with its voices: those of the heading, or those of lines under it."""
    said = [a for a in typed.attachments if a.kind is LineKind.VOICES and a.column is not None]
    if not said:
        return ruled(measure, rule)
    voices = _second(measure, rule)
    lasts: dict[NoteAt, Fraction] = {}
    struck = [event for event in measure.events if event.notes]
    for word in said:
        if word.column is not None and word.column < len(struck):
            _said(word, struck[word.column], voices, lasts, problems)
    return _held(_parted(measure, voices), lasts)


def ruled(measure: Measure, rule: VoiceRule) -> Measure:
    """A measure with its voices as a heading says, each note held until the next of its voice."""
    return _held(_parted(measure, _second(measure, rule)), {})


def _second(measure: Measure, rule: VoiceRule) -> dict[NoteAt, int]:
    return {
        (event.onset, note.string): 2
        for event in measure.events
        for note in event.notes
        if rule.second(note)
    }


def _said(
    word: Attachment,
    event: Event,
    voices: dict[NoteAt, int],
    lasts: dict[NoteAt, Fraction],
    problems: ProblemList,
) -> None:
    """Take what one word says of the notes of an event: ``2:6h,5h`` is strings 6 and 5 in voice 2,
    a half note each. Without a string it is the lowest row, in the first voice the highest."""
    number, _, said = word.text.partition(":")
    strings = sorted(note.string for note in event.notes)
    for one in said.split(","):
        named = re.match(r"\d(?=[a-z])", one)
        string = int(named[0]) if named else strings[0 if number == "1" else -1]
        if string not in strings:
            problems.add(kinds.VOICES, f"{one!r}: string {string} is not struck there", word.place)
            continue
        voices[event.onset, string] = int(number)
        lasts[event.onset, string] = sum(
            (_LENGTHS[v[0]] * _FACTORS[v[1:]] for v in one[bool(named) :].split("+")),
            Fraction(0),
        )


def _parted(measure: Measure, voices: Mapping[NoteAt, int]) -> Measure:
    events = tuple(
        replace(
            event,
            notes=tuple(
                replace(note, voice=voices.get((event.onset, note.string), 1))
                for note in event.notes
            ),
        )
        for event in measure.events
    )
    return replace(measure, events=events)


def _held(measure: Measure, lasts: Mapping[NoteAt, Fraction]) -> Measure:
    """The measure with the time that each note is held, where it has several voices."""
    if not has_voices(measure):
        return measure
    usual = until_next(measure)

    def held(note: Note, event: Event) -> Note:
        at = (event.onset, note.string)
        time = lasts.get(at, usual[at])
        return replace(note, lasts=None if time == event.duration else time)

    events = tuple(
        replace(event, notes=tuple(held(note, event) for note in event.notes))
        for event in measure.events
    )
    return replace(measure, events=events)
