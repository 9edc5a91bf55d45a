"""The readings of one measure that are weighed against each other."""

from __future__ import annotations

from collections.abc import Sequence
from math import exp, log

from msgspec import Struct, field

from rollstave.rhythm.by_eye import eye_scores
from rollstave.rhythm.candidates import candidates
from rollstave.rhythm.care import Care
from rollstave.rhythm.columns import (
    Columns,
    exact_reading,
    is_paired,
    near_readings,
    own_spacing,
    spread_reading,
    typed_width,
)
from rollstave.rhythm.evidence import TICKS, Evidence
from rollstave.rhythm.left_hand import narrowed
from rollstave.rhythm.model_data import Pattern, RhythmData
from rollstave.rhythm.rolls import Rolls
from rollstave.rhythm.scoring import scorer_of
from rollstave.rhythm.spacing import Spacing
from rollstave.rhythm.thirds import thirds
from rollstave.rhythm.threes import Figures, made, meant
from rollstave.rhythm.usual import is_usual, is_whole

# Log probability that a measure in the middle of a strain is truly longer or shorter.
ODD_LENGTH = -6.0
_HALF_A_BEAT = -6.0  # that it is so by half a beat, where notes of another width explain it
# Log probabilities of a gap that is typed without regard to time: most are two or three characters.
_LOOSE, _TIGHT = log(0.35), log(0.1)
_ROUNDED = 0.9  # share of gaps that are exact, at the most, in a spacing that is no whole number
_UNEVEN = log(0.3)  # of a measure in which notes of the left hand, or in threes, have other room
_SLIP = -6.0  # log probability that a place without its partner is meant: a 32nd, or a third
_BY_EYE = 0.7  # share of a file that a spacing explains below which measures are typed by the eye
_FINE = -2.5  # that a file typed by the eye shows 32nds of a beat, or thirds without each other
_MOST = 40
_HOPELESS = 12.0  # log odds against a reading that the rest of a tune cannot make up for


class Choice(Struct):
    """All measures of a tune that strike the same strings and frets, and their readings.

    ``base`` scores each pattern by the measure alone, ``columns`` by how it is typed, summed over
    the members. ``odds`` are the probabilities at the moment.
    """

    members: list[int]
    evidence: Evidence
    patterns: list[Pattern]
    base: list[float]
    columns: list[float]
    odds: list[float] = field(default_factory=list)


def normalise(scores: Sequence[float]) -> list[float]:
    """Probabilities from log scores."""
    top = max(scores)
    shares = [exp(s - top) for s in scores]
    total = sum(shares)
    return [s / total for s in shares]


def base_scores(
    data: RhythmData,
    evidence: Evidence,
    pool: Sequence[tuple[Pattern, float]],
    meter: str,
    tune_mood: str,
    around: tuple[int, int],
) -> list[float]:
    """Log scores of the patterns of one measure by the factors, see ``scoring``."""
    return scorer_of(data, meter, tune_mood).scores(evidence, pool, around)


def pool_of(
    data: RhythmData, evidence: Evidence, meter: str, length: int, spacing: Spacing | None
) -> list[tuple[Pattern, float]]:
    """Patterns for a measure with log priors: known ones, and those its columns come near to."""
    pool = candidates(data, evidence, meter, length)
    if spacing is None:
        return pool
    have = {pattern for pattern, _ in pool}
    readings = near_readings(evidence, spacing, plausible_lengths(evidence, spacing, length))
    for own in (length, *_short_lengths(evidence, spacing, length)):
        if scaled := own_spacing(evidence, spacing, own):
            readings += near_readings(evidence, scaled, (own,))
    uneven = of_uneven_width(evidence, spacing, length)
    for pattern in uneven:
        if pattern not in have:
            pool.append((pattern, -6.0))
            have.add(pattern)
    for reading in readings:
        pattern = (reading.length, reading.onsets)
        if pattern not in have:
            usual = reading.length == length or evidence.opens or evidence.closes
            prior = -6.0 if usual else -6.0 + ODD_LENGTH
            if uneven and not usual and reading.length % TICKS:
                prior += _HALF_A_BEAT
            fine = any(onset % 6 for onset in pattern[1])
            if spacing.fit < _BY_EYE and fine and not is_whole(*pattern):
                prior += _FINE
            if not (is_paired(pattern[1], pattern[0]) and is_usual(*pattern)):
                prior += _SLIP
            pool.append((pattern, prior))
            have.add(pattern)
    return pool


def _short_lengths(evidence: Evidence, spacing: Spacing, length: int) -> list[int]:
    """How long a measure at the end of a strain may be where its width does not say it: full but
    for a pickup of up to three eighths."""
    if spacing.fit >= _BY_EYE or not evidence.closes or evidence.opens:
        return []
    return [length - less for less in (12, 24, 36) if 2 * less < length]


