"""Measures that a slip of one character would explain: neat to the letter, and not what was meant.

Where a character is an eighth or a sixteenth note, a note that is typed one character away from its
place is on the grid again. Such a measure has a rhythm that is hardly ever played, and another that
is usual lies one slip away.
"""

from __future__ import annotations

from collections.abc import Iterator

from rollstave.rhythm.candidates import role_of
from rollstave.rhythm.evidence import TICKS, Evidence
from rollstave.rhythm.model_data import Pattern, rhythm_data
from rollstave.rhythm.spacing import Spacing

# By so much a rhythm one slip away is more usual than the one that is typed. Of measures typed in
# time that may be tuned on, 40 of 11,000 are in doubt for it, and so are all that slipped.
_MORE = 5


def may_be_a_slip(evidence: Evidence, pattern: Pattern, spacing: Spacing, meter: str) -> bool:
    """Whether a slip of a character makes a usual rhythm of one that is hardly ever played."""
    ticks, off = divmod(TICKS, spacing.columns)
    if off or ticks < TICKS // 4 or all(onset % (2 * ticks) == 0 for onset in pattern[1]):
        return False  # a slip is no rhythm, or would show
    seen = dict(rhythm_data().counted(meter, role_of(evidence), evidence.count))
    least = _MORE * (seen.get(pattern, 0) + 1)
    return any(seen.get(slip, 0) >= least for slip in _slips(pattern, int(ticks)))


def _slips(pattern: Pattern, ticks: int) -> Iterator[Pattern]:
    """The patterns in which one note, all before it, or all from it on stand one character away.
    Which of them are no patterns at all, the counts tell."""
    length, onsets = pattern
    for by in (ticks, -ticks):
        moved = tuple(onset + by for onset in onsets)
        for index in range(len(onsets)):
            yield length, (*onsets[:index], moved[index], *onsets[index + 1 :])
            yield length, (*onsets[:index], *moved[index:])
            yield length, (*moved[: index + 1], *onsets[index + 1 :])
