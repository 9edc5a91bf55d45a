"""From a tune to a lesson: what a teacher explains, and what a student drills.

A plugin over the hook ``rollstave_handouts``, on the public names of rollstave and of
``rollstave_arranging``. Its functions may be called as they are: ``lesson(tune)`` returns a
:class:`rollstave.Handout`, which ``rollstave.write`` puts on pages.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from rollstave import HandoutMaker, WriterOption, hookimpl

if TYPE_CHECKING:
    from rollstave import Handout, Score, Tune

rollstave_contract = "1.2"
__all__ = ["lesson"]


def lesson(tune: Tune | Score, parts: str = "") -> Handout:
    """The lesson of a tune: tuning, chords, the right hand, the changes, the phrases, up the neck,
    the whole. ``parts`` are the keys of those that are wanted, divided by commas. Raises
    rollstave.TabError for a part that does not exist or a tune that nothing can be said of."""
    from rollstave_teaching.lessons import lesson_of

    return lesson_of(tune, parts)


@hookimpl
def rollstave_handouts() -> Sequence[HandoutMaker]:
    return (
        HandoutMaker(
            name="lesson",
            make="rollstave_teaching:lesson",
            help="Make a lesson of a tune: what a teacher explains, with exercises.",
            options=(
                WriterOption(
                    "parts",
                    "",
                    "Only these parts, divided by commas: tune-up, chords, right-hand, changes, "
                    "phrases, up-the-neck, whole.",
                ),
            ),
        ),
    )
