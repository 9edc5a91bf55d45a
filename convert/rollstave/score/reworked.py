"""Another version of a tune, and what was changed on the way to it."""

from __future__ import annotations

from msgspec import Struct
from msgspec.structs import replace

from rollstave.problems import Problem
from rollstave.score.records import Score

OPENING = "Reworked from "


class Reworked(Struct, frozen=True):
    """A score that was made from another.

    ``says`` is in words what it is now (``"up the neck, frets 5 to 12"``); it is empty where
    nothing was changed. ``changes`` are told to whoever asked for it: note by note what could not
    stay as it was, and as warnings what asks for care.
    """

    score: Score
    says: str
    changes: tuple[Problem, ...] = ()


def with_words(made: Reworked, title: str) -> Score:
    """The new score, its first line of words saying what it is and what it was made from."""
    score = made.score
    if not made.says:
        return score
    places = score.note_measures or (0,) * len(score.notes)
    if score.notes and score.notes[0].startswith(OPENING):
        line, notes, places = f"{score.notes[0]}; {made.says}", score.notes[1:], places[1:]
    else:
        line, notes = f"{OPENING}{title or 'another version'}: {made.says}", score.notes
    return replace(score, notes=(line, *notes), note_measures=(0, *places))
