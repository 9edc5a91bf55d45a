"""Another version of a tune, and what was changed on the way to it."""

from __future__ import annotations

from msgspec import Struct
from msgspec.structs import replace

from rollstave.problems import Problem, TabError
from rollstave.score.records import OtherVersion, Score
from rollstave.vocabulary import problems as kinds

_OPENING = "Reworked from "


class Reworked(Struct, frozen=True):
    """A score that was made from another.

    ``says`` is in words what it is now (``"up the neck, frets 5 to 12"``); it is empty where
    nothing was changed. ``changes`` are told to whoever asked for it: note by note what could not
    stay as it was, and as warnings what asks for care.
    """

    score: Score
    says: str
    changes: tuple[Problem, ...] = ()

    def named(self, title: str) -> Reworked:
        """The same, the first line of words of its score saying what it is and from the tune of
        which title it was made; as it is where there is nothing to say, or it is said already."""
        score = self.score
        if not self.says or (score.notes and score.notes[0].endswith(self.says)):
            return self
        places = score.note_measures or (0,) * len(score.notes)
        if score.notes and score.notes[0].startswith(_OPENING):
            line, notes, places = f"{score.notes[0]}; {self.says}", score.notes[1:], places[1:]
        else:
            line, notes = f"{_OPENING}{title or 'another version'}: {self.says}", score.notes
        return replace(self, score=replace(score, notes=(line, *notes), note_measures=(0, *places)))


def beside(score: Score, made: Reworked) -> Score:
    """The score with its other version beside it: written as a sheet, a page or MusicXML, both
    stand together, measure by measure. Raises TabError where their measures do not go together.
    """
    lengths = [[m.length for m in s.measures] for s in (score, made.score)]
    if lengths[0] != lengths[1]:
        said = (
            f"{len(lengths[0])} measures and {len(lengths[1])} of the other version cannot stand "
            "under each other: the measures of both must be as many, and each as long"
        )
        raise TabError((kinds.NO_REWORK.problem(said),))
    return replace(score, beside=OtherVersion(score=made.score, says=made.says or "as it is"))
