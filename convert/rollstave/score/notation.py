"""How a score is notated: note values, ties, tuplets, beams, stems, accidentals.

Every writer that draws notes walks these symbols, so that all of them agree. Values are those
of Western notation; the rules are the usual ones of engraving handbooks (Gould, Behind Bars,
2011, on beaming, ties and accidentals, from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache

from rollstave.instruments.model import Instrument
from rollstave.rhythm.model import Meter
from rollstave.score.memo import once_for_a_score
from rollstave.score.model import Event, Measure, Note, Score

# Names of note values as MusicXML has them, and their length in quarter notes.
VALUES: tuple[tuple[str, Fraction], ...] = (
    ("whole", Fraction(4)),
    ("half", Fraction(2)),
    ("quarter", Fraction(1)),
    ("eighth", Fraction(1, 2)),
    ("16th", Fraction(1, 4)),
    ("32nd", Fraction(1, 8)),
    ("64th", Fraction(1, 16)),
)
_SHORTEST = VALUES[-1][1]
_FLAGGED = {"eighth", "16th", "32nd", "64th"}
_SIGNATURE_ORDER = "FCGDAEB"


@dataclass(frozen=True, slots=True)
class Head:
    """A note as drawn on the staff: the accidental shown (None for none) and its ties."""

    note: Note
    accidental: int | None
    tie_from: bool = False
    tie_to: bool = False


@dataclass(frozen=True, slots=True)
class Symbol:
    """One notated chord or rest: part of an event, or all of it.

    ``part`` counts the tied pieces of its event from 0. ``beam`` is the number of the beam group
    in the measure, None outside beams. ``tuplet`` is the number of its triplet in the measure;
    three of its values take the time of two. ``stem_up`` is for the staff.
    """

    event_index: int
    part: int
    onset: Fraction
    duration: Fraction
    value: str
    dots: int
    heads: tuple[Head, ...]
    beam: int | None = None
    tuplet: int | None = None
    stem_up: bool = True

    @property
    def is_rest(self) -> bool:
        return not self.heads


@dataclass(frozen=True, slots=True)
class NotatedMeasure:
    """A measure and its symbols in time order. A whole empty measure has one rest."""

    measure: Measure
    symbols: tuple[Symbol, ...]
    whole_rest: bool = False


def single_value(duration: Fraction) -> tuple[str, int] | None:
    """The value and dots (0 or 1) that last exactly ``duration``, or None."""
    for name, length in VALUES:
        if duration == length:
            return name, 0
        if duration == length * Fraction(3, 2):
            return name, 1
    return None


@once_for_a_score
def notate(score: Score) -> tuple[NotatedMeasure, ...]:
    """Notate every measure of a score. Kept for the next writer of the same score."""
    fifths = score.key.fifths
    middle = middle_line(score.setup.instrument)
    return tuple(_notate_measure(m, score.meter, fifths, middle) for m in score.measures)


def _notate_measure(measure: Measure, meter: Meter, fifths: int, middle: int) -> NotatedMeasure:
    if len(measure.events) == 1 and not measure.events[0].notes:
        value = single_value(measure.length) or ("whole", 0)
        rest = Symbol(0, 0, Fraction(0), measure.length, *value, ())
        return NotatedMeasure(measure, (rest,), whole_rest=True)
    # A pickup is the end of a full measure: beams and ties follow the beats of that.
    offset = meter.length - measure.length if measure.number == 0 else Fraction(0)
    tuplets = _tuplet_spans(measure.events, meter, offset)
    pieces: list[Symbol] = []
    for index, event in enumerate(measure.events):
        pieces.extend(_pieces(index, event, meter, offset, tuplets))
    pieces = _beamed(pieces, meter, offset)
    pieces = _stemmed(pieces, middle)
    return NotatedMeasure(measure, tuple(_with_accidentals(pieces, fifths)))


# Values and ties ---------------------------------------------------------------------------


@lru_cache(maxsize=16)
def _levels(meter: Meter) -> tuple[Fraction, ...]:
    """Metric grid from coarse to fine: half measure (where there is one), beat, parts of it."""
    levels: list[Fraction] = []
    beat = meter.beat
    if meter.count == 4 and not meter.compound:
        levels.append(2 * beat)
    levels.append(beat)
    part = beat / 3 if meter.compound else beat / 2
    while part >= _SHORTEST:
        levels.append(part)
        part /= 2
    return tuple(levels)


def _cut(onset: Fraction, end: Fraction, meter: Meter) -> Fraction | None:
    """Where a note from ``onset`` to ``end`` must be divided by a tie, or None.

    A note may hide a line of the metric grid only if it starts on that line's level, or if both
    its ends lie on the next finer level.
    """
    levels = _levels(meter)
    for index, level in enumerate(levels):
        first_inside = (onset // level + 1) * level
        if first_inside >= end:
            continue
        if onset % level == 0:
            return None
        finer = levels[index + 1] if index + 1 < len(levels) else level
        if onset % finer == 0 and end % finer == 0:
            return None
        return first_inside
    return None


def _pieces(
    index: int,
    event: Event,
    meter: Meter,
    offset: Fraction,
    tuplets: Sequence[tuple[Fraction, Fraction]],
) -> list[Symbol]:
    """The tied symbols that an event is written as."""
    spans: list[tuple[Fraction, Fraction, int | None]] = []
    start, end = event.onset + offset, event.onset + event.duration + offset
    for number, (left, right) in enumerate(tuplets):
        if start < right and end > left:
            if start < left:
                spans.append((start, left, None))
            spans.append((max(start, left), min(end, right), number))
            start = min(end, right)
    if start < end:
        spans.append((start, end, None))
    parts: list[tuple[Fraction, Fraction, str, int, int | None]] = []
    for left, right, tuplet in spans:
        factor = Fraction(3, 2) if tuplet is not None else Fraction(1)
        for a, b, value, dots in _divide(left, right, meter, factor):
            parts.append((a, b, value, dots, tuplet))
    symbols = []
    for part, (left, right, value, dots, tuplet) in enumerate(parts):
        heads = tuple(
            Head(note, None, tie_from=part > 0, tie_to=part < len(parts) - 1)
            for note in event.notes
        )
        symbols.append(
            Symbol(index, part, left - offset, right - left, value, dots, heads, tuplet=tuplet)
        )
    return symbols


def _divide(
    start: Fraction, end: Fraction, meter: Meter, factor: Fraction
) -> list[tuple[Fraction, Fraction, str, int]]:
    """Divide a span into values; ``factor`` is how much longer a tuplet's written values are."""
    value = single_value((end - start) * factor)
    cut = None if factor != 1 else _cut(start, end, meter)
    if value is not None and cut is None:
        return [(start, end, *value)]
    if cut is not None:
        return _divide(start, cut, meter, factor) + _divide(cut, end, meter, factor)
    # No bar of the grid divides it but no single value is as long: the longest that fits first.
    for name, length in VALUES:
        for dots, long in ((1, length * Fraction(3, 2)), (0, length)):
            piece = long / factor
            if piece < end - start:
                rest = _divide(start + piece, end, meter, factor)
                return [(start, start + piece, name, dots), *rest]
    # Shorter than any value, or on no grid: drawn as the shortest, its time kept exact.
    return [(start, end, VALUES[-1][0], 0)]


