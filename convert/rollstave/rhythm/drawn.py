"""Durations from stems, beams, flags and dots drawn under the notes.

Common practice, no source: a bare stem is a quarter note, each flag or beam halves it, a dot adds
a half, a 3 in a beam makes its group a triplet, a d is a half note. A note without a stem is longer
than a quarter note: it has what the others leave of the measure.
"""

from __future__ import annotations

import re
from collections import defaultdict

from msgspec import Struct

from rollstave.grid.typed import GridMeasure, LineKind
from rollstave.rhythm.evidence import TICKS
from rollstave.rhythm.written import Written

_FINEST = 3  # beams of a 32nd note
_LONG = (36, 48, 72, 96, 108)  # ticks that one note without a stem may last


class _Stem(Struct):
    """Beams to the left and to the right of a stem, its flags and dots, over all lines."""

    left: int = 0
    right: int = 0
    flags: int = 0
    dots: int = 0
    three: bool = False
    open_head: bool = False

    def add(self, piece: str) -> None:
        if piece.startswith("d"):
            self.open_head = True
            self.dots += piece.count(".")
            return
        left, _, right = piece.partition("|")
        self.left += _beams(left[-1:])
        self.right += _beams(right[:1])
        self.flags += len(re.findall(r"[\\/']", right))
        self.dots += right.count(".")
        self.three = self.three or "3" in piece

    @property
    def ticks(self) -> int | None:
        halvings = max(self.left, self.right, self.flags)
        if halvings > _FINEST or self.dots > 2:
            return None
        plain = 2 * TICKS if self.open_head else TICKS >> halvings
        numerator, denominator = ((1, 1), (3, 2), (7, 4))[self.dots]
        ticks, rest = divmod(plain * numerator, denominator)
        return None if rest else ticks


def _beams(character: str) -> int:
    return 2 if character == "=" else int(character in ("_", "-", "3") and character != "")


def _stems(measure: GridMeasure) -> dict[int, _Stem]:
    """The stems under the columns of a measure."""
    stems: dict[int, _Stem] = defaultdict(_Stem)
    for attachment in measure.attached(LineKind.STEMS):
        if attachment.column is not None:
            stems[attachment.column].add(attachment.text)
    return stems


def _durations(stems: dict[int, _Stem], count: int) -> list[int | None]:
    """How long each of so many columns lasts, None where nothing is drawn or it is no value."""
    durations = [stems[i].ticks if i in stems else None for i in range(count)]
    for group in _groups(stems, count):
        if any(stems[i].three for i in group):
            for i in group:
                ticks = durations[i]
                durations[i] = ticks * 2 // 3 if ticks and ticks * 2 % 3 == 0 else None
    return durations


def drawn_length(measure: GridMeasure) -> int | None:
    """How long a measure is whose every note has a stem, in ticks."""
    stems = _stems(measure)
    durations = _durations(stems, len(measure.columns)) if stems else [None]
    known = [ticks for ticks in durations if ticks is not None]
    return sum(known) if len(known) == len(durations) else None


def read_stems(measure: GridMeasure, full: int, may_be_short: bool) -> Written | None:
    """Onsets by what is drawn under a measure; None where nothing is, or it makes no sense."""
    stems = _stems(measure)
    if not stems:
        return None
    count = len(measure.columns)
    durations = _durations(stems, count)
    if any(durations[i] is None for i in stems):
        return None
    bare = [i for i in range(count) if durations[i] is None]
    if len(bare) >= len(stems):
        return None
    if bare:
        rest = full - sum(d for d in durations if d is not None)
        share, left = divmod(rest, len(bare))
        if left or share not in _LONG:
            return None
        for i in bare:
            durations[i] = share
    onsets, at = [], 0
    for duration in durations:
        assert duration is not None
        onsets.append(at)
        at += duration
    # Too much is no measure, too little in the middle of a strain a half note with a plain stem.
    if at > full or (at < full and not may_be_short):
        return None
    return Written(
        onsets=tuple(onsets), all_written=True, offset=0, length=at, what="stems and beams"
    )


def _groups(stems: dict[int, _Stem], count: int) -> list[list[int]]:
    """Notes that a beam joins."""
    groups: list[list[int]] = []
    joined = False
    for i in range(count):
        if i not in stems:
            joined = False
            continue
        if joined and stems[i].left:
            groups[-1].append(i)
        else:
            groups.append([i])
        joined = stems[i].right > 0
    return groups
