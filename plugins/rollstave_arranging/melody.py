"""The melody of a tune: which notes carry it, and which are drone and filling.

Each note is weighed by itself: where it stands in the measure, its string and finger, whether it
is stopped, how long it lasts, what stands beside it, and how much of the drone is about; then once
more by its distance from the notes around it that are melody already. The weights, in
``data/melody.json``, are fitted (``python -m tests.benchmarks.arranging.fit_melody``) on
arrangements whose melody is known.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction
from functools import cache
from pathlib import Path

from msgspec import Struct, json

from rollstave import Note, Score
from rollstave_arranging.flow import Moment, NoteAt, moments
from rollstave_arranging.neck import short_of
from rollstave_arranging.rolling import Rolls

_ENOUGH = 0.4  # a note that is likelier than this is taken; tried on the tunes of the fit
_NEAR = 8  # events to either side in which neighbours of the melody are looked for


WEIGHTS = Path(__file__).with_name("data") / "melody.json"


class Weights(Struct, frozen=True):
    """What each feature counts: of a note by itself, and once more beside those around it."""

    first: tuple[float, ...]
    second: tuple[float, ...]


@cache
def _weights() -> Weights:
    return json.decode(WEIGHTS.read_bytes(), type=Weights)


def melody_of(score: Score, weights: Weights | None = None) -> frozenset[NoteAt]:
    """The notes of the melody, at most one of each event; by other weights than the plugin's, to
    try them."""
    weights = weights or _weights()
    struck = list(moments(score))
    plain = features(score, struck)
    first = [[sigmoid(row, weights.first) for row in rows] for rows in plain]
    second = again(struck, plain, first)
    found = set()
    for moment, rows in zip(struck, second, strict=True):
        sure = [sigmoid(row, weights.second) for row in rows]
        best = max(range(len(sure)), key=sure.__getitem__)
        if sure[best] > _ENOUGH:
            found.add((*moment.at, best))
    return frozenset(found)


def sigmoid(row: Sequence[float], weights: Sequence[float]) -> float:
    """The probability that weights give to a row of features."""
    total = sum(a * b for a, b in zip(row, weights, strict=True))
    return 1.0 / (1.0 + math.exp(-max(-30.0, min(30.0, total))))


def features(score: Score, struck: Sequence[Moment]) -> list[list[tuple[float, ...]]]:
    """For each note of each event what speaks for it."""
    short = short_of(score.setup)
    beat = score.meter.beat
    drone = [any(n.string == short and n.fret == 0 for n in m.event.notes) for m in struck]
    about = _share(struck, drone)
    whole = sum(drone) / max(1, len(drone))
    fills = _fills(struck, beat)
    held = _held(struck)
    rolls = Rolls.of(struck, short, beat)
    found = []
    for index, moment in enumerate(struck):
        beside = _About(
            short=short,
            beat=beat,
            around=about[index],
            whole=whole,
            near=_around(struck, drone, index),
        )
        rows = []
        for note in moment.event.notes:
            fill = (moment.at[0], note.string) in fills
            row = _row(moment, note, beside, fill)
            shaped = _shape(moment, note, held, whole, beat)
            rows.append((*row, *shaped, *rolls.row(moment, note, beat)))
        found.append(rows)
    return found


def _share(struck: Sequence[Moment], drone: Sequence[bool]) -> list[float]:
    """How much of the events around each are drone."""
    found = []
    for index in range(len(struck)):
        part = drone[max(0, index - 4) : index + 5]
        found.append(sum(part) / len(part))
    return found


def _fills(struck: Sequence[Moment], beat: Fraction) -> set[tuple[int, int]]:
    """Strings of a measure that are struck at least twice, always open and never on a beat."""
    strokes: dict[tuple[int, int], list[bool]] = {}
    for moment in struck:
        for note in moment.event.notes:
            plain = note.fret == 0 and moment.beat % beat != 0
            strokes.setdefault((moment.at[0], note.string), []).append(plain)
    return {key for key, plain in strokes.items() if len(plain) > 1 and all(plain)}


def _held(struck: Sequence[Moment]) -> dict[tuple[int, int], list[int | None]]:
    """The frets of each string in each measure, in order; of string 0 those of the thumb's bass."""
    found: dict[tuple[int, int], list[int | None]] = {}
    for moment in struck:
        for note in moment.event.notes:
            found.setdefault((moment.at[0], note.string), []).append(note.fret)
            if note.string in (3, 4):
                found.setdefault((moment.at[0], 0), []).append(note.fret)
    return found


def _shape(
    moment: Moment,
    note: Note,
    held: dict[tuple[int, int], list[int | None]],
    whole: float,
    beat: Fraction,
) -> tuple[float, ...]:
    """Whether a note may be one of a shape that is held while another string has the tune."""
    here = held[moment.at[0], note.string]
    bass = float((moment.at[0], 0) in held)
    same = float(len(here) > 1 and len(set(here)) == 1)
    moves = float(len(set(here)) > 1)
    high = float(note.string <= 2)
    off = float(moment.beat % beat != 0)
    stopped = float(bool(note.fret))
    drone = float(whole > 0.08)
    return (
        same,
        same * high * bass,
        same * high * bass * off,
        same * high * bass * off * drone,
        moves * high * bass,
        stopped * high * bass * drone,
        stopped * high * bass * drone * off,
        high * bass * drone * off,
        stopped * drone * whole,
        drone,
        stopped * off * drone,
        float(len(held.get((moment.at[0], 0), ()))) / 4.0 * high * drone,
    )


