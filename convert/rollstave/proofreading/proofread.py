"""All checks of one tune, in the order of the text."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from rollstave.api import Tune
from rollstave.problems import Severity
from rollstave.proofreading.chords import contradicted_chords
from rollstave.proofreading.correction import Correction
from rollstave.proofreading.lengths import odd_lengths
from rollstave.proofreading.links import wrong_links
from rollstave.proofreading.reach import stretches
from rollstave.proofreading.repeats import unpaired_repeats
from rollstave.proofreading.rows import exchanged_rows
from rollstave.proofreading.slips import likely_slips
from rollstave.proofreading.tunings import messy_tuning
from rollstave.vocabulary import problems as kinds

Check = Callable[[Tune], Iterable[Correction]]
CHECKS: tuple[Check, ...] = (
    odd_lengths,
    unpaired_repeats,
    wrong_links,
    stretches,
    contradicted_chords,
    messy_tuning,
    exchanged_rows,
    likely_slips,
)
# Warnings that the checks look at more closely themselves.
_CHECKED_HERE = (kinds.MEASURE_LENGTH.code,)
_MOST_OF_A_KIND = 20


def proofread(tune: Tune) -> tuple[Correction, ...]:
    """The marks of a tune by line and column: the reader's own warnings and those of all checks.

    A tune in the wrong tuning or with its rows mixed up would be marked all over; of one kind
    the first twenty are given and the last of them says how many more there are.
    """
    marks = [
        Correction(kinds.PROBLEM_KINDS[p.code], p.place, p.message)
        for p in tune.problems
        if p.place and p.severity is Severity.WARNING and p.code not in _CHECKED_HERE
    ]
    for check in CHECKS:
        found = list(check(tune))
        if len(found) > _MOST_OF_A_KIND:
            last = found[_MOST_OF_A_KIND - 1]
            more = len(found) - _MOST_OF_A_KIND
            found = found[: _MOST_OF_A_KIND - 1]
            found.append(
                Correction(
                    kind=last.kind,
                    place=last.place,
                    message=f"{last.message}; and {more} more like it",
                    mend=last.mend,
                )
            )
        marks.extend(found)
    return tuple(sorted(marks, key=lambda m: (m.place.line, m.place.column, m.code)))
