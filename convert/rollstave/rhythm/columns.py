"""How a file is typed: columns for time, or only order; and onsets read from columns.

A typist's habit is a number of characters for a quarter note, a lead-in after the bar line,
characters to spare before the next bar line, and whether two-digit frets and signs push later
notes right or eat the dashes. The habit that explains most measures is taken for the file.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import log

from rollstave.rhythm.evidence import TICKS, Evidence
from rollstave.rhythm.usual import is_usual

_MOST_COLUMNS = 24  # characters of a quarter note, at the most
_SAMPLE = 60  # measures looked at to find the habit

# Log probabilities of one gap that is exact, a character off, or more (per further character).
# One gap in ten off by one is what the benchmark's sloppy typist does; the rest is our choice.
_EXACT, _OFF_BY_ONE, _FURTHER = log(0.93), log(0.03), -2.5


@dataclass(frozen=True, slots=True)
class Habit:
    """A typist's habit; ``columns`` is characters in a quarter note, 0 if columns say nothing."""

    columns: int
    lead: int
    spare: int
    pushed: bool
    fit: float

    @property
    def proportional(self) -> bool:
        return self.columns > 0


def gap_score(error: float) -> float:
    """Log probability of a gap that is so many characters from where it should be."""
    size = abs(error)
    if size < 0.01:
        return _EXACT
    if size <= 0.51:
        return _EXACT - 0.7
    if size <= 1.01:
        return _OFF_BY_ONE
    return _OFF_BY_ONE + _FURTHER * (size - 1)