def _around(struck: Sequence[Moment], drone: Sequence[bool], index: int) -> tuple[float, ...]:
    """What the events before and after are: drone, one stopped note, several notes."""
    found: list[float] = []
    for other in (index - 2, index - 1, index + 1, index + 2):
        there = 0 <= other < len(struck)
        notes = struck[other].event.notes if there else ()
        found += [
            float(there and drone[other] and len(notes) == 1),
            float(any(n.fret for n in notes)),
            float(len(notes) > 1),
            float(bool(notes) and any(n.link is not None for n in notes)),
        ]
    return tuple(found)


class _About(Struct, frozen=True):
    """What is the same for all notes of an event: the short string, the beat, how much of the
    events around and of the whole tune is drone, and what stands beside it."""

    short: int | None
    beat: Fraction
    around: float
    whole: float
    near: tuple[float, ...]


def _row(moment: Moment, note: Note, about: _About, fill: bool) -> tuple[float, ...]:
    notes = moment.event.notes
    long = [n for n in notes if n.string != about.short]
    on_beat = float(moment.beat % about.beat == 0)
    is_open = float(note.fret == 0)
    is_short = float(note.string == about.short)
    alone = float(len(notes) == 1)
    high = float(note.string <= 2 and not is_short)
    duration = float(min(moment.event.duration / about.beat, Fraction(2)))
    thumb = float(note.finger is not None and note.finger.value == "T" and not is_short)
    return (
        1.0,
        is_short * is_open,
        is_short * (1.0 - is_open),
        1.0 - is_open,
        *(float(note.string == number) for number in (1, 2, 3, 4)),
        on_beat,
        float(moment.beat % (about.beat / 2) == 0),
        float(moment.beat == 0),
        float(note.link is not None),
        alone,
        float(len(notes) > 2),
        float(bool(long) and note is max(long, key=lambda n: n.pitch.midi)),
        float(bool(long) and note is min(long, key=lambda n: n.pitch.midi)),
        float(any(n.fret for n in notes if n is not note)),
        duration,
        float(fill),
        thumb,
        thumb * on_beat,
        thumb * about.around,
        float(moment.event.brush),
        duration * is_open * high,
        *_drone_row(about, is_open=is_open, high=high, on_beat=on_beat, alone=alone),
        (1.0 - is_open) * (1.0 - alone),
        is_open * (1.0 - alone) * float(any(n.fret for n in notes if n is not note)),
        *about.near,
        *(is_open * high * value for value in about.near),
    )


def _drone_row(
    about: _About, *, is_open: float, high: float, on_beat: float, alone: float
) -> tuple[float, ...]:
    """What an open string is worth beside the drone."""
    after, before = about.near[4], about.near[8]
    return (
        about.around,
        about.whole,
        about.around * is_open,
        about.around * is_open * high,
        about.around * on_beat,
        about.whole * is_open * high,
        about.whole * on_beat,
        is_open * on_beat,
        is_open * high * on_beat,
        is_open * high * alone * before,
        is_open * high * alone * before * on_beat,
        is_open * high * alone * after,
        is_open * high * alone * after * on_beat,
        is_open * (1.0 - alone),
    )


def again(
    struck: Sequence[Moment],
    rows: Sequence[Sequence[tuple[float, ...]]],
    first: Sequence[Sequence[float]],
) -> list[list[tuple[float, ...]]]:
    """The rows once more, with how far each note lies from the likeliest notes around it."""
    sure: list[tuple[float, int]] = []
    for moment, chances in zip(struck, first, strict=True):
        likeliest = max(range(len(chances)), key=chances.__getitem__)
        sure.append((chances[likeliest], moment.event.notes[likeliest].pitch.midi))
    found = []
    for index, (moment, plain, chances) in enumerate(zip(struck, rows, first, strict=True)):
        before = _neighbour(sure, range(index - 1, index - 1 - _NEAR, -1))
        after = _neighbour(sure, range(index + 1, index + 1 + _NEAR))
        new = []
        for note, row, chance in zip(moment.event.notes, plain, chances, strict=True):
            best = max((c for c in chances if c is not chance), default=0.0)
            new.append((*row, chance, best, *_leap(note, before), *_leap(note, after)))
        found.append(new)
    return found


def _neighbour(sure: Sequence[tuple[float, int]], places: range) -> tuple[int, int] | None:
    """The nearest likely note of the melody: its pitch, and how many events away."""
    for away, place in enumerate(places, start=1):
        if 0 <= place < len(sure) and sure[place][0] > 0.6:
            return sure[place][1], away
    return None


def _leap(note: Note, other: tuple[int, int] | None) -> tuple[float, ...]:
    if other is None:
        return (1.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    midi, away = other
    leap = abs(note.pitch.midi - midi)
    return (
        0.0,
        float(leap == 0),
        float(leap in (1, 2)),
        float(leap in (3, 4, 5)),
        float(leap > 7),
        float(away == 1),
        float(away > 2),
    )
