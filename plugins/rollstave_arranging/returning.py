"""The way back: a tune that was retuned says what tuning it came from, and finds its places there.

A place is likely the more, the more usual it is by itself (low, its finger at home on the string),
and the nearer the way there would have led to where the note lies now: what the way there costs is
what the way back costs. A note that had to go to another octave goes back, since the words of the
tune say which; and where two places became one, so that the likelier would be the wrong one, the
words say on which string the note lay.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from itertools import groupby, pairwise

from msgspec import Struct
from msgspec.structs import replace

from rollstave import Finger, Note, Pitch, Score, Setup
from rollstave_arranging.fingering import (
    LEFT_OUT,
    Grip,
    Wanted,
    Way,
    at_home,
    by_itself,
    shifting,
    taking,
    way,
)
from rollstave_arranging.flow import At, Moment, NoteAt
from rollstave_arranging.joined import frets_on, ways_of
from rollstave_arranging.neck import WIDEST, Spot, reach_of, short_of, spots_of

_SAYS = re.compile(r", at the same pitches( but for .*)?, from ([^\s,]+)(, where .*)?$")
_OCTAVE = re.compile(r"(\S+) an octave (up|down) \(([^)]*)\)")
_LAY = re.compile(r"(\S+) lay on strings? ([\d, ]+) \(([^)]*)\)")
_BASS = 3  # from this string on the thumb is at home
_SOON = Fraction(1, 2)  # quarter notes
_RANK = {finger: rank for rank, finger in enumerate(Finger)}  # from the lower strings up
_PICKUP = "pickup"
_OCTAVE_BACK = -1.0  # the words say that there is one, so a note that may be it is likely to be
_BROUGHT = -math.inf  # what is brought back already comes first
# The share of what a finger takes that speaks against a place; where a chord, or the finger that
# had just struck, says why it is on another string than its own, and where its chord would cross.
_FINGER, _EXPLAINED, _CROSSED = 0.6, 0.2, 1.0
_OPEN_HIGH = 0.8  # an open string in a measure that is held up the neck
_HIGH = 5  # the lowest fret of such a measure

Moved = tuple[int, int, int]  # number of a measure, MIDI number, octaves that it was moved up
# On which strings the notes of a pitch lay, in order (one string: all of them), by the number of a
# measure and the MIDI number that they have here.
Lay = Mapping[tuple[int, int], tuple[int, ...]]


class Origin(Struct, frozen=True):
    """What a tune says of its way here: the tuning that it came from, what was moved, and where
    notes lay."""

    tuning: str
    moved: frozenset[Moved]
    lay: Lay


def says(
    where: str,
    moved: Sequence[tuple[int, Pitch, int]],
    old: Setup,
    lay: Sequence[tuple[int, Pitch, tuple[int, ...]]] = (),
) -> str:
    """The words of a tune that was retuned: from what tuning, what is an octave away, and on which
    strings notes lay (number of the measure, pitch, strings) that would not be looked for there."""
    kinds: dict[tuple[str, int], list[int]] = {}
    for number, pitch, octave in moved:
        kinds.setdefault((str(pitch), octave), []).append(number)
    but = _listed(
        f"{pitch} an octave {'up' if octave > 0 else 'down'} ({_runs(numbers)})"
        for (pitch, octave), numbers in kinds.items()
    )
    but = f" but for {but}" if but else ""
    places: dict[tuple[str, tuple[int, ...]], list[int]] = {}
    for number, pitch, strings in lay:
        places.setdefault((str(pitch), strings), []).append(number)
    lain = _listed(
        f"{pitch} lay on string{'s' if len(strings) > 1 else ''} {', '.join(map(str, strings))} "
        f"({_runs(numbers)})"
        for (pitch, strings), numbers in places.items()
    )
    lain = f", where {lain}" if lain else ""
    return f"in {where}, at the same pitches{but}, from {old.tuning.written}{lain}"


def origin_of(score: Score) -> Origin | None:
    """Where a tune says that it was retuned from, by the last of the words that say what it is."""
    found = _SAYS.search(score.notes[0]) if score.notes else None
    if found is None:
        return None
    moved = {
        (number, Pitch.parse(pitch).midi, 1 if way_ == "up" else -1)
        for pitch, way_, numbers in _OCTAVE.findall(found[1] or "")
        for number in _numbers(numbers)
    }
    lay = {
        (number, Pitch.parse(pitch).midi): tuple(map(int, re.findall(r"\d+", strings)))
        for pitch, strings, numbers in _LAY.findall(found[3] or "")
        for number in _numbers(numbers)
    }
    return Origin(tuning=found[2], moved=frozenset(moved), lay=lay)


def _listed(parts: Iterable[str]) -> str:
    """``A, B and C``."""
    *others, last = [*parts] or [""]
    return f"{', '.join(others)} and {last}" if others else last


def _runs(numbers: Iterable[int]) -> str:
    """Numbers of measures as people write them: ``measures 1, 3-5``."""
    every = sorted(set(numbers))
    parts = []
    for _, group in groupby(enumerate(every), key=lambda pair: pair[1] - pair[0]):
        run = [number for _, number in group]
        parts += [str(run[0])] if len(run) == 1 else [f"{run[0]}-{run[-1]}"]
    parts = [_PICKUP if part == "0" else part for part in parts]
    if every == [0]:
        return _PICKUP
    return f"{'measure' if len(every) == 1 else 'measures'} {', '.join(parts)}"


def _numbers(words: str) -> set[int]:
    found = {0} if _PICKUP in words else set()
    for first, last in re.findall(r"(\d+)(?:-(\d+))?", words):
        found |= set(range(int(first), int(last or first) + 1))
    return found


class WayBack:
    """The places that notes may have come from, in the setup that they go back to."""

    def __init__(self, score: Score, home: Setup, origin: Origin, struck: Sequence[Moment]) -> None:
        self.now, self.home, self.moved = score.setup, home, origin.moved
        self.short = short_of(home)
        self.beside = {m.at: m.event.notes for m in struck}
        self.before = {
            after.at: before.event.notes
            for before, after in pairwise(struck)
            if after.start - before.start <= _SOON
        }
        self.hands = _hands(struck)
        self.numbers = [m.number for m in score.measures]
        self.lay = self._said(origin.lay, struck)
        notes = [(m.at[0], n) for m in struck for n in m.event.notes]
        # Where a note has come to another string, its letter is written if it is not at home.
        self.untouched = {
            at
            for at, n in notes
            if n.finger is not None and n.inferred_finger and not at_home(n.finger, n.string)
        }
        self.stopped: dict[int, set[tuple[int, int]]] = {}
        for at, n in notes:
            if n.fret:
                self.stopped.setdefault(at, set()).add((n.string, n.fret))

    def turned(self, string: int) -> int:
        """Semitones that a string is higher now than where the tune goes back to."""
        return self.now.open_midi(string) - self.home.open_midi(string)

    def ways(self, at: NoteAt, note: Note, string: int | None) -> list[Way]:
        """The places that a note may have come from, on one string if it is joined to others."""
        found = []
        lay = self.lay.get(at)
        for octave in self._octaves(at, note):
            midi = note.pitch.midi - 12 * octave
            for spot in spots_of(midi, self.home):
                if string not in (None, spot[0]):
                    continue
                if lay is not None:
                    if spot[0] == lay:
                        cost = by_itself(spot) + _OCTAVE_BACK * abs(octave)
                        found.append(Way(spot, cost))
                    continue
                if spot[0] == self.short and note.string != self.short:
                    continue
                if spot[0] != note.string and at[0] in self.untouched:
                    continue
                odd = self._odd(at, note, spot, octave)
                if odd is None:
                    continue
                cost = odd + self._usual(at, note, spot) + _OCTAVE_BACK * abs(octave)
                if not spot[1] and note.fret and self._held_high(at, note):
                    cost += _OPEN_HIGH
                found.append(Way(spot, cost))
        return found

    def _said(self, lay: Lay, struck: Sequence[Moment]) -> dict[NoteAt, int]:
        """The strings on which the words say that notes lay, note by note."""
        found: dict[NoteAt, int] = {}
        counted: Counter[tuple[int, int]] = Counter()
        for moment in struck:
            for index, note in enumerate(moment.event.notes):
                key = (self.numbers[moment.at[0]], note.pitch.midi)
                strings = lay.get(key, ())
                if strings:
                    place = counted[key] if len(strings) > 1 else 0
                    counted[key] += 1
                    if place < len(strings):
                        found[*moment.at, index] = strings[place]
        return found

    def _octaves(self, at: NoteAt, note: Note) -> list[int]:
        number = self.numbers[at[0]]
        return [
            octave
            for octave in (0, 1, -1)
            if not octave or (number, note.pitch.midi - 12 * octave, octave) in self.moved
        ]

    def _odd(self, at: NoteAt, note: Note, spot: Spot, octave: int) -> float | None:
        """How much dearer the way from a place to where the note lies is than the cheapest from
        there; None where there is no way, since a note stays on a string that stays."""
        here = (note.string, note.fret or 0, note.half)
        if not self.turned(spot[0]):
            return 0.0 if spot == here else None
        midi = note.pitch.midi - 12 * octave
        able = [s for s in spots_of(midi, self.now) if s[0] != self.short or s == here]
        if octave:
            return None if able else 0.0
        if here not in able:
            return None
        others = [n for n in self.beside[at[:2]] if n is not note]
        taken = {n.string for n in others}
        stopped = [n.fret for n in others if n.fret]
        costs = {
            s: self._there(s, spot, note.finger) + 0.5 * shifting(s[1], self.hands[at[:2]])
            for s in able
            if s == here
            or (s[0] not in taken and reach_of([*stopped, s[1]], self.now.capo) <= WIDEST)
        }
        return max(0.0, costs[here] - min(costs.values()))

    def _usual(self, at: NoteAt, note: Note, spot: Spot) -> float:
        """How unusual it is that a note lay at a place, struck by its finger."""
        others = [n for n in self.beside[at[:2]] if n is not note and n.finger and note.finger]
        before = self.before.get(at[:2], ())
        share = _FINGER
        if others:
            crossed = any(
                _crossed(n, spot[0], note) and not _crossed(n, note.string, note) for n in others
            )
            share = _CROSSED if crossed else _EXPLAINED
        elif (
            note.finger is not Finger.THUMB
            and spot[0] < _BASS
            and any(
                n.finger and at_home(n.finger, spot[0]) and n.pitch.midi != note.pitch.midi
                for n in before
            )
        ):
            share = _EXPLAINED
        return by_itself(spot) + share * taking(note.finger, spot[0])

    def _there(self, spot: Spot, home: Spot, finger: Finger | None) -> float:
        return way(spot, was=home[0], finger=finger, found=True, short=self.short).cost

    def _held_high(self, at: NoteAt, note: Note) -> bool:
        others = [
            (fret, fret + self.turned(string))
            for string, fret in self.stopped.get(at[0], ())
            if (string, fret) != (note.string, note.fret)
        ]
        return len(others) > 1 and all(now > 1 and then >= _HIGH for now, then in others)

    def told(
        self, struck: Sequence[Moment], wanted: Sequence[Wanted], grips: Sequence[Grip]
    ) -> list[Wanted] | None:
        """The events with the notes brought back that the words name and a path did not; None
        where it brought one back for all of them."""
        candidates: dict[Moved, list[tuple[float, int, int]]] = {}
        for place, moment in enumerate(struck):
            number = self.numbers[moment.at[0]]
            for index, note in enumerate(moment.event.notes):
                for octave in (1, -1):
                    midi = note.pitch.midi - 12 * octave
                    back = self._sounding(wanted[place].notes[index], midi)
                    if not back or (number, midi, octave) not in self.moved:
                        continue
                    chosen = grips[place][index]
                    more = min(w.cost for w in back) - chosen.cost
                    more = _BROUGHT if self._sounding((chosen,), midi) else more
                    candidates.setdefault((number, midi, octave), []).append((more, place, index))
        found = list(wanted)
        for (_, midi, _), notes in candidates.items():
            more, place, index = min(notes)
            if more != _BROUGHT:
                rows = list(found[place].notes)
                rows[index] = (*self._sounding(rows[index], midi), LEFT_OUT)
                found[place] = replace(found[place], notes=tuple(rows))
        return found if found != list(wanted) else None

    def _sounding(self, ways: Iterable[Way], midi: int) -> list[Way]:
        return [w for w in ways if w.spot is not None and self.home.midi(*w.spot) == midi]

    def joined(self, at: NoteAt, notes: Sequence[Note]) -> int | None:
        """The string that joined notes came from; None where no one string has them."""
        first = notes[0]
        targets = [n.pitch.midi for n in notes]
        found = []
        lay = self.lay.get(at)
        if lay is not None and frets_on(lay, notes, targets, self.home) is not None:
            return lay
        for string in range(1, self.home.instrument.strings + 1):
            frets = frets_on(string, notes, targets, self.home)
            if frets is None or (string != first.string and at[0] in self.untouched):
                continue
            if not self.turned(string):
                if string != first.string:
                    continue
                odd = 0.0
            else:
                costs = ways_of(notes, targets, self.now, was=string, finger=first.finger)
                here = [cost for cost, s in costs if s == first.string]
                if not here:
                    continue
                odd = here[0] - min(costs)[0]
            high = 0 in frets and self._held_high(at, first)
            more = 0.1 * sum(frets) + self._usual(at, first, (string, frets[0], False))
            found.append((odd + more + _OPEN_HIGH * high, string))
        return min(found)[1] if found else None


def _crossed(other: Note, string: int, note: Note) -> bool:
    """True where the fingers of a chord would cross, were a note of it on this string."""
    if other.finger is None or note.finger is None:
        return False
    return (other.string - string) * (_RANK[other.finger] - _RANK[note.finger]) > 0


def _hands(struck: Sequence[Moment]) -> dict[At, tuple[int, ...]]:
    """The frets that are stopped just before and just after each event, in its measure."""
    stopped = [tuple(n.fret for n in m.event.notes if n.fret) for m in struck]
    found: dict[At, tuple[int, ...]] = {}
    for index, moment in enumerate(struck):
        before = next((stopped[i] for i in range(index - 1, -1, -1) if stopped[i]), ())
        after = next((stopped[i] for i in range(index + 1, len(struck)) if stopped[i]), ())
        found[moment.at] = before or after
    return found
