"""How a file is typed: columns for time, or only order.

A typist's spacing is a number of characters for a quarter note, a lead-in after the bar line,
characters to spare before the next bar line, and whether two-digit frets and signs push later
notes right or eat the dashes. The spacing that explains most measures is taken for the file.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from itertools import accumulate

from msgspec import Struct

from rollstave.rhythm.evidence import TICKS, Evidence

_MOST_COLUMNS = 24  # characters of a quarter note, at the most
_CLOSE, _NEARLY_ALL, _FAR = 1.5, 0.97, 2.5
_MOSTLY = 0.93
_SQUEEZED = 3  # characters from note to note: nobody who squeezes types more than two dashes
_CARRIED = 0.6  # by so much of the votes it is settled that a tune is typed in time
_SPREAD = 0.9  # what a measure counts that is neat in a spacing of its own
# Characters before a bar line that are no time, the likeliest first. Four of them take a measure to
# the next stop of a typewriter's tabulator: that takes more measures to believe.
_SPARES, _TO_A_STOP, _MANY = (0, -1, 1, 2, 3), 4, 8
# Bar lines that come early, by less than an eighth note: the last note lacks room.
_EARLY = (-2, -3, -4, -5)
_PLAIN = frozenset((3, 4, 6, 8, 9, 12, 16, 18, 24, 36, 48))  # ticks of notes that have a sign
_SIXTH = 0.7  # what a sixth of a beat counts: hardly a tune begins its notes there throughout
_ROUNDED, _HALF = 0.97, 1.5  # what a third counts that was rounded; half a character of one, thrice
# What it costs that all measures of a tune part beats in three: more than any characters at a bar.
_THIRDS = 0.1
_SAMPLE = 60  # measures looked at to find the spacing


class Spacing(Struct, frozen=True):
    """A typist's spacing; ``columns`` is characters in a quarter note, 0 if columns say nothing."""

    columns: float
    lead: int
    spare: int
    pushed: bool
    fit: float

    @property
    def proportional(self) -> bool:
        return self.columns > 0


def spacings(evidence: Sequence[Evidence], length: int) -> list[Spacing]:
    """Spacings that may explain a file whose full measures last ``length`` ticks, best first;
    those that cannot be the best are left out.

    ``fit`` is the share of sampled measures that a spacing explains exactly, less a little for
    unusual spacings. An empty list: the columns tell only the order.
    """
    return Typing(evidence).spacings(length)