def _tuplet_spans(
    events: Sequence[Event], meter: Meter, offset: Fraction
) -> list[tuple[Fraction, Fraction]]:
    """The spans that hold triplets: from half a beat to four beats long, on the grid.

    A span that starts and ends with notes comes before one that would cut through a note.
    """
    if meter.compound:
        return []
    marks = sorted(
        {e.onset + offset for e in events} | {e.onset + e.duration + offset for e in events}
    )
    spans: list[tuple[Fraction, Fraction]] = []
    for mark in marks:
        if mark.denominator % 3 or (spans and mark < spans[-1][1]):
            continue
        whole = _triplet_around(mark, marks, whole=True)
        if found := whole or _triplet_around(mark, marks, whole=False):
            spans.append(found)
    return spans


def _triplet_around(
    mark: Fraction, marks: Sequence[Fraction], whole: bool
) -> tuple[Fraction, Fraction] | None:
    """The shortest span of thirds around a mark; ``whole``: notes start at both of its ends."""
    for size in (Fraction(1, 4), Fraction(1, 2), Fraction(1), Fraction(2), Fraction(4)):
        left = mark // size * size
        ends = (left, left + size)
        inside = [m for m in marks if left < m < left + size]
        thirds = size / 3 if size < Fraction(1, 2) else size / 12
        if (
            all((m - left) % thirds == 0 for m in inside)
            and all(m.denominator % 3 for m in marks if m in ends)
            and not (whole and any(end not in marks for end in ends))
        ):
            return ends
    return None


