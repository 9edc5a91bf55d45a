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
__all__ = ["drill", "lesson"]


def lesson(tune: Tune | Score, parts: str = "") -> Handout:
    """The lesson of a tune: tuning, chords, the right hand, the changes, the phrases, up the neck,
    the whole. ``parts`` are the keys of those that are wanted, divided by commas. Raises
    rollstave.TabError for a part that does not exist or a tune that nothing can be said of."""
    from rollstave_teaching.lessons import lesson_of

    return lesson_of(tune, parts)


def drill(
    words: Sequence[str],
    tuning: str = "",
    roll: str = "",
    time: str = "",
    up_to: int = 12,
    of: str = "",
    instrument: str = "",
) -> Handout:
    """A sheet of exercises: ``words`` are ``("chords", "C", "F", "G")`` or ``("rolls",)``. ``roll``
    is a name, fingers (``"TITIMITI"``) or strings; on an ``instrument`` without a short string it
    is a strum or an arpeggio. ``of`` is the file of a tune whose rolls are drilled. Raises
    rollstave.TabError for what there is none of."""
    from rollstave_teaching.drills import drill_of

    return drill_of(words, tuning, roll, time, up_to, of, instrument)


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
        HandoutMaker(
            name="drill",
            make="rollstave_teaching:drill",
            takes="chords and their names (chords C F G), or rolls",
            help="Make a sheet of exercises: the changes of chords, or rolls.",
            options=(
                WriterOption(
                    "instrument",
                    "",
                    "guitar, mandolin, ukulele, tenor banjo, plectrum banjo; the five-string "
                    "banjo without it.",
                ),
                WriterOption(
                    "tuning",
                    "",
                    "By letters, the lowest line first, or by name; the usual one without it.",
                ),
                WriterOption(
                    "roll",
                    "",
                    "A name (forward), the fingers of a measure (TITIMITI) or its strings "
                    "(42521232); without a short string arpeggio, bass and strum, down and up "
                    "strum, strum on every beat, chop.",
                ),
                WriterOption("time", "", "4/4, 2/2 and 2/4 have eight strokes, 3/4 and 6/8 six."),
                WriterOption(
                    "up_to", 12, "The highest fret that the hand goes to with chords, 1 to 17."
                ),
                WriterOption("of", "", "The rolls of the tune in this file."),
            ),
        ),
    )
