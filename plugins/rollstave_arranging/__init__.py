"""Another version of a tune: in another tuning or key, elsewhere on the neck, easier.

A plugin over the hook ``rollstave_reworks``, on the public names of rollstave alone. Its functions
may be called as they are: ``retuned(score, tuning="gCGBD")`` returns a
:class:`rollstave.Reworked`.
"""

from __future__ import annotations

from collections.abc import Sequence

from rollstave import Rework, Reworked, Score, WriterOption, hookimpl

rollstave_contract = "1.1"
__all__ = ["retuned", "transposed"]


def retuned(score: Score, tuning: str) -> Reworked:
    """The same pitches in another tuning, by letters or by name. Raises rollstave.TabError."""
    from rollstave_arranging.retuning import retune

    return retune(score, tuning)


def transposed(score: Score, key: str = "", semitones: int | None = None, by: str = "") -> Reworked:
    """The tune in another key, or so many semitones higher: ``by`` ``"capo"``, ``"tuning"`` or
    ``"fretting"``, or the cheapest of them. Raises rollstave.TabError."""
    from rollstave_arranging.transposing import transpose

    return transpose(score, key, semitones, by)


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
                    "How to come to another key: capo, tuning or fretting; or the cheapest.",
                ),
            ),
        ),
    )
