"""What is decided about a tune so far: the solver's steps read it and fill it in."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from functools import cached_property

from msgspec import Struct, field

from rollstave.grid.typed import GridMeasure
from rollstave.rhythm.evidence import TICKS, Evidence
from rollstave.rhythm.factors import mood, rollness
from rollstave.rhythm.meter import Meter
from rollstave.rhythm.model_data import Pattern
from rollstave.rhythm.offered import Others, no_others
from rollstave.rhythm.reasons import Why
from rollstave.rhythm.right_hand import ROLLING, right_hand
from rollstave.rhythm.rolls import Rolls, rolls_of
from rollstave.rhythm.spacing import nearly_close
from rollstave.rhythm.strains import pickups_for
from rollstave.rhythm.threes import Figures
from rollstave.rhythm.timed import Source
from rollstave.rhythm.uncounted import Words
from rollstave.rhythm.written import Written

_ALIKE = 0.9  # of the notes of a tune
_NARROW = 0.75  # of the width of measures within strains


class Found(Struct):
    """What is decided about one measure; ``odds`` are raw, ``probability`` is what they mean."""

    pattern: Pattern
    probability: float
    why: Why
    others: list[tuple[Pattern, float]] = field(default_factory=list)
    sure: bool = True
    odds: float = 1.0


class State(Struct, dict=True):
    """One tune under one meter. ``counted`` are measures whose counts can be read in several
    ways; ``close``: notes are typed as close as they can be, so columns may be no columns;
    ``shaky``: so are they nearly, and no spacing explains all of them; ``doubtful``: nothing
    tells whether they are; ``ends_open``: columns are not taken at their
    word at the ends of strains; ``others`` is evidence from elsewhere; ``crooked`` are measures
    that are longer or shorter than full ones, again and again; ``words`` are those that the tune
    is counted with; ``within_beat`` are pickups whose counts tell how long they are, but not
    whether their beat is in three; ``threes`` are the columns at which a 3 says so. Times are in
    ticks."""

    measures: Sequence[GridMeasure]
    evidence: Sequence[Evidence]
    meter: Meter
    found: list[Found | None]
    counted: dict[int, list[Written]] = field(default_factory=dict)
    close: bool = False
    shaky: bool = False
    doubtful: bool = False
    ends_open: bool = False
    others: Others = no_others
    crooked: set[int] = field(default_factory=set)
    words: Words | None = None
    within_beat: set[int] = field(default_factory=set)
    threes: Figures = field(default_factory=dict)

    @cached_property
    def length(self) -> int:
        """Ticks of a full measure."""
        return int(self.meter.length * TICKS)

    @cached_property
    def beat(self) -> int:
        return int(self.meter.beat * TICKS)

    @cached_property
    def name(self) -> str:
        return str(self.meter)

    @cached_property
    def mood(self) -> str:
        return mood(self.evidence)

    @cached_property
    def hand(self) -> str:
        return right_hand(self.evidence)

    @cached_property
    def rolls(self) -> Rolls | None:
        if self.hand != ROLLING and rollness(self.evidence) < 2:
            return None
        return rolls_of(self.evidence, self.length, self.hand == ROLLING)

    @cached_property
    def usual_width(self) -> int:
        """Characters of the measures within strains, the middle one; 0 where there are none."""
        inner = sorted(e.width for e in self.evidence if e.count and not e.opens and not e.closes)
        return inner[len(inner) // 2] if inner else 0

    @cached_property
    def usual_lead(self) -> int:
        """Characters before the first note of most measures, 0 where there are none."""
        leads = Counter(e.lead for e in self.evidence if e.count)
        return leads.most_common(1)[0][0] if leads else 0

    @cached_property
    def closest(self) -> int:
        """Characters from a note to the next that are as few as is usual in the tune: one gap in
        ten is closer."""
        gaps = sorted(gap for e in self.evidence for gap in e.gaps[:-1])
        return gaps[len(gaps) // 10] if gaps else 0

    @cached_property
    def may_be_squeezed(self) -> bool:
        """Whether a melody's notes stand about as far apart as each other, most of them: so they do
        where time is not shown, too."""
        return self.hand.startswith("melody") and nearly_close(self.evidence, _ALIKE)

    @property
    def written(self) -> float:
        """The share of the measures whose rhythm is written, as far as it is found."""
        by_writing = sum(f is not None and f.why.source is Source.WRITTEN for f in self.found)
        return (by_writing + len(self.counted)) / max(1, len(self.found))

    def may_be_short(self, index: int) -> bool:
        return self.evidence[index].opens or self.evidence[index].closes

    def is_complement(self, index: int, length: int) -> bool:
        """True if a measure that closes a strain makes a pickup whole."""
        return any(self.length - length == p for p in self.short_before(index))

    def is_contradicted(self, index: int) -> bool:
        """True for a pickup of three notes or more that the measure right before it, the last of
        its strain, leaves no such room for, or that is written under a measure as wide as a full
        one: it may begin with a rest, or be three in the time of two."""
        found, evidence = self.found[index], self.evidence[index]
        if found is None or not index or evidence.count < 3 or found.pattern[0] >= self.length:
            return False
        before = self.found[index - 1]
        if before is None or not evidence.opens or evidence.closes:
            return False
        wide = evidence.width >= _NARROW * self.usual_width
        if wide and found.why.source is Source.WRITTEN:
            return True
        return before.pattern[0] + found.pattern[0] != self.length

    def pickup_of(self, index: int, last: int) -> tuple[int | None, bool]:
        """The ticks of the pickup that a closing measure whose ``last`` onset is given should
        leave room for, None if it should be full; and whether that is beyond doubt."""
        possible = pickups_for(self.evidence, index)
        lengths = [self._ticks(candidate, index) for candidate in possible]
        known = [ticks for ticks in lengths if ticks is not None]
        if known:
            room = last < self.length - known[0]
            certain = lengths[0] == known[0] and all(k == known[0] for k in known[1:])
            certain = certain and all(self._told(candidate) for candidate in possible)
            if not room:
                return None, all(last >= self.length - ticks for ticks in known)
            return known[0], certain
        told = all(self._told(candidate) for candidate in possible)
        return None, told and all(last >= self.length - ticks for ticks in self.short_before(index))

    def _told(self, candidate: int) -> bool:
        """True unless a measure that may be a pickup is in doubt: also if it is not read yet, or is
        narrow and without notes."""
        if candidate >= len(self.found):
            return True
        found = self.found[candidate]
        if found is None or not found.sure:
            return False
        narrow = self.evidence[candidate].width < _NARROW * self.usual_width
        return not (narrow and found.why.text == "empty")

    def short_before(self, index: int) -> list[int]:
        """Ticks of the pickups that the measure might complement, by where they stand."""
        if not self.evidence[index].closes:
            return []
        found = (self._ticks(c, index) for c in (index + 1, self.evidence[index].strain, 0))
        return [ticks for ticks in found if ticks is not None]

    def _ticks(self, candidate: int, index: int) -> int | None:
        """Ticks of a measure if it is a pickup as far as is known."""
        if candidate == index or candidate >= len(self.evidence):
            return None
        found = self.found[candidate]
        if found is None or not self.evidence[candidate].opens:
            return None
        return found.pattern[0] if 0 < found.pattern[0] < self.length else None
