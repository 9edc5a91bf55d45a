"""How much each sign counts when a tune is divided into phrases.

``MELODY`` is fitted on songs whose phrases are marked (``python -m tests.benchmarks.phrases_fit``),
but for chords and plucks, which songs do not have; these, and ``PLAYED``, are ours.
"""

from __future__ import annotations

from msgspec import Struct

NOTES_EACH = 2  # notes that one of the weights of ``notes`` stands for


class Weights(Struct, frozen=True):
    """``signs`` in the order of ``boundaries.SIGNS``; ``measures`` for phrases of one measure and
    more; ``notes`` for phrases of so many notes, of none and one first, by :data:`NOTES_EACH`;
    ``same`` for a phrase that is as long as the one before."""

    signs: tuple[float, ...]
    measures: tuple[float, ...]
    notes: tuple[float, ...]
    same: float


MELODY = Weights(
    signs=(0.107, 0.24, 1.574, 1.9, 0.888, 1.221, 0.361, 0.2, 0.4, 0.7, 0.143),
    measures=(-8.0, -0.433, -0.308, 0.448),
    notes=(
        *(-0.544, -1.436, -0.325, 0.853, 1.334, 1.14, 0.708),
        *(0.199, -0.237, -0.362, -0.672, -0.474, -0.478),
    ),
    same=0.509,
)
# Four measures, then two, as players count them (common practice).
PLAYED = Weights(
    signs=(0.3, 0.8, 1.5, 0.0, 1.0, 0.6, 0.0, 0.2, 0.4, 0.7, 0.0),
    measures=(-4.0, -0.9, -1.6, 0.0),
    notes=(),
    same=0.5,
)
