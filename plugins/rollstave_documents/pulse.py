"""The pulse that the notes of a system keep to, as well as a typist's eye can put them with dashes.

A roll that was typed evenly stands at even places; a dash more or less, and the width of the
figures, blur that. Places are added up as hands of a clock that turns once in a pulse: where they
point the same way, they keep to it. Lengths are points.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Sequence
from statistics import median

from msgspec import Struct

from rollstave_documents.layout import PageLine
from rollstave_documents.stops import Stop, dash_of, row_of_line, stops_of

# Pulses that are tried, from and up to so many dashes, each so much longer than the last; and how
# well the notes of a system have to keep to one (1: to the point), or to that of their neighbours,
# and how far a note that does may
# stand from it, in pulses.
_SHORTEST, _LONGEST, _STEP = 1.3, 9.0, 1.01
_KEPT, _KEPT_TO_USUAL, _NEAR = 0.7, 0.5, 0.35


class Pulse(Struct, frozen=True):
    """What the notes of a system keep to: its length, and the room before the first and after the
    last of a measure."""

    length: float
    lead: float
    tail: float


class _Measure(Struct):
    """What stands between two bar lines, of which either may be missing."""

    left: float
    notes: list[Stop]
    others: list[Stop]
    bar: Stop | None = None


def pulse_of(lines: Sequence[PageLine]) -> Pulse | None:
    """The pulse that the notes of a system keep to, if one is seen."""
    of_rows = [line for line in lines if line.is_row]
    dash = dash_of(of_rows)
    rows = [row_of_line(line) for line in of_rows]
    measures = _measures(stops_of(rows, dash), min(row.start for row in rows))
    pulse, kept = 0.0, _KEPT
    tried = _SHORTEST * dash
    while tried < _LONGEST * dash:
        found = _kept_to(measures, tried)
        if found > kept:
            pulse, kept = tried, found
        tried *= _STEP
    return _with_room(measures, pulse) if pulse else None


def usual_of(pulses: Sequence[Pulse | None]) -> Pulse | None:
    """What the systems of a page keep to on the whole."""
    found = [pulse for pulse in pulses if pulse is not None]
    if not found:
        return None
    return Pulse(
        length=median(p.length for p in found),
        lead=median(p.lead for p in found),
        tail=median(p.tail for p in found),
    )


def in_pulse(
    stops: Sequence[Stop], start: float, dash: float, own: Pulse | None, usual: Pulse | None
) -> float:
    """The width of a column. Where the notes keep to the pulse, as well as an eye can put them
    with dashes, that is a whole number of columns, and they are moved on to it."""
    measures = _measures(stops, start)
    for stop in stops:
        stop.meant = stop.x
    pulse = (own or usual or Pulse(0.0, 0.0, 0.0)).length
    if usual is None or _kept_to(measures, pulse) < _KEPT_TO_USUAL:
        return dash
    unit = pulse / max(2, round(pulse / dash))
    _move(measures, pulse, unit, usual)
    return unit


def _with_room(measures: Sequence[_Measure], pulse: float) -> Pulse:
    pairs = [(m, _phase([n.x for n in m.notes], pulse)) for m in measures if len(m.notes) > 1]
    return Pulse(
        length=pulse,
        lead=_room([phase - m.left for m, phase in pairs], pulse),
        tail=_room([m.bar.x - phase for m, phase in pairs if m.bar], pulse),
    )


def _kept_to(measures: Sequence[_Measure], pulse: float) -> float:
    """How well notes keep to a pulse, each measure by itself: from 0, or too few notes, to 1."""
    enough = [m for m in measures if len(m.notes) > 2]
    count = sum(len(m.notes) for m in enough)
    if count < 6:
        return 0.0
    return sum(abs(_turned([n.x for n in m.notes], pulse)) for m in enough) / count


def _measures(stops: Sequence[Stop], start: float) -> list[_Measure]:
    found = [_Measure(start, [], [])]
    for stop in stops:
        if stop.bar:
            found[-1].bar = stop
            wide = sum(a.end - a.x for a in stop.atoms) / len(stop.atoms)
            thin = sum((a.end - a.x) / len(a.text) for a in stop.atoms) / len(stop.atoms)
            found.append(_Measure(stop.x + wide - thin, [], []))
        else:
            (found[-1].notes if stop.is_note else found[-1].others).append(stop)
    return found


def _turned(places: Sequence[float], pulse: float) -> complex:
    """The sum of places as hands of a clock that turns once in a pulse."""
    return sum((cmath.exp(2j * math.pi * place / pulse) for place in places), 0j)


def _phase(places: Sequence[float], pulse: float) -> float:
    """Where in a pulse places are on the whole, from half a pulse before it to half after."""
    return cmath.phase(_turned(places, pulse)) / (2 * math.pi) * pulse


def _room(places: Sequence[float], pulse: float) -> float:
    """How far it is from a bar line to a pulse: more than nothing, and not much over a pulse."""
    room = _phase(places, pulse) % pulse
    return room if room >= 0.2 * pulse else room + pulse


def _move(measures: Sequence[_Measure], pulse: float, unit: float, usual: Pulse) -> None:
    """Put notes that stand near the pulse of their measure on it. Before the first pulse, and after
    the last, all measures get the room that they have on the whole."""
    lead, tail = usual.lead, usual.tail
    phases = [_phase([n.x for n in m.notes], pulse) for m in measures]
    lead_columns, tail_columns = max(1, round(lead / unit)), max(1, round(tail / unit))
    left = measures[0].left
    for measure, phase in zip(measures, phases, strict=True):
        if len(measure.notes) < 2:
            phase = measure.left + lead
        first = phase + round((measure.left + lead - phase) / pulse) * pulse
        begins = left + lead_columns * unit
        beats = [round((note.x - first) / pulse) for note in measure.notes]
        for note, beat in zip(measure.notes, beats, strict=True):
            off = note.x - first - beat * pulse
            on = beats.count(beat) == 1 and abs(off) <= _NEAR * pulse
            note.meant = begins + beat * pulse + (0.0 if on else off)
        for other in measure.others:
            other.meant = begins + other.x - first
        if measure.bar is None:
            return
        pulses = max(0, round((measure.bar.x - measure.left - lead - tail) / pulse))
        whole = measure.bar.x - measure.left
        if measure.notes or whole > 1.5 * pulse:
            measure.bar.meant = begins + pulses * pulse + tail_columns * unit
        else:  # bar lines side by side
            measure.bar.meant = left + whole
        more = max(len(atom.text) for atom in measure.bar.atoms) - 1
        left = measure.bar.meant + more * unit