# Beams and stems ---------------------------------------------------------------------------


def _beam_spans(
    meter: Meter, symbols: Sequence[Symbol], offset: Fraction
) -> list[tuple[Fraction, int]]:
    """For each symbol the size and number of the span that its beam stays in: a beat; half a
    measure of 4/4 or 2/2 where that half has plain eighths only."""
    if meter.compound:
        size = Fraction(12, meter.unit)
        return [(size, int((s.onset + offset) // size)) for s in symbols]
    halves = [int((s.onset + offset) // 2) for s in symbols]
    mixed = {
        half
        for half, s in zip(halves, symbols, strict=True)
        if (s.value in _FLAGGED and s.value != "eighth") or s.tuplet is not None
    }
    joined = meter.length % 2 == 0 and meter.unit <= 4
    return [
        (Fraction(2), half)
        if joined and half not in mixed
        else (Fraction(1), int(s.onset + offset))
        for half, s in zip(halves, symbols, strict=True)
    ]


def _beamed(symbols: list[Symbol], meter: Meter, offset: Fraction) -> list[Symbol]:
    spans = _beam_spans(meter, symbols, offset)
    groups: list[list[int]] = []
    for index, symbol in enumerate(symbols):
        if symbol.is_rest or symbol.value not in _FLAGGED:
            continue
        if groups:
            last = groups[-1][-1]
            if last == index - 1 and spans[last] == spans[index]:
                groups[-1].append(index)
                continue
        groups.append([index])
    result = list(symbols)
    number = 0
    for group in groups:
        if len(group) < 2:
            continue
        for index in group:
            result[index] = replace(result[index], beam=number)
        number += 1
    return result


# The staff position of the line that a clef names: G4, F3, C4 (common practice).
_CLEFS = {"G": 7 * 4 + 4, "F": 7 * 3 + 3, "C": 7 * 4}


def middle_line(instrument: Instrument) -> int:
    """The staff position that sounds where the middle line of an instrument's staff is."""
    sign, line = instrument.clef
    return _CLEFS[sign] + 2 * (3 - line) - 7 * instrument.octave_written


def _stemmed(symbols: list[Symbol], middle: int) -> list[Symbol]:
    """Stem directions: the note farthest from the middle line decides, for a whole beam at once.

    On the middle line or evenly far, the stem goes down.
    """
    by_beam: dict[object, list[int]] = {}
    for index, symbol in enumerate(symbols):
        key: object = ("alone", index) if symbol.beam is None else symbol.beam
        by_beam.setdefault(key, []).append(index)
    result = list(symbols)
    for indices in by_beam.values():
        places = [
            head.note.pitch.staff_position - middle
            for index in indices
            for head in symbols[index].heads
        ]
        up = bool(places) and -min(places) > max(places)
        for index in indices:
            result[index] = replace(result[index], stem_up=up)
    return result


# Accidentals -------------------------------------------------------------------------------


def signature(fifths: int) -> dict[str, int]:
    """The alteration of each step that a key signature makes."""
    order = _SIGNATURE_ORDER if fifths >= 0 else _SIGNATURE_ORDER[::-1]
    sign = 1 if fifths >= 0 else -1
    return dict.fromkeys(order[: abs(fifths)], sign)


def _with_accidentals(symbols: Sequence[Symbol], fifths: int) -> list[Symbol]:
    """Show an accidental where a pitch differs from the signature or from what was last shown
    for that step and octave in the measure; a tied note shows none."""
    usual = signature(fifths)
    shown: dict[tuple[str, int], int] = {}
    result = []
    for symbol in symbols:
        heads = []
        for head in symbol.heads:
            pitch = head.note.pitch
            place = (pitch.step, pitch.octave)
            current = shown.get(place, usual.get(pitch.step, 0))
            accidental = None
            if pitch.alter != current and not head.tie_from:
                accidental = pitch.alter
                shown[place] = pitch.alter
            heads.append(Head(head.note, accidental, head.tie_from, head.tie_to))
        result.append(replace(symbol, heads=tuple(heads)))
    return result
