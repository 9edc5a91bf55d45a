"""A tuning that makes a mess where another makes sense."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from rollstave.api import Tune
from rollstave.instruments.model import Tuning
from rollstave.instruments.setup import NoSuchFret, Setup
from rollstave.problems import Place
from rollstave.proofreading.model import Mark

_MAJOR = (0, 2, 4, 5, 7, 9, 11)
_FEWEST = 40  # notes
_MESS, _SENSE = 0.86, 0.97  # share of the notes that one scale holds
_GAIN = 0.1  # by how much the other tuning must be better


def messy_tuning(tune: Tune) -> Iterator[Mark]:
    """The declared tuning, if no scale holds its notes while those of another known tuning,
    fingered alike, nearly all lie in one."""
    setup = tune.score.setup
    frets = Counter(
        (s.string, s.fret)
        for m in tune.grid.measures
        for c in m.columns
        for s in c.strokes
        if s.fret is not None and not s.harmonic
    )
    if sum(frets.values()) < _FEWEST:
        return
    own = _order(frets, setup)
    if own >= _MESS:
        return
    others = [
        (share, tuning)
        for tuning in setup.instrument.tunings
        if tuning != setup.tuning
        and (share := _order(frets, _with(setup, tuning))) >= max(_SENSE, own + _GAIN)
    ]
    if not others:
        return
    share, tuning = max(others, key=lambda o: o[0])
    heading = next((h for h in tune.grid.headings if h.key == "tuning"), None)
    first = tune.grid.measures[0]
    place = heading.place if heading else Place(first.first_line, 1)
    yield Mark(
        "tuning",
        place,
        f"in {setup.tuning.written} no scale holds more than {own:.0%} of the notes; fingered "
        f"alike in {tuning.written} one holds {share:.0%}",
        tuning.written,
    )


def _with(setup: Setup, tuning: Tuning) -> Setup:
    return Setup(
        setup.instrument,
        tuning,
        setup.capo,
        setup.short_raise,
        setup.short_raised_by,
        setup.short_numbering,
    )


def _order(frets: Counter[tuple[int, int]], setup: Setup) -> float:
    """The share of the notes that the best major scale (or a mode of it) holds."""
    classes: Counter[int] = Counter()
    for (string, fret), number in frets.items():
        try:
            classes[setup.midi(string, fret) % 12] += number
        except NoSuchFret:
            continue
    whole = sum(classes.values())
    if not whole:
        return 0.0
    return max(sum(classes[(t + s) % 12] for s in _MAJOR) for t in range(12)) / whole
