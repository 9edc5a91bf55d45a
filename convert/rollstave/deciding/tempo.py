"""A tempo in words: ``96``, ``♩ = 96``, ``dotted quarter = 96``, ``1/4=112``, ``ca. 100 bpm``."""

from __future__ import annotations

import re
from fractions import Fraction

from rollstave.patterns import rare
from rollstave.rhythm.meter import Meter
from rollstave.vocabulary.note_values import COUNTED, DOTTED, NOTE_VALUES

SLOWEST, FASTEST = 10, 500  # of a minute; beyond what any metronome beats

_UNIT = "|".join(f"(?P<v{i}>{value.words})" for i, value in enumerate(COUNTED))
_WITH_UNIT = rare(
    rf"(?<![\w/])(?P<dotted>dotted\s+)?(?:{_UNIT})s?\s*(?P<dot>\.)?(?:\s*=|\s+(?:is|equals|at)\s+(?=\d))",
    re.IGNORECASE,
    cues=("=", "is", "equals", "at"),
)
# "100 half notes a minute"
_A_MINUTE = rare(
    rf"(?<![\w/])(?P<dotted>dotted\s+)?(?:{_UNIT})s?\s+(?:a|per)\s+minute",
    re.IGNORECASE,
    cues=("minute",),
)
# "88 a quarter", "60 to the half note"
_A_UNIT = rare(
    rf"(?<=\d)\s+(?:a|per|to\s+(?:the|a))\s+(?P<dotted>dotted\s+)?(?:{_UNIT})(?!\w)",
    re.IGNORECASE,
    cues=("a", "per", "to"),
)
_NOTE_AND_NUMBER = rare(r"(notes?)\s+(?=\d)", re.IGNORECASE, cues=("note",))
_NUMBER = re.compile(r"\d+")


def parse_tempo(text: str, meter: Meter | None) -> Fraction | None:
    """Quarter notes a minute, or None if the words are no tempo.

    A number without a note value counts beats of the meter (common practice, no source), quarter
    notes where no meter is named.
    """
    unit = meter.beat if meter else Fraction(1)
    start = 0
    text = _NOTE_AND_NUMBER.sub(r"\1 = ", text)  # half note 100
    if match := _WITH_UNIT.search(text):
        unit = next(v.length for i, v in enumerate(COUNTED) if match[f"v{i}"] is not None)
        if match["dotted"] or match["dot"]:
            unit *= DOTTED
        start = match.end()
    elif match := _A_MINUTE.search(text) or _A_UNIT.search(text):
        unit = next(v.length for i, v in enumerate(COUNTED) if match[f"v{i}"] is not None)
        unit *= DOTTED if match["dotted"] else 1
    number = _NUMBER.search(text, start)
    if number is None or not SLOWEST <= int(number[0]) <= FASTEST:
        return None
    return int(number[0]) * unit


_ABOUT = re.compile(
    r"[\s,;:~=-]*\b(?:ca?|about|around|approx|m\.?\s?m)?[\s.,;:~=-]*$", re.IGNORECASE
)


def words_of_tempo(text: str) -> str:
    """The words of a tempo, with their punctuation: ``Lively.`` of ``Lively. (quarter = 96)``;
    empty where there are only figures."""
    ends = [m.start() for m in (_WITH_UNIT.search(text), _NUMBER.search(text)) if m]
    words = text[: min([*ends, len(text)])].partition("(")[0].partition("[")[0].strip()
    if ends:
        words = words if words.endswith((".", "!")) and " " in words else _ABOUT.sub("", words)
    return words if sum(c.isalpha() for c in words) > 2 else ""


# What a tempo is said for if it is no whole number of beats, in quarter notes.
_OTHERS = (Fraction(1), Fraction(1, 2), Fraction(2), Fraction(4), Fraction(3, 2), Fraction(3, 4))


def tempo_mark(tempo: Fraction, meter: Meter) -> tuple[Fraction, Fraction]:
    """The note value that a tempo is said for, in quarter notes, and how many a minute: beats of
    the meter where they are a whole number, or another value, or else beats with a fraction."""
    for unit in (meter.beat, *_OTHERS):
        if (tempo / unit).denominator == 1:
            return unit, tempo / unit
    return meter.beat, tempo / meter.beat


def value_name(length: Fraction) -> str:
    """The name of the note value, plain or dotted, that lasts ``length`` quarter notes: ``dotted
    quarter``. Raises StopIteration if there is none."""
    return next(
        dotted + value.name
        for value in NOTE_VALUES
        for dotted, factor in (("", 1), ("dotted ", DOTTED))
        if length == value.length * factor
    )
