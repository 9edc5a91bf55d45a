"""Whether two scores are the same music, wherever and however it was typed.

All fields of all records are compared but those that :data:`MAY_DIFFER` names, so a field that is
added is compared from the day it is there.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable
from functools import lru_cache
from typing import Any

from msgspec import Struct

from rollstave.grid.typed import Bar
from rollstave.score.records import Change, ChordName, Event, GraceNote, Measure, Note, Score

# The fields of records that may differ in the same music, and why.
MAY_DIFFER: dict[type[Struct], dict[str, str]] = {
    Score: {
        "beside": "another version is no part of the tune",
        "note_measures": "words move to the next system when measures are laid out anew",
    },
    Measure: {
        "index": "what precedes a measure is compared measure by measure",
        "rhythm": "how a rhythm was found is no part of it",
        "implicit": "it follows from the number, the length and the meter",
        "system": "lines are broken anew",
        "first_line": "where it was typed",
        "last_line": "where it was typed",
    },
    Change: {},
    Event: {},
    Note: {
        "place": "where it was typed",
        "inferred_finger": "a finger that we found may be found otherwise; see AS_SEEN",
    },
    GraceNote: {"place": "where it was typed"},
    ChordName: {
        "frets": "they are found from the notes that are struck while the chord lasts",
        "inferred": "chords that we found are left out; see AS_SEEN",
        "beside": "it is the same chord under another name",
    },
}
# Fields of which not all is compared: what is seen of a record's field, and why.
AS_SEEN: dict[tuple[type[Struct], str], Callable[[Any], object]] = {
    # Lines of words change their order when those between measures come to stand elsewhere.
    (Score, "notes"): lambda score: tuple(sorted(score.notes)),
    # What a sign means, not which of several lines of a file says so.
    (Score, "signs"): lambda score: tuple((sign.sign, sign.means) for sign in score.signs),
    # A bar at the left is the one at the right of the measure before, but where it opens a repeat.
    (Measure, "left"): lambda measure: measure.left is Bar.REPEAT_START,
    # Where no bar was drawn between two measures, clean typing draws a plain one.
    (Measure, "right"): lambda measure: Bar.SINGLE if measure.right is Bar.NONE else measure.right,
    (Measure, "chords"): lambda measure: tuple(c for c in measure.chords if not c.inferred),
    (Note, "finger"): lambda note: None if note.inferred_finger else note.finger,
}
# The fields of a score that are words about it; then come those that say how it is read.
_WORDS = ("title", "composer", "source", "style", "headings", "notes")


def essence(score: Score) -> tuple[tuple[Hashable, ...], ...]:
    """All of a score but what may differ: the words about it, what it is set to, and then its
    measures."""
    seen = dict(_seen(score))
    words = tuple(seen.pop(name) for name in _WORDS)
    measures = seen.pop("measures")
    assert isinstance(measures, tuple)
    return (words, tuple(seen.values()), *measures)


def first_difference(one: Score, other: Score) -> str | None:
    """In words where two scores first differ, or None if they are the same music."""
    left, right = essence(one), essence(other)
    for index, (here, there) in enumerate(zip(left, right, strict=False)):
        if here != there:
            return ("its words", "its headings")[index] if index < 2 else f"measure {index - 1}"
    if len(one.measures) != len(other.measures):
        return f"measure {min(len(one.measures), len(other.measures)) + 1}"
    return None


def _seen(record: Struct) -> list[tuple[str, Hashable]]:
    """The fields of a record that are compared, and what is seen of each."""
    return [(name, _essence(look(record))) for name, look in _looks(type(record))]


def _essence(value: Any) -> Hashable:
    if isinstance(value, tuple):
        return tuple(_essence(item) for item in value)
    if isinstance(value, Struct) and _listed(type(value)) is not None:
        return tuple(seen for _, seen in _seen(value))
    found: Hashable = value
    return found


def _listed(kind: type) -> type[Struct] | None:
    """The record of the score that a class is, or is derived from; None for any other."""
    return next((base for base in kind.__mro__ if base in MAY_DIFFER), None)


@lru_cache(maxsize=64)
def _looks(kind: type[Struct]) -> tuple[tuple[str, Callable[[Any], object]], ...]:
    """The fields of a kind of record that are compared, and how each is looked at."""
    base = _listed(kind)
    assert base is not None
    return tuple(
        (name, AS_SEEN.get((base, name)) or _plain(name))
        for name in kind.__struct_fields__
        if name not in MAY_DIFFER[base]
    )


def _plain(name: str) -> Callable[[Any], object]:
    return lambda record: getattr(record, name)
