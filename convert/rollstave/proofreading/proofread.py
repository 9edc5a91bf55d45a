"""All checks of one tune, in the order of the text."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable

from rollstave.api import Tune
from rollstave.problems import Severity
from rollstave.proofreading.chords import contradicted_chords
from rollstave.proofreading.correction import Correction
from rollstave.proofreading.lengths import odd_lengths
from rollstave.proofreading.links import wrong_links
from rollstave.proofreading.reach import stretches
from rollstave.proofreading.repeats import unpaired_repeats
from rollstave.proofreading.rolls import departures
from rollstave.proofreading.rows import exchanged_rows
from rollstave.proofreading.slips import likely_slips
from rollstave.proofreading.steps import with_mend
from rollstave.proofreading.tunings import messy_tuning
from rollstave.vocabulary import problems as kinds

Check = Callable[[Tune], Iterable[Correction]]
CHECKS: tuple[Check, ...] = (
    odd_lengths,
    unpaired_repeats,
    wrong_links,
    stretches,
)
# Those that would be deceived by a system whose rows are exchanged: it is given to them.
BY_EAR: tuple[Callable[[Tune, Collection[int]], Iterable[Correction]], ...] = (
    contradicted_chords,
    departures,
    likely_slips,
)
# Warnings that the checks look at more closely themselves.
_CHECKED_HERE = (kinds.MEASURE_LENGTH.code,)
_MOST_OF_A_KIND = 20


def proofread(tune: Tune) -> tuple[Correction, ...]:
    """The marks of a tune by line and column: the reader's own warnings and those of all checks.

    One cause is one mark: in a wrong tuning, and in a system with its rows mixed up, chords and
    notes look wrong as well, and are not marked. Of one kind the first twenty are given and the
    last of them says how many more there are.
    """
    marks = [
        (with_mend(tune, p) if p.code == kinds.ROWS_OUT_OF_STEP.code else None)
        or Correction(kinds.PROBLEM_KINDS[p.code], p.place, p.message)
        for p in tune.problems
        if p.place and p.severity is Severity.WARNING and p.code not in _CHECKED_HERE
    ]
    for check in CHECKS:
        marks.extend(_few(list(check(tune))))
    heard = list(messy_tuning(tune))
    if not heard:
        exchanged = dict(exchanged_rows(tune))
        heard = [*exchanged.values()]
        for by_ear in BY_EAR:
            heard.extend(_few(list(by_ear(tune, exchanged))))
    return tuple(sorted((*marks, *heard), key=lambda m: (m.place.line, m.place.column, m.code)))


def _few(found: list[Correction]) -> list[Correction]:
    """The first of a kind."""
    if len(found) <= _MOST_OF_A_KIND:
        return found
    last = found[_MOST_OF_A_KIND - 1]
    more = len(found) - _MOST_OF_A_KIND
    told = Correction(
        kind=last.kind,
        place=last.place,
        message=f"{last.message}; and {more} more like it",
        mend=last.mend,
    )
    return [*found[: _MOST_OF_A_KIND - 1], told]
