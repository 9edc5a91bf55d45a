"""The melody of a tune: which notes carry it, and which are drone and filling.

Each note is weighed by itself: where it stands in the measure, its string and finger, whether it
is stopped, how long it lasts, what stands beside it, and how much of the drone is about; then once
more by what the tune does at its place (``slots.py``) and by its distance from the notes around it
that are melody already. In a roll the chord has the same notes as the tune, so a measure where the
chances say that something is likely to be wrong is doubtful. The weights, in
``data/melody.json``, are fitted (``python -m tests.benchmarks.arranging.fit_melody``) on
arrangements whose melody is known.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from fractions import Fraction
from functools import cache
from itertools import pairwise
from pathlib import Path

from msgspec import Struct, json

from rollstave import Note, Score
from rollstave_arranging.flow import Moment, NoteAt, moments
from rollstave_arranging.neck import short_of
from rollstave_arranging.rolling import Rolls, in_rolls
from rollstave_arranging.slots import Habits, slot_rows

_ENOUGH = 0.4  # a note that is likelier than this is taken; tried on the tunes of the fit
# And where a measure is doubtful, off the beat of a roll, and beside notes that have syllables.
_DOUBTED, _UNSUNG = 0.6, 0.8
_BEGUN = 0.2  # and of a slur whose end is taken the note on the beat that it begins with
# The share of the notes taken in a measure that may be none, and that may be missed beside them,
# before it is doubtful.
_WRONG, _MISSED = 0.05, 0.1
_LIKELY = 0.5  # a neighbour of the melody is likelier than this
_NEAR = 8  # events to either side in which neighbours of the melody are looked for


WEIGHTS = Path(__file__).with_name("data") / "melody.json"


class Weights(Struct, frozen=True):
    """What each feature counts: of a note by itself, and once more beside those around it."""

    first: tuple[float, ...]
    second: tuple[float, ...]


@cache
def _weights() -> Weights:
    return json.decode(WEIGHTS.read_bytes(), type=Weights)


class Melody(Struct, frozen=True):
    """The notes of the melody, at most one of each event, and the indices of the measures in which
    it cannot be told surely from the filling."""

    notes: frozenset[NoteAt]
    doubtful: frozenset[int]


def melody_of(score: Score, weights: Weights | None = None) -> Melody:
    """The melody of a tune; by other weights than the plugin's, to try them. What has a syllable
    under it is sung, so it is melody."""
    weights = weights or _weights()
    struck = list(moments(score))
    plain = features(score, struck)
    first = [[sigmoid(row, weights.first) for row in rows] for rows in plain]
    rolling = in_rolls(struck)
    sung = {m.at[0] for m in struck if m.event.sung}
    likeliest: dict[int, list[tuple[float, float, NoteAt]]] = {}
    for moment, rows in zip(struck, again(score, struck, plain, first), strict=True):
        chances = [sigmoid(row, weights.second) for row in rows]
        best = max(range(len(chances)), key=chances.__getitem__)
        if moment.event.sung:
            chances[best], enough = 1.0, _ENOUGH
        elif moment.at[0] in sung:
            enough = _UNSUNG
        else:
            filling = moment.at in rolling and moment.beat % score.meter.beat != 0
            enough = _DOUBTED if filling else _ENOUGH
        of_measure = likeliest.setdefault(moment.at[0], [])
        of_measure.append((chances[best], enough, (*moment.at, best)))
    found: set[NoteAt] = set()
    doubtful = set()
    for measure, notes in likeliest.items():
        if _is_doubtful([chance for chance, _, _ in notes]):
            doubtful.add(measure)
        for chance, enough, at in notes:
            if chance > (enough if measure in doubtful else _ENOUGH):
                found.add(at)
    chance_of = {at: chance for notes in likeliest.values() for chance, _, at in notes}
    found |= _begun(struck, score.meter.beat, found, chance_of)
    return Melody(notes=frozenset(found), doubtful=frozenset(doubtful))


def _begun(
    struck: Sequence[Moment],
    beat: Fraction,
    found: set[NoteAt],
    chance_of: Mapping[NoteAt, float],
) -> set[NoteAt]:
    """The notes on a beat from which the left hand goes on, off it, to a note of the melody: what
    is struck is of the tune as well, unless it is far from likely (common practice, no source)."""
    more = set()
    for before, after in pairwise(struck):
        if before.at[0] != after.at[0] or before.beat % beat or not after.beat % beat:
            continue
        goes_on = {
            note.string
            for index, note in enumerate(after.event.notes)
            if note.link is not None and (*after.at, index) in found
        }
        for index, note in enumerate(before.event.notes):
            at = (*before.at, index)
            if note.string in goes_on and chance_of.get(at, 0.0) > _BEGUN:
                more.add(at)
    return more


def _is_doubtful(chances: Sequence[float]) -> bool:
    """True where of the likeliest notes of a measure's events too many may be wrong."""
    taken = [chance for chance in chances if chance > _ENOUGH]
    wrong = sum(1.0 - chance for chance in taken)
    missed = sum(chances) - sum(taken)
    return not taken or wrong > _WRONG * len(taken) or missed > _MISSED * len(taken)


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
    slots = slot_rows(struck, rolls.rolling, short, beat)
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
        for note, slot in zip(moment.event.notes, slots[index], strict=True):
            fill = (moment.at[0], note.string) in fills
            row = _row(moment, note, beside, fill)
            shaped = _shape(moment, note, held, whole, beat)
            rows.append((*row, *shaped, *rolls.row(moment, note, beat), *slot))
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
    score: Score,
    struck: Sequence[Moment],
    rows: Sequence[Sequence[tuple[float, ...]]],
    first: Sequence[Sequence[float]],
) -> list[list[tuple[float, ...]]]:
    """The rows once more, with what the tune is likely to do at the place of each note, and how far
    the note lies from the likeliest ones around it."""
    short, beat = short_of(score.setup), score.meter.beat
    habits = Habits(struck, first, in_rolls(struck), short, beat)
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
            usual = habits.row(moment, note, chance)
            leaps = (*_leap(note, before), *_leap(note, after))
            new.append((*row, chance, best, *usual, *leaps))
        found.append(new)
    return found


def _neighbour(sure: Sequence[tuple[float, int]], places: range) -> tuple[int, int] | None:
    """The nearest likely note of the melody: its pitch, and how many events away."""
    for away, place in enumerate(places, start=1):
        if 0 <= place < len(sure) and sure[place][0] > _LIKELY:
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