def habits(evidence: Sequence[Evidence], length: int) -> list[Habit]:
    """Habits that may explain a file whose full measures last ``length`` ticks, best first;
    those that cannot be the best are left out.

    ``fit`` is the share of sampled measures that a habit explains exactly, less a little for
    unusual habits. An empty list: the columns tell only the order.
    """
    inner = [e for e in evidence if e.count and not e.opens and not e.closes]
    # Measures at the ends of strains may be pickups; they tell of the habit only if all are.
    struck = inner if len(inner) > 2 else [e for e in evidence if e.count]
    step = max(1, len(struck) // _SAMPLE)
    sample = struck[::step]
    if not sample:
        return []
    leads = Counter(e.lead for e in sample)
    found: list[Habit] = []
    best = 0.0
    for lead in _likely_leads(leads, len(sample)):
        for pushed in (False, True):
            for spare in (0, -1, 1):
                for habit in _with_columns(sample, length, lead, spare, pushed, best):
                    found.append(habit)
                    best = max(best, habit.fit)
    found.sort(key=lambda h: (-h.fit, h.pushed, abs(h.spare), h.columns))
    return found


def _likely_leads(leads: Counter[int], total: int) -> Iterable[int]:
    """Lead-ins that may be the file's: a measure that begins with a rest has a longer one."""
    likely = [lead for lead, n in leads.items() if n >= 0.08 * total and lead <= 8]
    return sorted(likely)[:3] or [min(leads)]


def _with_columns(
    sample: Sequence[Evidence], length: int, lead: int, spare: int, pushed: bool, best: float
) -> Iterable[Habit]:
    widths = Counter(e.width - lead - spare - (sum(e.pushes) if pushed else 0) for e in sample)
    wanted = Counter[int]()
    for width, n in widths.items():
        exact = width * TICKS / length
        for columns in {int(exact), int(exact) + 1}:
            if 1 <= columns <= _MOST_COLUMNS:
                wanted[columns] += n
    unusual = 0.02 * abs(spare) + 0.005 * (lead > 2)
    for columns, _ in wanted.most_common(3):
        # By their widths alone, so many measures can be explained at most.
        missed = [(abs(w * TICKS - length * columns), n) for w, n in widths.items()]
        most = sum(n if not miss else n / 2 for miss, n in missed if miss <= TICKS)
        if most / len(sample) - unusual < best:
            continue
        fit = sum(_explains(e, length, columns, lead, spare, pushed) for e in sample)
        share = fit / len(sample) - unusual
        yield Habit(columns, lead, spare, pushed, share)


def _explains(
    evidence: Evidence, length: int, columns: int, lead: int, spare: int, pushed: bool
) -> float:
    """1 if a measure's onsets and its width are exact under a habit, less for a coarse miss."""
    push = evidence.pushes if pushed else (0,) * evidence.count
    width = evidence.width - lead - spare - sum(push)
    if abs(width * TICKS - length * columns) > TICKS:
        return 0.0
    at = evidence.lead - lead
    good = 0.0
    before = 0.0
    for gap, extra in zip(evidence.gaps, push, strict=True):
        after = (gap - extra) * TICKS / columns
        good += _on_grid(at * TICKS / columns, before, after)
        before = after
        at += gap - extra
    exact = width * TICKS == length * columns
    return good / max(1, evidence.count) * (1.0 if exact else 0.5)


def _on_grid(ticks: float, before: float, after: float) -> float:
    """How usual an onset is: eighths and sixteenths fully, 32nds and triplets a little less, if
    a neighbour is as near as that (``before`` and ``after`` in ticks); anything else not."""
    whole = round(ticks)
    if abs(ticks - whole) > 0.01 or whole < 0:
        return 0.0
    if whole % 6 == 0:
        return 1.0
    near = {round(before), round(after)}
    if whole % 3 == 0:
        return 0.97
    return 0.97 if whole % 4 == 0 and near & {4, 8} else 0.0


def as_close_as_can_be(evidence: Sequence[Evidence]) -> bool:
    """True if all notes are one or two dashes apart (a sign takes the place of a dash)."""
    apart = []
    for e in evidence:
        for index, (gap, push) in enumerate(zip(e.gaps[:-1], e.pushes[:-1], strict=True)):
            apart.append(gap - push + (e.kinds[index + 1] == "l"))
    return bool(apart) and sum(2 <= gap <= 3 for gap in apart) >= 0.995 * len(apart)


def squeezed(evidence: Sequence[Evidence]) -> int:
    """More than 0 if notes are as close as they can be typed, whatever their length; less than 0
    if they are typed in time; 0 if the measures do not tell.

    Squeezed, all notes are one or two dashes apart (a sign takes the place of a dash). Typed in
    time, that happens only where all measures are as even; a measure's width then does not
    follow the number of its notes.
    """
    if not as_close_as_can_be(evidence):
        return -1
    inner = [e for e in evidence if e.count and not e.opens and not e.closes]
    counts = Counter(e.count for e in inner)
    voters = len(inner) - max(counts.values(), default=0)
    if voters and min(_votes(inner, pushed) for pushed in (False, True)) == -voters:
        return -1 if voters > 2 else 0
    return 1 if voters else 0


def _votes(inner: Sequence[Evidence], pushed: bool) -> int:
    """How many more measures are as wide as the number of their notes says than are as wide as
    the others; measures with the usual number of notes do not vote."""
    if not inner:
        return 0
    widths = [e.width - (sum(e.pushes) if pushed else 0) for e in inner]
    usual = Counter(e.count for e in inner).most_common(1)[0][0]
    typical = sorted(w for e, w in zip(inner, widths, strict=True) if e.count == usual)
    width = typical[len(typical) // 2]
    mean = width / (usual + 0.5)
    votes = 0
    for e, own in zip(inner, widths, strict=True):
        if e.count != usual:
            by_order = abs(width - own - (usual - e.count) * mean)
            votes += 1 if by_order < abs(width - own) else -1
    return votes


def told_by_gaps(evidence: Sequence[Evidence]) -> tuple[bool, bool]:
    """Where all notes are as close as they can be: whether squeezing with one number of dashes
    explains every gap, and whether typing even notes in time does.

    Squeezed, wide frets widen their gap and a sign takes the place of a dash; typed in time, all
    gaps are alike, whatever is in them, or wider by just what is in them.
    """
    gaps = [
        (gap, push, e.kinds[index + 1] == "l")
        for e in evidence
        for index, (gap, push) in enumerate(zip(e.gaps[:-1], e.pushes[:-1], strict=True))
    ]
    squeezed_so = any(
        all(gap == push + 1 + (0 if link else dashes) for gap, push, link in gaps)
        for dashes in (1, 2)
    )
    in_time = any(
        all(gap == unit + (push if pushed else 0) for gap, push, _ in gaps)
        for unit in (2, 3)
        for pushed in (False, True)
    )
    return squeezed_so, in_time


@dataclass(frozen=True, slots=True)
class Reading:
    """Onsets of a measure in ticks, its length, and the log probability of its columns."""

    onsets: tuple[int, ...]
    length: int
    score: float
    exact: bool


def exact_reading(evidence: Evidence, habit: Habit) -> Reading | None:
    """The onsets and the length that the columns say to the letter, or None."""
    push = evidence.pushes if habit.pushed else (0,) * evidence.count
    at = evidence.lead - habit.lead
    onsets: list[int] = []
    for gap, extra in zip(evidence.gaps, push, strict=True):
        if at < 0 or at * TICKS % habit.columns:
            return None
        tick = at * TICKS // habit.columns
        if onsets and tick <= onsets[-1]:  # what a sign takes was all that stood between
            return None
        onsets.append(tick)
        at += gap - extra
    end = at - habit.spare
    if end * TICKS % habit.columns:
        return None
    length = end * TICKS // habit.columns
    if onsets and (length <= onsets[-1] or not is_usual(length, tuple(onsets))):
        return None
    return Reading(tuple(onsets), length, _EXACT * (evidence.count + 1), True)


def onsets_score(evidence: Evidence, habit: Habit, onsets: Sequence[int], length: int) -> float:
    """Log probability of a measure's columns if these are its onsets."""
    push = evidence.pushes if habit.pushed else (0,) * evidence.count
    score = gap_score(evidence.lead - habit.lead - onsets[0] * habit.columns / TICKS)
    last = evidence.count - 1
    for index, (gap, extra) in enumerate(zip(evidence.gaps, push, strict=True)):
        end = onsets[index + 1] if index < last else length
        expected = (end - onsets[index]) * habit.columns / TICKS
        spare = habit.spare if index == last else 0
        score += gap_score(gap - extra - spare - expected)
    return score


_NEAR = 2.05  # characters by which a gap may miss and still be considered
_BEAM = 24


def near_readings(
    evidence: Evidence, habit: Habit, lengths: Sequence[int], wish: dict[int, float]
) -> list[Reading]:
    """Readings whose gaps come near the typed ones, best first: a beam search over onsets.

    ``wish`` gives a log weight for each onset tick modulo a quarter, to choose between readings
    that are as near.
    """
    push = evidence.pushes if habit.pushed else (0,) * evidence.count
    per_tick = habit.columns / TICKS
    longest = max(lengths)
    grid = [t for t in range(longest + 1) if t % 3 == 0 or t % 4 == 0]
    first = evidence.lead - habit.lead
    beam: list[tuple[float, float, tuple[int, ...]]] = []
    for tick in grid:
        error = first - tick * per_tick
        if abs(error) <= _NEAR and tick < longest:
            columns = gap_score(error)
            beam.append((columns + wish.get(tick % TICKS, -3.0), columns, (tick,)))
    last = evidence.count - 1
    for index in range(last):
        gap = evidence.gaps[index] - push[index]
        grown = []
        for total, columns, onsets in beam:
            for tick in _near(onsets[-1], gap, per_tick, longest - 1):
                step = gap_score(gap - (tick - onsets[-1]) * per_tick)
                grown.append(
                    (total + step + wish.get(tick % TICKS, -3.0), columns + step, (*onsets, tick))
                )
        grown.sort(key=lambda g: (-g[0], g[2]))
        beam = grown[:_BEAM]
    found = []
    if last < 0:
        return []
    gap = evidence.gaps[last] - push[last] - habit.spare
    for total, columns, onsets in beam:
        for length in lengths:
            if length <= onsets[-1]:
                continue
            step = gap_score(gap - (length - onsets[-1]) * per_tick)
            found.append((total + step, Reading(onsets, length, columns + step, False)))
    found.sort(key=lambda f: (-f[0], f[1].onsets))
    return [reading for _, reading in found[:_BEAM]]


def _near(start: int, gap: int, per_tick: float, last: int) -> Iterable[int]:
    """Ticks of the grid after ``start`` about ``gap`` characters away."""
    low = max(start + 3, int(start + (gap - _NEAR) / per_tick))
    high = min(last, int(start + (gap + _NEAR) / per_tick) + 1)
    for tick in range(low, high + 1):
        if tick % 3 == 0 or tick % 4 == 0:
            yield tick
