"""Words that may say a fact which the tune has anyway: two that agree are no doubt."""

from __future__ import annotations

from collections.abc import Callable

from rollstave.deciding.tempo import parse_tempo
from rollstave.grid.typed import GridTune
from rollstave.instruments.tunings import parse_tuning
from rollstave.pitch import parse_key
from rollstave.problems import ProblemList, Severity
from rollstave.rhythm.meter import parse_meter
from rollstave.score.records import Score
from rollstave.vocabulary import problems as kinds

_ASKING = frozenset(kind.code for kind in (kinds.IN_WORDS, kinds.TIME, kinds.TEMPO, kinds.CAPO))


def take_back_what_agrees(grid: GridTune, score: Score, problems: ProblemList) -> None:
    """Take back the question whether words say a fact, where the score has just that fact: from
    labels, from the notes, or as what is usual."""
    for asked in grid.asked:
        holds = _HOLDS.get(asked.key)
        if holds is not None and holds(asked.text, score):
            problems.take_back(_ASKING, asked.place, (Severity.WARNING,))


def _tuning(text: str, score: Score) -> bool:
    tuning = parse_tuning(text, score.setup.instrument)
    return tuning is not None and tuning.pitches == score.setup.tuning.pitches


def _capo(text: str, score: Score) -> bool:
    return text == (str(score.setup.capo) if score.setup.capo else "none")


_HOLDS: dict[str, Callable[[str, Score], bool]] = {
    "tuning": _tuning,
    "capo": _capo,
    "key": lambda text, score: parse_key(text) == score.key,
    "time": lambda text, score: parse_meter(text) == score.meter,
    "tempo": lambda text, score: (
        score.tempo is not None and parse_tempo(text, score.meter) == score.tempo
    ),
}
