"""Another version of a tune: in another tuning or key, elsewhere on the neck, easier.

A plugin over the hook ``rollstave_reworks``, on the public names of rollstave alone. Its functions
may be called as they are: ``retuned(score, tuning="gCGBD")`` returns a
:class:`rollstave.Reworked`.
"""

from __future__ import annotations

from collections.abc import Sequence

from rollstave import Rework, Reworked, Score, WriterOption, hookimpl

rollstave_contract = "1.1"
__all__ = ["retuned"]


def retuned(score: Score, tuning: str) -> Reworked:
    """The same pitches in another tuning, by letters or by name. Raises rollstave.TabError."""
    from rollstave_arranging.retuning import retune

    return retune(score, tuning)


@hookimpl
def rollstave_reworks() -> Sequence[Rework]:
    return (
        Rework(
            name="tuning",
            rework="rollstave_arranging:retuned",
            help="the same pitches in another tuning",
            options=(WriterOption("tuning", "", "The same pitches in this tuning, as gCGBD."),),
        ),
    )