class Typing:
    """A file's measures, looked at for the spacing behind them under one length or several."""

    def __init__(self, evidence: Sequence[Evidence]) -> None:
        inner = [e for e in evidence if e.count and not e.opens and not e.closes]
        # Measures at the ends of strains may be pickups; they tell of the spacing only if all are.
        struck = inner if len(inner) > 2 else [e for e in evidence if e.count]
        self._sample = struck[:: max(1, len(struck) // _SAMPLE)]
        self._leads = _likely_leads(Counter(e.lead for e in self._sample), len(self._sample))
        # Where nothing is wide, pushed and eaten dashes are the same.
        pushes = (False, True) if any(any(e.pushes) for e in self._sample) else (False,)
        self._typed = {pushed: [_typed(e, pushed) for e in self._sample] for pushed in pushes}
        self._good: dict[tuple[int, int, bool, int], float] = {}

    def spacings(self, length: int) -> list[Spacing]:
        """The spacings under measures of ``length`` ticks, see :func:`spacings`."""
        found: list[tuple[float, Spacing]] = []
        best = self._with_spares(length, _SPARES, 0.0, found)
        if len(self._sample) >= _MANY:
            self._with_spares(length, (_TO_A_STOP, *_EARLY), best, found)
        found.sort(key=lambda f: (-f[0], f[1].pushed, abs(f[1].spare), f[1].columns))
        return [spacing for _, spacing in found]

    def _with_spares(
        self, length: int, spares: Sequence[int], best: float, found: list[tuple[float, Spacing]]
    ) -> float:
        """Add the spacings with so many characters before a bar line that may be the best to those
        that are found, each with what speaks for it. Returns the best of that."""
        for lead in self._leads:
            for pushed in self._typed:
                for spare in spares:
                    for rank, spacing in self._with_columns(length, lead, spare, pushed, best):
                        found.append((rank, spacing))
                        best = max(best, rank)
        return best

    def _with_columns(
        self, length: int, lead: int, spare: int, pushed: bool, best: float
    ) -> Iterable[tuple[float, Spacing]]:
        unusual = 0.02 * min(3, abs(spare)) + 0.005 * (lead > 2)
        if 1.0 - unusual < best:
            return
        typed = self._typed[pushed]
        widths = Counter([width - lead - spare for _, width in typed])
        wanted = Counter[int]()
        for width, n in widths.items():
            least = width * TICKS // length
            for columns in (least, least + 1):
                if max(1, 1 - 2 * spare, spare // 2) <= columns <= _MOST_COLUMNS:
                    wanted[columns] += n
        for columns, _ in wanted.most_common(3):
            # By their widths alone, so many measures can be explained at most.
            weights = {
                width: (0.5 if width * TICKS != length * columns else 1.0)
                for width in widths
                if abs(width * TICKS - length * columns) <= TICKS
            }
            # A measure may have a spacing of its own, so that its notes have room.
            spread = {
                width: width * TICKS // length
                for width in widths
                if width * TICKS % length == 0 and width * TICKS // length >= min(columns, 6)
            }
            most = sum(widths[width] * weight for width, weight in weights.items())
            # But they are no more than those that are as wide as all should be.
            exact = sum(widths[width] for width, weight in weights.items() if weight == 1.0)
            wider = sum(widths[width] for width in spread if width not in weights)
            most += _SPREAD * min(wider, exact)
            if most / len(typed) - unusual < best:
                continue
            if spare in _EARLY and not _end_plainly(typed, lead + spare, spare, columns, length):
                continue
            fit = sum(
                weights[width - lead - spare] * self._explained(index, columns, lead, pushed)
                for index, (_, width) in enumerate(typed)
                if width - lead - spare in weights
            )
            own = sum(
                self._explained(index, spread[width - lead - spare], lead, pushed) >= 0.95
                for index, (_, width) in enumerate(typed)
                if width - lead - spare in spread and width - lead - spare not in weights
            )
            fit += _SPREAD * min(own, exact)
            found = Spacing(
                columns=columns,
                lead=lead,
                spare=spare,
                pushed=pushed,
                fit=fit / len(typed) - unusual,
            )
            if found.fit > best:
                yield found.fit - _THIRDS * self._in_thirds(columns, lead, pushed), found

    def _in_thirds(self, columns: int, lead: int, pushed: bool) -> float:
        """The share of measures that part beats in three."""
        if columns % 3:
            return 0.0
        third = columns // 3
        found = 0
        for evidence, (steps, _) in zip(self._sample, self._typed[pushed], strict=True):
            places = accumulate(steps[:-1], initial=evidence.lead - lead)
            found += any(place % columns in (third, 2 * third) for place in places)
        return found / len(self._sample)

    def _explained(self, index: int, columns: int, lead: int, pushed: bool) -> float:
        """The share of a measure's onsets that are exact, less for a coarse miss."""
        key = (index, lead, pushed, columns)
        if key not in self._good:
            steps, _ = self._typed[pushed][index]
            self._good[key] = _on_grid(self._sample[index].lead - lead, steps, columns)
        return self._good[key]


def _end_plainly(
    typed: Sequence[tuple[tuple[int, ...], int]],
    besides: int,
    spare: int,
    columns: int,
    length: int,
) -> bool:
    """Whether the shortest last note is of a plain length where bar lines come early, among the
    measures that are as wide as they should be with ``besides`` characters beside their time. Where
    none has a short last note, that characters are missing is a guess."""
    lasts = [steps[-1] for steps, width in typed if (width - besides) * TICKS == length * columns]
    return bool(lasts) and (min(lasts) - spare) * TICKS / columns in _PLAIN


def _typed(evidence: Evidence, pushed: bool) -> tuple[tuple[int, ...], int]:
    """Characters from each column to the next, and of the whole measure, that stand for time."""
    if not pushed:
        return evidence.gaps, evidence.width
    steps = tuple([gap - push for gap, push in zip(evidence.gaps, evidence.pushes, strict=True)])
    return steps, evidence.lead + sum(steps)


def _likely_leads(leads: Counter[int], total: int) -> list[int]:
    """Lead-ins that may be the file's: a measure that begins with a rest has a longer one."""
    likely = [lead for lead, n in leads.items() if n >= 0.08 * total and lead <= 8]
    return sorted(likely)[:3] or ([min(leads)] if leads else [])


def _on_grid(at: int, steps: Sequence[int], columns: int) -> float:
    """How usual the onsets are, on average: eighths and sixteenths count fully, 32nds and
    triplets a little less, sixths of a beat still less, if a neighbour is as near as that; anything
    else not."""
    good = 0.0
    before = 0
    for index, step in enumerate(steps):
        ticks, off = divmod(at * TICKS, columns)
        near = {round(before * TICKS / columns), round(step * TICKS / columns)}
        if ticks < 0 or (off and not columns % 3):
            pass
        elif not off and ticks % 6 == 0:
            good += 1.0
        elif not off and ticks % 4 == 0 and near & {4, 8}:
            good += _SIXTH if ticks % 8 else 0.97
        elif not off and ticks % 3 == 0 and 3 in near:
            good += 0.97
        elif _is_rounded(steps, index, at % columns, columns):
            good += _ROUNDED
        before = step
        at += step
    return good / max(1, len(steps))


def _is_rounded(steps: Sequence[int], index: int, place: int, columns: int) -> bool:
    """Whether a note is a third of its beat that its typist rounded: of three notes from one beat
    to the next it is one of the later two, and both are less than a character from their thirds."""
    for first in (index - 1, index - 2):
        three = steps[first : first + 3] if first >= 0 else ()
        if sum(three[: index - first]) != place or sum(three) != columns:
            continue
        off = columns - 3 * three[0], 2 * columns - 3 * (three[0] + three[1])
        if all(-_HALF <= by < 3 for by in off):
            return True
    return False


def as_close_as_can_be(evidence: Sequence[Evidence]) -> bool:
    """True if all notes are about as far apart as the closest (a sign takes the place of a dash).

    Typed in time, the shortest notes and those that are twice as long stand apart as one to two;
    squeezed, a typist adds a dash at the most, so nearly all gaps are within one and a half times
    the commonest one, or it within that of them.
    """
    return any(_alike(evidence, pushed) for pushed in (True, False))


def _alike(evidence: Sequence[Evidence], pushed: bool) -> bool:
    apart = Counter(
        gap - (push - (e.kinds[index + 1] == "l")) * pushed
        for e in evidence
        for index, (gap, push) in enumerate(zip(e.gaps[:-1], e.pushes[:-1], strict=True))
    )
    if not apart:
        return False
    usual = apart.most_common(1)[0][0]
    if usual > _SQUEEZED:
        return False
    near = sum(n for gap, n in apart.items() if usual <= _CLOSE * gap <= _CLOSE * _CLOSE * usual)
    far = sum(n for gap, n in apart.items() if gap >= _FAR * max(2, usual))
    return near >= _NEARLY_ALL * apart.total() and far < 2


def nearly_close(evidence: Sequence[Evidence], mostly: float = _MOSTLY) -> bool:
    """True if nearly all notes, a share ``mostly`` of them, are within a character of the usual
    distance: whether that is squeezing by the eye or time, gaps alone do not tell."""
    for pushed in (True, False):
        apart = Counter(
            gap - (push - (e.kinds[index + 1] == "l")) * pushed
            for e in evidence
            for index, (gap, push) in enumerate(zip(e.gaps[:-1], e.pushes[:-1], strict=True))
        )
        usual = apart.most_common(1)[0][0] if apart else 0
        if sum(n for gap, n in apart.items() if abs(gap - usual) <= 1) >= mostly * apart.total():
            return True
    return False


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
    if voters and min(_votes(inner, pushed) for pushed in (False, True)) <= -_CARRIED * voters:
        one_width = len({e.width for e in inner}) == 1
        return -1 if voters > 2 - one_width else 0
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
        for dashes in (1, 2, 3)
    )
    in_time = any(
        all(gap == unit + (push if pushed else 0) for gap, push, _ in gaps)
        for unit in (2, 3, 4)
        for pushed in (False, True)
    )
    return squeezed_so, in_time
