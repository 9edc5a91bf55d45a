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
        self.shapes = [[figures(p, self.beat) for p in c.patterns] for c in choices]
        self.halves = [_halves(c.evidence) for c in choices]

    def collect(self) -> None:
        """Count patterns, figures and halves over the whole tune by the odds of the moment."""
        self.patterns: dict[tuple[int, Pattern], float] = defaultdict(float)
        self.counts: dict[int, float] = defaultdict(float)
        self.figure: dict[tuple[int, ...], float] = defaultdict(float)
        self.figures_total = 0.0
        self.half: dict[tuple[object, Pattern], float] = defaultdict(float)
        self.half_total: dict[object, float] = defaultdict(float)
        for number, choice in enumerate(self.choices):
            self._add(number, choice, 1.0)

    def _add(self, number: int, choice: Choice, sign: float) -> None:
        weight = sign * min(3, len(choice.members))
        count = choice.evidence.count
        self.counts[count] += weight
        for half in self.halves[number]:
            self.half_total[half] += weight
        for pattern, odds, shape in zip(
            choice.patterns, choice.odds, self.shapes[number], strict=True
        ):
            if odds < _TINY:
                continue
            self.patterns[count, pattern] += weight * odds
            for half in self.halves[number]:
                self.half[half, pattern] += weight * odds
            for figure in shape:
                self.figure[figure] += weight * odds
                self.figures_total += weight * odds

    def terms(self, number: int) -> list[tuple[float, float, float, float]]:
        """For each reading of a choice: pattern, figures, halves, length; log ratios."""
        choice = self.choices[number]
        self._add(number, choice, -1.0)
        count = choice.evidence.count
        total = max(0.0, self.counts[count])
        figure_total = max(0.0, self.figures_total)
        halves = self.halves[number]
        half_total = sum(max(0.0, self.half_total[h]) for h in halves)
        result = []
        share: dict[tuple[int, ...], float] = defaultdict(float)
        for own, shape in zip(self.own[number], self.shapes[number], strict=True):
            for figure in shape:
                share[figure] += own / len(shape)
        partners = self._partners(choice)
        for index, pattern in enumerate(choice.patterns):
            own = max(self.own[number][index], _TINY)
            have = max(0.0, self.patterns[count, pattern])
            one = log((have + _LIKE * own) / (total + _LIKE)) - log(own)
            two = 0.0
            shape = self.shapes[number][index]
            for figure in shape:
                usual = max(share[figure], 0.01)
                seen = max(0.0, self.figure[figure])
                two += log((seen + _LIKE_FIGURES * usual) / (figure_total + _LIKE_FIGURES))
                two -= log(usual)
            alike = sum(max(0.0, self.half[h, pattern]) for h in halves)
            three = log((alike + _LIKE * own) / (half_total + _LIKE)) - log(own)
            result.append((one, two, three, self._fits(partners, pattern[0])))
        self._add(number, choice, 1.0)
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
        for number, choice in enumerate(self.choices):
            if len(choice.patterns) < 2:
                continue
            scores = [
                blend[0] * base
                + columns
                + sum(w * t for w, t in zip(blend[1:], terms, strict=True))
                for base, columns, terms in zip(
                    choice.base, choice.columns, self.terms(number), strict=True
                )
            ]
            self._add(number, choice, -1.0)
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