def of_uneven_width(evidence: Evidence, spacing: Spacing, length: int) -> list[Pattern]:
    """Readings in the spacing of the file but for a few notes that have more room, or less; and,
    within a strain, in a wider one that explains all of the measure."""
    found = thirds(evidence, spacing, length)
    if (typed := _in_rounded_thirds(evidence, spacing, length)) is not None:
        found.append(typed)
    if (narrow := narrowed(evidence, spacing, length)) is not None:
        found.insert(0, narrow)
    if spacing.fit and not evidence.opens and not evidence.closes:
        wider = spread_reading(evidence, spacing, length)
        found += [(wider.length, wider.onsets)] if wider is not None else []
    return found


def _in_rounded_thirds(evidence: Evidence, spacing: Spacing, length: int) -> Pattern | None:
    """What the columns of a full measure say to the letter if three notes in the time of two are
    rounded, as the spacing has no third of a beat; None if nothing is in three."""
    if not spacing.fit or spacing.columns % 3 == 0:
        return None
    typed = exact_reading(evidence, spacing)
    if typed is None or typed.length != length or all(o % 6 == 0 for o in typed.onsets):
        return None
    return length, typed.onsets


def plausible_lengths(evidence: Evidence, spacing: Spacing, length: int) -> list[int]:
    """The full length, and what the width says if it is something else on the grid: no measure is
    too long or too short by less than an eighth note; its typing may well be."""
    if not (spacing.fit or evidence.opens or evidence.closes):
        # A spacing by the eye says of a length only that it is half as long again, or half.
        full = typed_width(evidence, spacing) * TICKS / spacing.columns / length
        return [
            length,
            *([length * 3 // 2] if full > 1.35 else [length // 2] if full < 0.6 else []),
        ]
    typed = int(typed_width(evidence, spacing) * TICKS / spacing.columns)
    found = {length}
    for tick in range(typed - typed % 6, typed + 7, 6):
        if tick > 0 and abs(tick - length) >= TICKS // 2:
            found.add(tick)
    return sorted(found)


def column_scores(
    evidence: Evidence, spacing: Spacing | None, patterns: Sequence[Pattern], care: Care
) -> list[float]:
    """Log probability of how a measure is typed under each pattern; 0 if columns say nothing.

    A measure is typed in the spacing of its file, in one of its own that fills the measure, in that
    of the file but for a stroke with the left hand or three notes in the time of two, or without
    regard to time.
    """
    if spacing is None:
        return [0.0] * len(patterns)
    careless = log(care.careless) + sum(
        _LOOSE if gap <= 3 else _TIGHT for gap in (evidence.lead, *evidence.gaps)
    )
    by_eye: list[float] = []
    if spacing.fit < _BY_EYE:
        by_eye = eye_scores(evidence, spacing, patterns)
        if not spacing.fit:
            return [_either(careless, score) for score in by_eye]
    typed = Columns(evidence, spacing, care.exact)
    own: dict[int, Columns | None] = {}
    uneven: dict[int, list[Pattern]] = {}
    scores = []
    for index, (length, onsets) in enumerate(patterns):
        if length not in own:
            wider = own_spacing(evidence, spacing, length)
            rounded = min(care.exact, _ROUNDED)
            own[length] = Columns(evidence, wider, rounded) if wider is not None else None
            uneven[length] = of_uneven_width(evidence, spacing, length)
        ways = [careless, typed.score(onsets, length)]
        scaled = own[length]
        if scaled is not None:
            ways.append(log(care.scaled) + scaled.score(onsets, length))
        if (length, onsets) in uneven[length]:
            ways.append(_UNEVEN + log(care.exact) * (evidence.count + 1))
        if by_eye:
            ways.append(log(care.scaled) + by_eye[index])
        scores.append(_either(*ways))
    return scores


def _either(*ways: float) -> float:
    """The log probability of any of several ways."""
    top = max(ways)
    return top + log(sum([exp(way - top) for way in ways]))


def make_choice(
    data: RhythmData,
    members: list[int],
    all_evidence: Sequence[Evidence],
    meter: str,
    length: int,
    spacing: Spacing | None,
    tune_mood: str,
) -> Choice:
    """The readings of a group of like measures as one choice, see :func:`make_choices`."""
    group = Group(data=data, evidence=all_evidence, meter=meter, length=length, mood=tune_mood)
    return group.choices(members, spacing, Care(), split=False)[0]


class Group(Struct):
    """What the readings of a group of like measures are weighed by."""

    data: RhythmData
    evidence: Sequence[Evidence]
    meter: str
    length: int
    mood: str
    rolls: Rolls | None = None
    threes: Figures = field(default_factory=dict)

    def choices(
        self, members: list[int], spacing: Spacing | None, care: Care, split: bool = True
    ) -> list[Choice]:
        """The readings of measures that strike the same, the best forty by measure and columns.

        Where columns say something, measures that are typed differently are choices apart, unless
        one rhythm for both is likelier than two.
        """
        first = self.evidence[members[0]]
        pool = self._pool(members, spacing)
        around = (
            self.evidence[members[0] - 1].count if members[0] else -1,
            self.evidence[members[0] + 1].count if members[0] + 1 < len(self.evidence) else -1,
        )
        base = scorer_of(self.data, self.meter, self.mood).scores(first, pool, around)
        patterns = [pattern for pattern, _ in pool]
        if self.rolls is not None and not first.closes and not first.opens:
            hands = self.rolls.scores(first, patterns)
            base = [b + _HANDS * h for b, h in zip(base, hands, strict=True)]
        if threes := self.threes.get(members[0]):
            base = [b + meant(pattern, threes) for b, pattern in zip(base, patterns, strict=True)]
        if spacing is None:
            return [self._choice(members, patterns, base, [0.0] * len(patterns))]
        typed: dict[object, tuple[list[int], list[float]]] = {}
        for member in members:
            e = self.evidence[member]
            key = e.lead, e.gaps, e.pushes
            if key not in typed:
                typed[key] = ([], column_scores(e, spacing, patterns, care))
            typed[key][0].append(member)
        parts = [(own, [c * len(own) for c in columns]) for own, columns in typed.values()]
        return [
            self._choice(own, patterns, base, columns)
            for own, columns in (_joined(parts, base) if split else [_all(parts)])
        ]

    def _pool(self, members: Sequence[int], spacing: Spacing | None) -> list[tuple[Pattern, float]]:
        pool = pool_of(self.data, self.evidence[members[0]], self.meter, self.length, spacing)
        have = {pattern for pattern, _ in pool}
        first = self.evidence[members[0]]
        if threes := self.threes.get(members[0]):
            for pattern, prior in made(self.data, first, self.meter, threes):
                if pattern not in have:
                    pool.append((pattern, prior))
                    have.add(pattern)
        if self.rolls is not None and not first.closes and not first.opens:
            for pattern in self.rolls.readings(self.evidence[members[0]]):
                if pattern not in have:
                    pool.append((pattern, _ROLLED))
                    have.add(pattern)
        if spacing is not None:
            seen = {self.evidence[members[0]].gaps}
            for member in members[1:]:
                e = self.evidence[member]
                if e.gaps in seen or len(seen) > _VIEWS:
                    continue
                seen.add(e.gaps)
                for pattern, prior in pool_of(self.data, e, self.meter, self.length, spacing):
                    if pattern not in have:
                        pool.append((pattern, prior))
                        have.add(pattern)
        return pool

    def _choice(
        self,
        members: list[int],
        patterns: Sequence[Pattern],
        base: Sequence[float],
        columns: Sequence[float],
    ) -> Choice:
        order = sorted(range(len(patterns)), key=lambda i: (-(base[i] + columns[i]), patterns[i]))
        best = base[order[0]] + columns[order[0]] if order else 0.0
        kept = [i for i in order[:_MOST] if base[i] + columns[i] > best - _HOPELESS]
        choice = Choice(
            members=sorted(members),
            evidence=self.evidence[min(members)],
            patterns=[patterns[i] for i in kept],
            base=[base[i] for i in kept],
            columns=[columns[i] for i in kept],
        )
        if kept:
            both = zip(choice.base, choice.columns, strict=True)
            choice.odds = normalise([b + c for b, c in both])
        return choice


_HANDS, _ROLLED = 1.0, -4.0  # the weight of a tune's rolls, and the prior of what only they say
_VIEWS = 4  # differently typed members of a group whose columns are asked for readings
_SAME = 0.9  # how often measures that strike the same have the same rhythm
Part = tuple[list[int], list[float]]  # members, and log scores of their columns


def _all(parts: Sequence[Part]) -> Part:
    """All parts as one."""
    return (
        [member for members, _ in parts for member in members],
        [sum(scores) for scores in zip(*[columns for _, columns in parts], strict=True)],
    )


def _joined(parts: Sequence[Part], base: Sequence[float]) -> list[Part]:
    """The parts of a group, joined where one rhythm for both is likelier than two."""
    found: list[Part] = []
    for part in sorted(parts, key=lambda p: -len(p[0])):
        best, at = log(1 - _SAME), -1
        for index, other in enumerate(found):
            together = (
                log(_SAME)
                + _evidence(base, _all((part, other))[1])
                - _evidence(base, part[1])
                - _evidence(base, other[1])
            )
            if together > best:
                best, at = together, index
        if at < 0:
            found.append(part)
        else:
            found[at] = _all((found[at], part))
    return found


def _evidence(base: Sequence[float], columns: Sequence[float]) -> float:
    """Log probability of columns under what a measure alone makes likely."""
    top = max(base)
    total = sum([exp(b - top) for b in base])
    both = [b + c for b, c in zip(base, columns, strict=True)]
    best = max(both)
    return best + log(sum([exp(s - best) for s in both])) - top - log(total)
