"""Another version of a tune: in another tuning or key, elsewhere on the neck, easier.

A plugin over the hook ``rollstave_reworks``, on the public names of rollstave alone; a chord chart
with a roll, read as a tab, is a dialect. Its functions
may be called as they are: ``retuned(score, tuning="gCGBD")`` returns a
:class:`rollstave.Reworked`.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from rollstave import Dialect, Rework, WriterOption, hookimpl

if TYPE_CHECKING:
    from rollstave import Reworked, Score

rollstave_contract = "1.1"
__all__ = ["made_easier", "moved_up", "retuned", "transposed"]


def made_easier(score: Score, easier: int) -> Reworked:
    """The tune for a beginner, in four steps: no slurs, first position, fewer notes, the melody
    alone. Raises rollstave.TabError for any other number."""
    from rollstave_arranging.simplifying import easier as simplified
    from rollstave_arranging.stretches import by_stretch

    return by_stretch(score, lambda part: simplified(part, easier))


def moved_up(score: Score, position: str, seed: int = 0) -> Reworked:
    """The same roll with closed shapes elsewhere on the neck: between two frets (``"5-9"``), each
    chord in its next shape (``"next"``), or up and back (``"climb"``). Each ``seed`` finds
    another way. Raises rollstave.TabError."""
    from rollstave_arranging.positions import up_the_neck
    from rollstave_arranging.stretches import by_stretch

    return by_stretch(score, lambda part: up_the_neck(part, position, seed))


def retuned(score: Score, tuning: str) -> Reworked:
    """The same pitches in another tuning, by letters or by name; back in the tuning that its words
    say it came from, at the places that it likely had there. The words that say so are the first of
    the score. Raises rollstave.TabError."""
    from msgspec.structs import replace

    from rollstave_arranging.retuning import retune
    from rollstave_arranging.returning import origin_of, without_places
    from rollstave_arranging.stretches import by_stretch

    origin = origin_of(score)
    made = by_stretch(score, lambda part: retune(part, tuning, origin))
    if made.says:
        made = replace(made, score=without_places(made.score))
    return made.named(score.title)


def transposed(score: Score, key: str = "", semitones: int | None = None, by: str = "") -> Reworked:
    """The tune in another key, or so many semitones higher: ``by`` ``"capo"``, ``"tuning"``,
    ``"both"`` or ``"fretting"``, or the cheapest of them. Raises rollstave.TabError."""
    from rollstave_arranging.transposing import transpose, transpose_stretches

    return (transpose_stretches if len(set(score.setups)) > 1 else transpose)(
        score, key, semitones, by
    )


def is_chart(text: str) -> float:
    """How surely a text is a chord chart with a roll. Every tab is shown to it, so what cannot be
    one costs no import."""
    if "oll:" not in text and "OLL:" not in text:
        return 0.0
    from rollstave_arranging.drafting import recognise

    return recognise(text)


@hookimpl
def rollstave_dialects() -> Sequence[Dialect]:
    return (
        Dialect(
            name="chord chart",
            recognise="rollstave_arranging:is_chart",
            read="rollstave_arranging.drafting:read",
            help="bars of chords under a heading Roll, as | C | F | C G | C |",
        ),
    )


@hookimpl
def rollstave_reworks() -> Sequence[Rework]:
    return (
        Rework(
            name="tuning",
            rework="rollstave_arranging:retuned",
            help="the same pitches in another tuning",
            options=(WriterOption("tuning", "", "The same pitches in this tuning, as gCGBD."),),
        ),
        Rework(
            name="key",
            rework="rollstave_arranging:transposed",
            help="another key",
            options=(
                WriterOption("key", "", "In this key, as A or Bb; the mode stays."),
                WriterOption("semitones", 0, "So many semitones higher, or lower if negative."),
                WriterOption(
                    "by",
                    "",
                    "How to come to another key: capo, tuning, both or fretting; or the cheapest.",
                ),
            ),
        ),
        Rework(
            name="position",
            rework="rollstave_arranging:moved_up",
            help="closed shapes up the neck",
            options=(
                WriterOption(
                    "position", "", "Up the neck: between two frets (5-9), next, or climb."
                ),
                WriterOption("seed", 0, "Another way up the neck for each number."),
            ),
        ),
        Rework(
            name="easier",
            rework="rollstave_arranging:made_easier",
            help="easier for a beginner",
            options=(
                WriterOption(
                    "easier",
                    0,
                    "1: no slurs and graces, 2: first position too, 3: melody and drone, "
                    "4: the melody alone.",
                ),
            ),
        ),
    )
