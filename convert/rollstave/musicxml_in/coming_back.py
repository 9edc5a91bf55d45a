"""Notes that come back as they were keep string, fret, fingers and marks.

Editors leave out what they do not know: the tablature, the letters under it, a mark. Where the
score that a file was made from is at hand, notes that are struck when they were, at their pitch,
are given back what no note of the file has any more.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec.structs import asdict

from rollstave.instruments.setup import NoSuchFret, Setup
from rollstave.musicxml_in.measures import ReadMeasure
from rollstave.musicxml_in.notes import Heard
from rollstave.score.aligned import aligned, moved, struck_in, transposed
from rollstave.score.records import Note, Score

# What a note of a score has and an editor may drop; the first of a row says whether it did.
_MAY_BE_LOST = (
    ("finger", "inferred_finger"),
    ("left_finger",),
    ("marks",),
    ("ghost",),
    ("vibrato",),
    ("bend",),
    ("let_ring",),
    ("slide_from",),
    ("slide_to",),
    ("link",),
)


def give_back(measures: Sequence[ReadMeasure], since: Score, setup: Setup) -> int:
    """Give notes without a place the one that they had, and what the file has lost; how many have
    their place again."""
    heard = [note for read in measures for note in read.heard]
    lost = [row for row in _MAY_BE_LOST if not any(getattr(note, row[0]) for note in heard)]
    old = [struck_in(measure) for measure in since.measures]
    new = [
        frozenset((h.onset, h.pitch.midi) for h in read.heard if h.duration and not h.tied)
        for read in measures
    ]
    steps = transposed(old, new)
    old = [moved(keys, steps) for keys in old]
    placed = 0
    for there, here in aligned(old, new):
        if there is None or here is None:
            continue
        were = {
            (event.onset, note.pitch.midi): note
            for event in since.measures[there].events
            for note in event.notes
        }
        for note in measures[here].heard:
            was = were.get((note.onset, note.pitch.midi - steps))
            if was is None or not note.duration:
                continue
            placed += _place(note, was, setup)
            if note.string in (None, was.string):
                _take(note, was, lost)
    return placed


def _place(note: Heard, was: Note, setup: Setup) -> bool:
    """Put a note without a place where it was, if that still sounds its pitch."""
    if note.string is not None or was.fret is None or was.muted:
        return False
    try:
        sounds = setup.midi(was.string, was.fret, was.half)
    except NoSuchFret:
        return False
    if sounds != note.pitch.midi:
        return False
    note.string, note.fret, note.half = was.string, was.fret, was.half
    return True


def _take(note: Heard, was: Note, lost: Sequence[tuple[str, ...]]) -> None:
    fields = asdict(was)
    for row in lost:
        if fields[row[0]]:
            for name in row:
                setattr(note, name, fields[name])
