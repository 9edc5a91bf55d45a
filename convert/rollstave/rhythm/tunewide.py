"""What the rest of a tune says about a measure: it repeats its patterns and its figures.

Each group of like measures is a mixture over its readings; every round, each reading is scored
again by how often the rest of the tune has its pattern, its figures of a beat, the rhythm of
measures that begin or end alike, and a length that fits a pickup. Shares are those of a Dirichlet
mixture around what the measure alone would say. (Piece-specific score models: Nakamura and
Yoshii, arXiv 1908.06969; the rounds are a mean-field approximation.)
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from math import log

from rollstave.rhythm.choices import Choice, normalise
from rollstave.rhythm.evidence import TICKS, Evidence
from rollstave.rhythm.model_data import Pattern

ROUNDS = 3
_LIKE = 1.0  # how many measures of its own kind a measure's own view is worth
_LIKE_FIGURES = 8.0
_TINY = 1e-4
Figures = tuple[tuple[int, ...], ...]
Shape = tuple[int, ...]  # the figures of a pattern, by their numbers in the tune
Terms = tuple[float, float, float, float]


def figures(pattern: Pattern, beat: int) -> Figures:
    """The onsets of each beat of a pattern, relative to the beat."""
    length, onsets = pattern
    found: list[list[int]] = [[] for _ in range(max(1, -(-length // beat)))]
    for onset in onsets:
        found[onset // beat].append(onset % beat)
    return tuple(tuple(f) for f in found)


class TuneWide:
    """The evidence of a tune about its own measures; ``terms`` for one choice at a time."""

    def __init__(
        self, choices: Sequence[Choice], evidence: Sequence[Evidence], length: int, beat: int
    ) -> None:
        self.choices = choices
        self.evidence = evidence
        self.length = length
        self.beat = min(beat, 36)
        if beat == 2 * TICKS:
            self.beat = TICKS
        self.of_measure = {m: choice for choice in choices for m in choice.members}
        self.own = [list(choice.odds) for choice in choices]
        # What is counted has a number each: tuples of tuples are slow to look up, again and again.
        self._figures: dict[tuple[int, ...], int] = {}
        self._shapes: dict[Pattern, Shape] = {}
        self.shapes = [[self._shape(pattern) for pattern in c.patterns] for c in choices]
        patterns: dict[tuple[int, Pattern], int] = {}
        self.known = [
            [patterns.setdefault((c.evidence.count, p), len(patterns)) for p in c.patterns]
            for c in choices
        ]
        self._patterns = len(patterns)
        halves: dict[object, int] = {}
        self.halves = [
            [halves.setdefault(half, len(halves)) for half in _halves(c.evidence)] for c in choices
        ]
        self._halves = len(halves)
        alike: dict[tuple[int, int], int] = {}
        self.alike = [
            [[alike.setdefault((half, one), len(alike)) for half in own] for one in known]
            for own, known in zip(self.halves, self.known, strict=True)
        ]
        self._alike = len(alike)
        self.logs = [[log(max(odds, _TINY)) for odds in own] for own in self.own]
        self.usual = [self._usual(own, s) for own, s in zip(self.own, self.shapes, strict=True)]

    def _shape(self, pattern: Pattern) -> Shape:
        """The figures of the beats of a pattern, by their numbers."""
        shape = self._shapes.get(pattern)
        if shape is None:
            numbers = self._figures
            found = figures(pattern, self.beat)
            shape = tuple([numbers.setdefault(figure, len(numbers)) for figure in found])
            self._shapes[pattern] = shape
        return shape

    @staticmethod
    def _usual(own: Sequence[float], shapes: Sequence[Shape]) -> dict[int, float]:
        """The share of each figure among what a choice alone would say."""
        share: dict[int, float] = defaultdict(float)
        for odds, shape in zip(own, shapes, strict=True):
            each = odds / len(shape)
            for figure in shape:
                share[figure] += each
        return {figure: max(of_all, 0.01) for figure, of_all in share.items()}

    def collect(self) -> None:
        """Count patterns, figures and halves over the whole tune by the odds of the moment."""
        self.patterns = [0.0] * self._patterns
        self.counts: dict[int, float] = defaultdict(float)
        self.figure = [0.0] * len(self._figures)
        self.figures_total = 0.0
        self.half = [0.0] * self._alike
        self.half_total = [0.0] * self._halves
        for number, choice in enumerate(self.choices):
            self._add(number, choice, 1.0)

    def _add(self, number: int, choice: Choice, sign: float) -> None:
        weight = sign * min(3, len(choice.members))
        self.counts[choice.evidence.count] += weight
        for half in self.halves[number]:
            self.half_total[half] += weight
        patterns, of_half, of_figure = self.patterns, self.half, self.figure
        total = self.figures_total
        rows = zip(
            self.known[number], choice.odds, self.alike[number], self.shapes[number], strict=True
        )
        for known, odds, alike, shape in rows:
            if odds < _TINY:
                continue
            more = weight * odds
            patterns[known] += more
            for half in alike:
                of_half[half] += more
            for figure in shape:
                of_figure[figure] += more
                total += more
        self.figures_total = total

    def terms(self, number: int) -> list[Terms]:
        """For each reading of a choice: pattern, figures, halves, length; log ratios."""
        self._add(number, self.choices[number], -1.0)
        found = self._by_the_others(number)
        self._add(number, self.choices[number], 1.0)
        return found

    def _by_the_others(self, number: int) -> list[Terms]:
        """The terms of a choice when only the others are counted."""
        choice = self.choices[number]
        count = choice.evidence.count
        total = max(0.0, self.counts[count])
        figure_total = max(0.0, self.figures_total)
        halves = self.halves[number]
        half_total = sum(max(0.0, self.half_total[h]) for h in halves)
        result = []
        seen = {
            figure: log((max(0.0, self.figure[figure]) + _LIKE_FIGURES * usual) / usual)
            - log(figure_total + _LIKE_FIGURES)
            for figure, usual in self.usual[number].items()
        }
        partners = self._partners(choice)
        rows = zip(
            choice.patterns,
            self.own[number],
            self.logs[number],
            self.shapes[number],
            self.known[number],
            self.alike[number],
            strict=True,
        )
        for pattern, odds, log_own, shape, known, among in rows:
            own = max(odds, _TINY)
            have = max(0.0, self.patterns[known])
            one = log((have + _LIKE * own) / (total + _LIKE)) - log_own
            two = sum([seen[figure] for figure in shape])
            alike = sum([max(0.0, self.half[half]) for half in among])
            three = log((alike + _LIKE * own) / (half_total + _LIKE)) - log_own
            result.append((one, two, three, self._fits(partners, pattern[0])))
        return result

    def _partners(self, choice: Choice) -> dict[int, float]:
        """Lengths of the measures that a first or last measure of a strain complements."""
        found: dict[int, float] = defaultdict(float)
        for member in choice.members[:4]:
            evidence = self.evidence[member]
            others = []
            if evidence.closes:
                after = member + 1
                opens = after < len(self.evidence) and self.evidence[after].opens
                others.append(after if opens else 0)
                others.extend({evidence.strain, 0} - {member})
            if evidence.opens and member:
                others.append(member - 1)
            for other in others:
                partner = self.of_measure.get(other)
                if partner is None or other == member:
                    continue
                for pattern, odds in zip(partner.patterns, partner.odds, strict=True):
                    found[pattern[0]] += odds
        total = sum(found.values())
        return {length: n / total for length, n in found.items()} if total else {}

    def _fits(self, partners: dict[int, float], length: int) -> float:
        if not partners:
            return 0.0
        full = self.length
        matching = sum(n for other, n in partners.items() if (other + length) % full == 0)
        return log(matching + 0.02)

    def round(self, blend: Sequence[float]) -> None:
        """One round: new odds for every choice."""
        self.collect()
        _, b1, b2, b3, b4 = blend
        for number, choice in enumerate(self.choices):
            if len(choice.patterns) < 2:
                continue
            self._add(number, choice, -1.0)
            scores = [
                blend[0] * base + columns + b1 * one + b2 * two + b3 * three + b4 * four
                for base, columns, (one, two, three, four) in zip(
                    choice.base, choice.columns, self._by_the_others(number), strict=True
                )
            ]
            choice.odds = normalise(scores)
            self._add(number, choice, 1.0)


def _halves(evidence: Evidence) -> tuple[object, ...]:
    """Keys of measures that begin or end alike, with the same number of notes."""
    count = evidence.count
    if count < 4:
        return ()
    middle = count // 2
    return (
        ("first", count, evidence.signature[:middle]),
        ("second", count, evidence.signature[middle:]),
        ("kinds", count, evidence.kinds),
    )
