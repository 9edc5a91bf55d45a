"""In which columns the notes of a tune are typed: one unit of columns throughout.

Every quarter note of a tune takes the same number of columns, the smallest number at which no
two notes, signs or words touch. Columns count from 0 after the bar line and its repeat dots.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from functools import reduce
from math import gcd, lcm

from msgspec import Struct, field

from rollstave.score.records import Measure
from rollstave.writing.text.tokens import Token

_LEAST_GAP = 2  # columns between two notes: a dash between them, whatever their strings
_SHOWS_TIME = 4  # the same, so wide that even notes show that columns are time
_APART = 3  # between a stroke and a chord name that stands over none
_LEAST_PER_QUARTER = 4  # so that a measure looks like one, also where it has few notes


class Typed(Struct, frozen=True):
    """What is typed in a measure: tokens by event and string, and words by onset and line.

    Words of one line (chord names, lyrics) must keep a gap between them. ``leads`` are signs
    that lead over a bar line, by string: where they stand, and what they are.
    """

    measure: Measure
    tokens: tuple[dict[int, Token], ...]
    words: tuple[tuple[tuple[Fraction, int], ...], ...]
    leads: dict[int, tuple[int, str]] = field(default_factory=dict)


class Spacing(Struct, frozen=True):
    """``per_quarter`` columns for a quarter note, after ``lead`` columns at the bar."""

    per_quarter: Fraction
    lead: int

    def column(self, onset: Fraction) -> int:
        return self.lead + int(onset * self.per_quarter)

    def width(self, measure: Measure) -> int:
        return self.lead + int(measure.length * self.per_quarter)


def spacing_of(measures: Sequence[Typed], shows_time: bool = False) -> Spacing:
    """The narrowest spacing in which everything fits; wider where columns must show time."""
    lead = 1
    for typed in measures:
        for event, tokens in zip(typed.measure.events, typed.tokens, strict=True):
            if tokens and event.onset == 0:
                lead = max(lead, *(t.left for t in tokens.values()))
    step = _step(measures)
    gaps = _gaps(measures, lead)
    least = _SHOWS_TIME if shows_time else _LEAST_GAP
    per_step = max(least, -(-_LEAST_PER_QUARTER * step.numerator // step.denominator))
    for time, needed in gaps:
        share = needed * step / time
        per_step = max(per_step, -(-share.numerator // share.denominator))
    return Spacing(Fraction(per_step) / step, lead)


def _step(measures: Sequence[Typed]) -> Fraction:
    """The longest time that divides every onset, length and place of a word in the tune."""
    times = {t.measure.length for t in measures}
    times |= {e.onset for t in measures for e in t.measure.events if e.onset}
    times |= {onset for t in measures for words in t.words for onset, _ in words if onset}
    common = reduce(lcm, (t.denominator for t in times), 1)
    return Fraction(reduce(gcd, (int(t * common) for t in times)), common)


def _gaps(measures: Sequence[Typed], lead: int) -> set[tuple[Fraction, int]]:
    """Spans of time and the columns that each needs at the least."""
    found: set[tuple[Fraction, int]] = set()
    for typed in measures:
        struck = [
            (event.onset, tokens)
            for event, tokens in zip(typed.measure.events, typed.tokens, strict=True)
            if tokens
        ]
        at = {onset for onset, _ in struck}
        for onset, _ in typed.words[0]:  # a chord name that no stroke may draw to itself
            for other in at if onset not in at else ():
                found.add((abs(onset - other), _APART))
        last: dict[int, tuple[Fraction, Token]] = {}
        for onset, tokens in struck:
            for string, token in tokens.items():
                if string in last:
                    before, earlier = last[string]
                    apart = earlier.right + token.left + (0 if token.sign else 1)
                    found.add((onset - before, apart))
                last[string] = (onset, token)
        for onset, token in last.values():
            found.add((typed.measure.length - onset, token.right))
        for words in typed.words:
            for index, (onset, length) in enumerate(words):
                after = words[index + 1] if index + 1 < len(words) else None
                if after is not None:
                    found.add((after[0] - onset, length + 2))
                else:
                    # Words may stand over the bar, but not over the next measure's first note.
                    found.add((typed.measure.length - onset, length + 1 - lead))
    return {(time, needed) for time, needed in found if time > 0}
