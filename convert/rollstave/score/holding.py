"""What holds in a measure: meter, key, tempo, and how the instrument is set up."""

from __future__ import annotations

from fractions import Fraction

from msgspec.structs import replace

from rollstave.instruments.setup import Setup
from rollstave.pitch import Key
from rollstave.rhythm.meter import Meter
from rollstave.score.memo import once_for_a_score
from rollstave.score.records import Score


@once_for_a_score
def _held(score: Score) -> tuple[tuple[Meter, Key, Fraction | None, Setup], ...]:
    return tuple(zip(score.meters, score.keys, score.tempos, score.setups, strict=True))


def with_what_holds(score: Score, index: int) -> Score:
    """The score as if it began with what holds in one of its measures."""
    meter, key, tempo, setup = _held(score)[index]
    return replace(score, meter=meter, key=key, tempo=tempo, setup=setup)
