"""The rhythm of a whole tune: grid measures in, onsets and durations out.

``infer_rhythm`` is the one way in. What is written wins; columns that say it to the letter come
next; everything else is weighed together: columns, hands, meter, and the tune's own repetition.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from math import log

from rollstave.grid.model import GridMeasure, LineKind
from rollstave.rhythm.candidates import candidates
from rollstave.rhythm.choices import Choice, base_scores, make_choice, normalise
from rollstave.rhythm.columns import (
    Habit,
    Reading,
    as_close_as_can_be,
    exact_reading,
    habits,
    squeezed,
)
from rollstave.rhythm.evidence import TICKS, Evidence, gather
from rollstave.rhythm.factors import mood, rollness
from rollstave.rhythm.meters import find_meter
from rollstave.rhythm.model import (
    Alternative,
    Meter,
    RhythmReading,
    Source,
    TimedMeasure,
    durations_from,
)
from rollstave.rhythm.model_data import Pattern, RhythmData, rhythm_data
from rollstave.rhythm.reasons import Why, explain
from rollstave.rhythm.tunewide import ROUNDS, TuneWide
from rollstave.rhythm.written import Written, counted_beat, read_counts, read_letters

_NEAT = 0.9  # share of measures that a habit explains before columns are taken at their word
_LOOSE = 0.42  # share from which columns are evidence at all
_WRITTEN, _EXACT, _TAUGHT, _UNEXPLAINED = 0.999, 0.998, 0.99, 0.6
_LESS_PLAIN = -1.5  # log odds of a reading of counts that is not the plainest
_CLEAR = 0.9  # mean odds of a tune from which its measures may be sure by order alone
_CLOSE = 0.15  # a second reading with at least this probability is shown


def infer_rhythm(measures: Sequence[GridMeasure], meter: Meter | None = None) -> RhythmReading:
    """Onsets and durations for every column of every measure of a tune.

    ``meter`` is the meter that the typist wrote, or None to infer it. A measure that is too long
    or too short is returned as it is typed.
    """
    evidence = gather(measures)
    reason, confidence = "written in the heading", 1.0
    if meter is None:
        meter, reason, confidence = find_meter(measures, evidence)
    solver = _Solver(measures, evidence, meter)
    return RhythmReading(meter, reason, tuple(solver.solve()), confidence)


@dataclass
class _Found:
    """What is decided about one measure."""

    pattern: Pattern
    probability: float
    why: Why
    others: list[tuple[Pattern, float]] = field(default_factory=list)
    sure: bool = True


class _Solver:
    """Solves one tune under one meter."""

    def __init__(
        self, measures: Sequence[GridMeasure], evidence: Sequence[Evidence], meter: Meter
    ) -> None:
        self.measures = measures
        self.evidence = evidence
        self.meter = meter
        self.length = int(meter.length * TICKS)
        self.name = str(meter)
        self.mood = mood(evidence)
        self.found: list[_Found | None] = [None] * len(measures)
        self.counted: dict[int, list[Written]] = {}
        self.ends_open = False  # columns are not taken at their word at the ends of strains
        self.data: RhythmData | None = None
        self.clear = 1.0
        self.close = False

    def solve(self) -> list[TimedMeasure]:
        self._written()
        habit = self._habit()
        if habit is not None and habit.fit >= _NEAT:
            self._by_columns(habit)
        self._learn_from_written()
        self._weigh(habit)
        return [self._timed(index) for index in range(len(self.measures))]

    # What the typist wrote ------------------------------------------------------------------

    def _written(self) -> None:
        beat = counted_beat(self.measures, self.meter)
        for index, measure in enumerate(self.measures):
            if not measure.columns:
                self.found[index] = _Found((self.length, ()), 0.99, Why(Source.COLUMNS, "empty"))
                continue
            if measure.attached(LineKind.DURATIONS):
                written = read_letters(measure, self.length)
                if written is not None:
                    self._take_written(index, written)
                    continue
            if beat is None:
                continue
            opens = self.evidence[index].opens
            ways = read_counts(measure, beat, self.length, opens)
            if len(ways) == 1:
                self._take_written(index, ways[0])
            elif ways:
                self.counted[index] = ways
        self._complements()

    def _take_written(self, index: int, written: Written) -> None:
        length = written.length if written.length is not None else self.length
        onsets = written.onsets
        short = self.length - length
        if written.what == "duration letters" and short > 0 and not self._may_be_short(index):
            # Letters say nothing of a rest at the start; a full measure is far likelier than a
            # short one in the middle of a strain.
            onsets, length = tuple(o + short for o in onsets), self.length
        probability = _WRITTEN if written.all_written else 0.99
        self.found[index] = _Found((length, onsets), probability, Why(Source.WRITTEN, written.what))

    def _may_be_short(self, index: int) -> bool:
        return self.evidence[index].opens or self.evidence[index].closes

    def _complements(self) -> None:
        """A counted last measure of a strain ends where its pickup began, if there is room."""
        for index, found in enumerate(self.found):
            if found is None or found.why.text != "counts" or not self.evidence[index].closes:
                continue
            partner = self._pickup_of(index)
            if partner is None:
                continue
            length, onsets = found.pattern
            rest = self.length - partner
            if length == self.length and 0 < rest < self.length and onsets[-1] < rest:
                found.pattern = (rest, onsets)

    def _pickup_of(self, index: int) -> int | None:
        """The length of the pickup that a closing measure complements, in ticks."""
        after = index + 1
        opening = after if after < len(self.evidence) and self.evidence[after].opens else 0
        for candidate in (opening, self.evidence[index].strain, 0):
            found = self.found[candidate]
            if found is not None and candidate != index and 0 < found.pattern[0] < self.length:
                return found.pattern[0]
        return None

    # Columns --------------------------------------------------------------------------------

    def _habit(self) -> Habit | None:
        """The typist's habit if columns say anything of time in this file."""
        open_ones = [e for e, f in zip(self.evidence, self.found, strict=True) if f is None]
        if not open_ones:
            return None
        found = habits(open_ones, self.length)
        if not found or found[0].fit < _LOOSE:
            return None
        verdict = squeezed(open_ones)
        self.close = as_close_as_can_be(open_ones)
        self.ends_open = verdict == 0
        if verdict > 0 or (verdict == 0 and not self._ends_agree(found[0])):
            return None
        return found[0]

    def _ends_agree(self, habit: Habit) -> bool:
        """True if, by the columns, every strain that starts with a pickup ends as much short."""
        ends = [exact_reading(e, habit) if e.count else None for e in self.evidence]
        for index, (evidence, end) in enumerate(zip(self.evidence, ends, strict=True)):
            if not evidence.closes or evidence.opens or not evidence.count:
                continue
            after = index + 1
            opens = after < len(ends) and self.evidence[after].opens
            partners = [ends[after] if opens else ends[0], ends[evidence.strain], ends[0]]
            sums = {(end.length + p.length) % self.length for p in partners if p and end}
            if end is None or (end.length != self.length and 0 not in sums):
                return False
        return True

    def _by_columns(self, habit: Habit) -> None:
        """Take the columns at their word where they are exact and the length is possible."""
        for index, evidence in enumerate(self.evidence):
            if self.found[index] is not None or index in self.counted:
                continue
            reading = exact_reading(evidence, habit)
            if reading and self.ends_open and reading.length != self.length:
                continue
            if reading is not None and self._possible(index, reading):
                self.found[index] = _Found(
                    (reading.length, reading.onsets),
                    _EXACT,
                    Why(Source.COLUMNS, "columns", habit),
                )

    def _possible(self, index: int, reading: Reading) -> bool:
        if reading.length == self.length:
            return True
        if reading.length > self.length:
            return False
        return self._may_be_short(index)

    def _learn_from_written(self) -> None:
        """What the teacher wrote under a measure holds for all that strike the same."""
        taught: dict[object, tuple[int, Pattern]] = {}
        for index, found in enumerate(self.found):
            if found is not None and found.why.source is Source.WRITTEN and found.pattern[1]:
                taught.setdefault(self.evidence[index].signature, (index, found.pattern))
        for index, found in enumerate(self.found):
            lesson = taught.get(self.evidence[index].signature)
            if found is None and lesson is not None and index not in self.counted:
                text = f"as written under measure {lesson[0] + 1} of the tab"
                self.found[index] = _Found(lesson[1], _TAUGHT, Why(Source.REPETITION, text))

    # Everything else ------------------------------------------------------------------------

    def _weigh(self, habit: Habit | None) -> None:
        """Weigh all evidence for the measures that are still open."""
        left = [i for i, found in enumerate(self.found) if found is None]
        if not left:
            return
        self.data = data = rhythm_data()
        tune_mood = self.mood
        choices = [self._counted_choice(index, tune_mood) for index in self.counted]
        left = [index for index in left if index not in self.counted]
        for members in self._groups(left):
            choice = make_choice(
                data, members, self.evidence, self.name, self.length, habit, tune_mood
            )
            if choice.patterns:
                choices.append(choice)
            else:
                for member in members:
                    self.found[member] = self._last_resort(member)
        settled = self._settled_choices()
        tune = TuneWide([*choices, *settled], self.evidence, self.length, self._beat())
        for _ in range(ROUNDS):
            tune.round(data.blend)
        self.clear = self._clearness(choices)
        for choice in choices:
            self._decide(choice, habit)

    @staticmethod
    def _clearness(choices: Sequence[Choice]) -> float:
        """The mean odds of the best readings of a tune: how well it is understood as a whole."""
        count = sum(len(c.members) for c in choices)
        return sum(max(c.odds) * len(c.members) for c in choices) / count if count else 1.0

    def _counted_choice(self, index: int, tune_mood: str) -> Choice:
        """Counts that can be read in several ways: only those ways are weighed."""
        assert self.data is not None
        patterns = [
            (w.length if w.length is not None else self.length, w.onsets)
            for w in self.counted[index]
        ]
        evidence = self.evidence[index]
        partner = self._pickup_of(index) if evidence.closes else None
        if partner is not None:
            rest = self.length - partner
            patterns = [(rest if o[-1] < rest else length, o) for length, o in patterns]
        shares = dict(candidates(self.data, evidence, self.name, self.length))
        pool = [(pattern, shares.get(pattern, -9.0)) for pattern in patterns]
        base = base_scores(self.data, evidence, pool, self.name, tune_mood, (-1, -1))
        # The plainest way comes first and is a little likelier for that.
        columns = [0.0 if way == 0 else _LESS_PLAIN for way in range(len(patterns))]
        choice = Choice([index], evidence, patterns, base, columns)
        choice.odds = normalise([b + c for b, c in zip(base, columns, strict=True)])
        return choice

    def _beat(self) -> int:
        return int(self.meter.beat * TICKS)

    def _groups(self, left: Sequence[int]) -> list[list[int]]:
        groups: dict[object, list[int]] = {}
        for index in left:
            e = self.evidence[index]
            groups.setdefault((e.signature, e.opens, e.closes), []).append(index)
        return list(groups.values())

    def _settled_choices(self) -> list[Choice]:
        """Measures already decided, as choices with one reading: the rest learns from them."""
        found = []
        for index, settled in enumerate(self.found):
            if settled is not None and settled.pattern[1]:
                found.append(
                    Choice([index], self.evidence[index], [settled.pattern], [0.0], [0.0], [1.0])
                )
        return found

    def _decide(self, choice: Choice, habit: Habit | None) -> None:
        assert self.data is not None
        order = sorted(
            range(len(choice.patterns)), key=lambda i: (-choice.odds[i], choice.patterns[i])
        )
        best = order[0]
        mode = f"order {rollness(self.evidence)}" if habit is None else "columns"
        probability = calibrate(choice.odds[best], self.data, mode)
        counted = choice.members[0] in self.counted
        why = Why(Source.WRITTEN, "counts") if counted else self._why(choice, best, habit)
        others = [
            (choice.patterns[i], choice.odds[i]) for i in order[1:3] if choice.odds[i] >= _CLOSE
        ]
        for member in choice.members:
            self.found[member] = _Found(
                choice.patterns[best],
                probability,
                why,
                others,
                choice.odds[best] >= self.data.sure.get(mode, 1.0) and self._is_clear(habit),
            )

    def _is_clear(self, habit: Habit | None) -> bool:
        """Where only the order of the notes is known, a reading is sure only in a tune that is
        understood nearly throughout; where notes are typed as close as they can be, columns that
        had to be weighed are not sure either: they may be no columns at all."""
        if habit is not None:
            return not self.close
        return self.clear >= _CLEAR

    def _why(self, choice: Choice, best: int, habit: Habit | None) -> Why:
        """What spoke for the reading most: its columns, its like elsewhere, or the hands."""
        alone = normalise(choice.base)
        likelier = choice.odds[best] > 0.5 + alone[best] / 2
        if habit is not None and choice.columns[best] >= max(choice.columns) - log(2):
            exact = choice.columns[best] > -0.4 * (choice.evidence.count + 1) * len(choice.members)
            return Why(Source.COLUMNS, "columns" if exact else "columns nearly", habit)
        if likelier and len(choice.members) == 1:
            return Why(Source.REPETITION, "the rest of the tune has this rhythm")
        return Why(Source.ORDER, "order")

    def _last_resort(self, index: int) -> _Found:
        """More notes than any grid holds: even division, exact, and not sure."""
        count = self.evidence[index].count
        onsets = tuple(range(count))
        why = Why(Source.ORDER, "too many notes")
        return _Found((max(self.length, count), onsets), 0.01, why, sure=False)

    # Results --------------------------------------------------------------------------------

    def _timed(self, index: int) -> TimedMeasure:
        found = self.found[index]
        assert found is not None
        length, onset_ticks = found.pattern
        onsets = tuple(Fraction(o, TICKS) for o in onset_ticks)
        total = Fraction(length, TICKS)
        evidence = self.evidence[index]
        source, reasons = explain(
            found.why,
            index,
            self.evidence,
            [f.pattern if f else (0, ()) for f in self.found],
            self.length,
        )
        pickup = length < self.length and evidence.opens and self._is_pickup(index)
        complement = self._is_complement(index, length)
        if length != self.length and not (pickup or complement or found.why.text == "empty"):
            # Too long or too short, and nothing explains it: worth a second look in any case.
            found.probability = min(found.probability, _UNEXPLAINED)
            found.sure = False
        return TimedMeasure(
            onsets,
            durations_from(onsets, total),
            total,
            found.probability,
            found.sure,
            source,
            reasons,
            tuple(self._alternative(p, odds) for p, odds in found.others),
            pickup,
            complement,
        )

    def _is_pickup(self, index: int) -> bool:
        """A short opening measure is a pickup if a strain follows it."""
        return index + 1 < len(self.measures) and (index == 0 or not self.evidence[index].closes)

    def _is_complement(self, index: int, length: int) -> bool:
        """A short last measure of a strain that a pickup makes whole."""
        partner = self._pickup_of(index) if self.evidence[index].closes else None
        return partner is not None and partner + length == self.length

    @staticmethod
    def _alternative(pattern: Pattern, odds: float) -> Alternative:
        length, ticks = pattern
        onsets = tuple(Fraction(o, TICKS) for o in ticks)
        return Alternative(
            onsets, durations_from(onsets, Fraction(length, TICKS)), odds, "nearly as likely"
        )


def calibrate(odds: float, data: RhythmData, mode: str) -> float:
    """The measured share of right readings at these odds, between the points of the table."""
    points = data.calibration.get(mode, ((0.0, 0.0), (1.0, 1.0)))
    for (x0, y0), (x1, y1) in itertools.pairwise(points):
        if odds <= x1:
            return y0 + (y1 - y0) * (odds - x0) / (x1 - x0) if x1 > x0 else y1
    return points[-1][1]
