"""The parts of a lesson in the order in which a teacher explains a tune (common practice)."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from msgspec.structs import replace

from rollstave import (
    Bar,
    Exercise,
    Handout,
    Part,
    Problem,
    Score,
    Severity,
    TabError,
    Tune,
    Words,
)
from rollstave_teaching.changes import changes
from rollstave_teaching.hand import right_hand
from rollstave_teaching.measures import of_measures
from rollstave_teaching.neck import up_the_neck
from rollstave_teaching.pieces import phrases
from rollstave_teaching.progression import chords
from rollstave_teaching.prose import words_of
from rollstave_teaching.tuning import tune_up
from rollstave_teaching.wording import listed

Maker = Callable[[Score], Part | None]


def lesson_of(tune: Tune | Score, parts: str = "") -> Handout:
    """A lesson with the parts that are asked for, or all that the tune has something for."""
    score = tune.score if isinstance(tune, Tune) else tune
    made = {key: PARTS[key](score) for key in _keys(parts)}
    found = tuple(part for part in made.values() if part is not None)
    missing = [key for key, part in made.items() if part is None]
    if found and "whole" in made:
        # What the teacher says of a part that is left out is not lost.
        homeless = [words for key in missing for words in words_of(score, key)]
        last = found[-1]
        found = (*found[:-1], replace(last, blocks=(*homeless, *last.blocks)))
    if missing:
        said = Words(_missing(missing), inferred=True)
        found = (Part(name="", blocks=(said,)), *found)
    return Handout(title=f"{score.title}, a lesson", score=score, parts=found)


def _missing(keys: Sequence[str]) -> str:
    """Which parts there are none of, and why."""
    told = [f"{_NAMES[key]} ({_WHY[key]})" for key in keys]
    return f"Left out, since the tab says nothing for it: {listed(told)}."


_NO_CHORD = "no chord is named, and the notes tell none"
_NAMES = {
    "chords": "the chords",
    "right-hand": "the right hand",
    "changes": "the changes",
    "up-the-neck": "up the neck",
}
_WHY = {
    "chords": _NO_CHORD,
    "right-hand": "no pattern comes again",
    "changes": "no chord changes into another, or no pattern comes again",
    "up-the-neck": "no chord has a shape that can be moved",
}


def _keys(parts: str) -> Sequence[str]:
    wanted = [word.strip().lower() for word in parts.split(",") if word.strip()]
    for word in wanted:
        if word not in PARTS:
            said = f"a lesson has no part {word!r}; it has {', '.join(PARTS)}"
            problem = Problem(severity=Severity.ERROR, code="no-rework", message=said)
            raise TabError((problem,))
    return [key for key in PARTS if not wanted or key in wanted]


def whole(score: Score) -> Part:
    """The tune itself, its lines broken at phrases."""
    measures = list(score.measures)
    if measures[-1].right is Bar.SINGLE:
        measures[-1] = replace(measures[-1], right=Bar.FINAL)
    tune = Exercise(name=score.title, score=of_measures(score, measures), per_line=0)
    return Part(name="The whole tune", blocks=(*words_of(score, "whole"), tune), own_page=True)


PARTS: dict[str, Maker] = {
    "tune-up": tune_up,
    "chords": chords,
    "right-hand": right_hand,
    "changes": changes,
    "phrases": phrases,
    "up-the-neck": up_the_neck,
    "whole": whole,
}
