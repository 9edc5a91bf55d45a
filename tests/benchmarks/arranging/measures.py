"""What is measured of a version: how far the left hand travels, what becomes of the rolls."""

from __future__ import annotations

import math
from fractions import Fraction

from rollstave import Measure, NoSuchFret, Score

# Common practice, no source: a finger for each of frets 1 to 5 is the widest that hands reach.
# Fret n lies scale * (1 - 2 ** (-n / 12)) from the nut; a scale of 26 1/4 inches.
SCALE = 26.25 * 25.4
WIDEST = SCALE * (math.pow(2, -1 / 12) - math.pow(2, -5 / 12)) + 0.5


def fingers(measure: Measure) -> str:
    """The picking fingers of a measure, event by event."""
    return " ".join(
        "".join(n.finger.value if n.finger else "-" for n in event.notes) or "."
        for event in measure.events
    )


def frets(measure: Measure) -> tuple[object, ...]:
    return tuple(tuple((n.string, n.fret, n.link) for n in event.notes) for event in measure.events)


def travel(score: Score) -> int:
    """Frets that the hand moves: it lies at the lowest fret that it stops, and stays where it is
    for open strings and for what lies within four frets."""
    place, sum_ = 0, 0
    for measure in score.measures:
        for event in measure.events:
            stopped = [n.fret for n in event.notes if n.fret]
            if not stopped:
                continue
            low, high = min(stopped), max(stopped)
            new = place
            if place == 0 or low < place:
                new = low
            elif high > place + 3:
                new = max(high - 3, 1) if low >= high - 3 else low
            sum_ += abs(new - place) if place else 0
            place = new
    return sum_


def repeats(score: Score) -> set[tuple[int, int]]:
    """Where one finger strikes two strings running, an eighth note apart or less, by the letters
    that stand under the tab, written or found for the strings: measure and event."""
    found, before, at, start = set(), ("", 0), Fraction(-9), Fraction(0)
    for measure in score.measures:
        for index, event in enumerate(measure.events):
            struck = [n for n in event.notes if n.finger is not None]
            if len(struck) != 1 or struck[0].finger is None:
                continue
            new = (struck[0].finger.value, struck[0].string)
            soon = start + event.onset - at <= Fraction(1, 2)
            if new[0] == before[0] and new[1] != before[1] and soon:
                found.add((measure.index, index))
            before, at = new, start + event.onset
        start += measure.length
    return found


def broken(old: Score, new: Score) -> int:
    """Measures whose order of fingers changed: the roll is another."""
    pairs = zip(old.measures, new.measures, strict=True)
    return sum(fingers(a) != fingers(b) for a, b in pairs)


def unplayable(score: Score) -> list[str]:
    """What no hand can play: a fret that the neck lacks, a string twice at once, a stretch."""
    found = []
    for measure in score.measures:
        for event in measure.events:
            strings = [n.string for n in event.notes]
            if len(set(strings)) < len(strings):
                found.append(f"{measure.called}: a string twice")
            stopped = [n.fret + score.setup.capo for n in event.notes if n.fret]
            if stopped:
                wide = SCALE * (math.pow(2, -min(stopped) / 12) - math.pow(2, -max(stopped) / 12))
                if wide > WIDEST:
                    found.append(f"{measure.called}: frets {stopped}")
            for note in event.notes:
                try:
                    if note.fret is not None:
                        score.setup.midi(note.string, note.fret, note.half)
                except NoSuchFret as error:
                    found.append(str(error))
    return found


# Common practice: of a fixed hand the thumb has strings 3 to 5, the index 2, the middle 1.
OWN = {"T": (3, 4, 5), "I": (2,), "M": (1,)}


def crossings(score: Score) -> int:
    """Strokes whose finger takes a string that belongs to another."""
    return sum(
        n.finger is not None and n.string not in OWN[n.finger.value]
        for m in score.measures
        for e in m.events
        for n in e.notes
    )
