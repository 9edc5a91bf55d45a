"""The letters of the striking hand's fingers as a score has them written."""

from __future__ import annotations

from collections.abc import Mapping

from rollstave.score.memo import once_for_a_score
from rollstave.score.records import Finger, Score
from rollstave.vocabulary.hands import FINGERS

_BANJO: Mapping[Finger, str] = {Finger(row.letter): row.letter for row in FINGERS}
_GUITAR: Mapping[Finger, str] = {Finger(row.letter): row.guitar for row in FINGERS}
_FIXED = {Finger(row.letter) for row in FINGERS if row.fixed_hand}


def finger_letters(score: Score) -> Mapping[Finger, str]:
    """T, I, M for a banjo's fixed hand; p, i, m, a, c for instruments that have none, and wherever
    a fourth finger strikes (common practice, no source)."""
    if not score.setup.instrument.fixed_hand:
        return _GUITAR
    return _letters(score)


@once_for_a_score  # every measure asks, and to look at all of a score for each is quadratic
def _letters(score: Score) -> Mapping[Finger, str]:
    others = any(
        note.finger is not None and note.finger not in _FIXED
        for measure in score.measures
        for event in measure.events
        for note in event.notes
    )
    return _GUITAR if others else _BANJO
