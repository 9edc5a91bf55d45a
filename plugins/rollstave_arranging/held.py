"""The notes of a span as they lie in a closed shape: the right hand's strokes stay as they are.

A note of the melody keeps its pitch, or goes up an octave with the hand, on a string that the
same finger strikes; where none of them has it in reach, it goes with the shape. Every other note
takes the fret of the shape on its own string; a string 4 outside of the shape sounds open where
that is a chord tone, and gives its stroke to string 3 where it is not. What the left hand joins
stays joined, by the same interval.
"""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct
from msgspec.structs import replace

from rollstave import Event, GraceNote, Note, Setup
from rollstave_arranging.flow import At, Moment, NoteAt, by_string
from rollstave_arranging.neck import EASY, WIDEST, Spot, short_of, spots_of, stretch
from rollstave_arranging.spans import BASS, Frets, Span, places, stopped

_NO_MELODY = 10.0  # a note of the melody that goes with the shape
_OUTSIDE = 0.5  # one that leaves its string's place in the shape
_OPEN = 0.6  # one on an open string, which takes no part in the move
_BELOW, _ABOVE = 1, 4  # frets from the lowest of the shape that its hand covers
_STRETCHED = 2.0
_LEFT_OUT = 4.0
_LINK_LOST = 3.0
_CROWDED = 1.5  # a bass stroke that changes its string beside another one


class Held(Struct, frozen=True):
    """A span in a shape: its events, what that costs, the pitches of its melody (MIDI) in order,
    how many of its melody notes went with the shape, its widest reach in millimetres, and what
    had to be left out or struck anew."""

    events: dict[At, Event]
    cost: float
    melody: tuple[int, ...] = ()
    lost: int = 0
    reach: float = 0.0
    told: tuple[tuple[Note, str], ...] = ()


class Shape(Struct, frozen=True):
    """A closed shape and the octaves by which the melody goes up."""

    frets: Frets
    octave: int
    tones: frozenset[int]

    @property
    def low(self) -> int:
        return min(stopped(self.frets))

    @property
    def high(self) -> int:
        return max(stopped(self.frets))


class _Holding:
    def __init__(
        self, shape: Shape, setup: Setup, melody: frozenset[NoteAt], one_finger: bool
    ) -> None:
        self.shape, self.setup, self.melody = shape, setup, melody
        self.one_finger = one_finger
        self.short = short_of(setup)
        self.frets = dict(places(shape.frets))
        self.cost, self.lost, self.reach = (
            0.0,
            0,
            stretch(shape.low + setup.capo, shape.high + setup.capo),
        )
        self.crowded = self.together = False
        self.line: list[int] = []
        self.told: list[tuple[Note, str]] = []
        self.leads: dict[int, int] = {}  # by a note's identity: frets to what is slurred to it
        self.last: dict[int, tuple[Note, Note]] = {}  # by old string: a note as it was and is

    def span(self, span: Span) -> Held:
        before: dict[int, Note] = {}
        for moment in span.moments:
            for note in moment.event.notes:
                if note.link is not None and note.string in before:
                    was = before[note.string]
                    self.leads[id(was)] = note.pitch.midi - was.pitch.midi
                before[note.string] = note
        events: dict[At, Event] = {}
        for moment in span.moments:
            self.crowded = moment.at in span.crowded
            events[moment.at] = self.event(moment)
        return Held(
            events=events,
            cost=self.cost,
            melody=tuple(self.line),
            lost=self.lost,
            reach=self.reach,
            told=tuple(self.told),
        )

    def event(self, moment: Moment) -> Event:
        taken: dict[int, Note] = {}
        self.together = len(moment.event.notes) > 1
        order = sorted(
            range(len(moment.event.notes)),
            key=lambda i: (
                (*moment.at, i) not in self.melody,
                moment.event.notes[i].string != self.short,
            ),
        )
        new_of: dict[int, Note] = {}
        for index in order:
            note = moment.event.notes[index]
            new = self.note(note, (*moment.at, index) in self.melody, taken)
            if new is None:
                self.cost += _LEFT_OUT
                self.told.append((note, f"{note.pitch} is left out: its string is taken"))
                continue
            taken[new.string] = new
            new_of[note.string] = new
            self.last[note.string] = (note, new)
        grace = self.graces(moment.event, new_of)
        return replace(moment.event, notes=by_string([*taken.values()]), grace=grace)

    def note(self, note: Note, is_melody: bool, taken: Mapping[int, Note]) -> Note | None:
        if note.fret is None or note.harmonic or note.muted:
            return note if note.string not in taken else None
        if note.string == self.short and (note.fret == 0 or not is_melody):
            open_ = replace(note, fret=0, half=False, link=None)
            return open_ if note.string not in taken else None
        if note.link is not None and note.string in self.last:
            joined = self.joined(note, taken)
            if joined is not None:
                if is_melody:
                    self.line.append(self.setup.midi(joined.string, joined.fret or 0))
                return joined
            self.cost += _LINK_LOST
            self.told.append((note, f"{note.pitch} is struck anew: no slur leads to it here"))
        leads = self.leads.get(id(note), 0)
        spot = self.tune(note, taken, leads) if is_melody else None
        if is_melody and spot is None:
            self.lost += 1
            self.cost += _NO_MELODY
        if spot is None:
            spot = self.filling(note.string, taken, leads)
        if spot is None:
            return None
        if is_melody:
            self.line.append(self.setup.midi(spot[0], spot[1]))
        return replace(
            note,
            string=spot[0],
            fret=spot[1],
            half=False,
            link=None,
            left_finger=None,
            bend=note.bend,
        )

    def joined(self, note: Note, taken: Mapping[int, Note]) -> Note | None:
        """A note that the left hand makes, as far from the one before it as it was."""
        was, now = self.last[note.string]
        if now.fret is None or now.string in taken or now.string == self.short:
            return None
        fret = now.fret + note.pitch.midi - was.pitch.midi
        last = self.setup.instrument.frets - self.setup.capo
        slides = note.link is not None and note.link.name == "SLIDE"
        if not 0 <= fret <= last or fret == now.fret or (slides and 0 in (fret, now.fret)):
            return None
        if not self.near(fret) and not slides:
            return None
        return replace(note, string=now.string, fret=fret, half=False, left_finger=None)

    def strings(self, note: Note) -> tuple[int, ...]:
        """The strings that the finger of a note may strike in its place, its own first."""
        if note.string == self.short:
            return (3, 4)
        if self.one_finger and not self.together:
            return (note.string, *(n for n in (1, 2, 3, 4) if n != note.string))
        if self.crowded:  # another bass string before or after decides which finger has which
            return (note.string,)
        if note.string in BASS and note.finger is not None and note.finger.value == "T":
            return (note.string, 7 - note.string)
        return (note.string,)

    def tune(self, note: Note, taken: Mapping[int, Note], leads: int) -> Spot | None:
        """Where a note of the melody lies in reach of the shape, with the one that is slurred to
        it, ``leads`` frets further on; its cost is added."""
        best: tuple[float, Spot, float] | None = None
        for spot in spots_of(note.pitch.midi + 12 * self.shape.octave, self.setup):
            string, fret, half = spot
            if half or string in taken or string not in self.strings(note):
                continue
            wide = self.reach_to(fret)
            if not self.near(fret) or not self.near(fret + leads):
                continue
            cost = 0.0 if self.frets.get(string) == fret else (_OUTSIDE if fret else _OPEN)
            cost += _STRETCHED * max(0.0, wide - EASY) / (WIDEST - EASY)
            cost += 0.1 * (string != note.string)
            if best is None or cost < best[0]:
                best = (cost, spot, wide)
        if best is None:
            return None
        self.cost += best[0]
        self.reach = max(self.reach, best[2])
        return best[1]

    def reach_to(self, fret: int) -> float:
        if not fret:
            return 0.0
        low, high = min(fret, self.shape.low), max(fret, self.shape.high)
        return stretch(low + self.setup.capo, high + self.setup.capo)

    def filling(self, string: int, taken: Mapping[int, Note], leads: int) -> Spot | None:
        """What is struck on a string while the shape is held."""
        if string == self.short or string not in self.frets:
            free = string not in (self.short, *taken)
            if free and self.setup.open_midi(string) % 12 in self.shape.tones:
                return (string, 0, False)
            string = 3
            self.cost += _CROWDED * self.crowded
        if string in taken or string not in self.frets:
            return None
        fret = self.frets[string]
        if not self.near(fret + leads) or fret + leads == 0:  # the slur ends in the shape instead
            fret = fret - leads if self.near(fret - leads) else fret
        return (string, fret, False)

    def near(self, fret: int) -> bool:
        """True for a fret that the hand covers while it holds the shape, and for an open string."""
        near = self.shape.low - _BELOW <= fret <= self.shape.low + _ABOVE
        return fret == 0 or (near and self.reach_to(fret) <= WIDEST)

    def graces(self, event: Event, new_of: Mapping[int, Note]) -> tuple[tuple[GraceNote, ...], ...]:
        """Grace notes as far from their note as they were; none where the neck does not allow."""
        found = []
        for group in event.grace:
            small = []
            for grace in group:
                old = next((n for n in event.notes if n.string == grace.string), None)
                new = new_of.get(grace.string)
                if old is None or new is None or new.fret is None:
                    continue
                fret = new.fret + grace.pitch.midi - old.pitch.midi
                if 0 <= fret <= self.setup.instrument.frets - self.setup.capo and new.fret:
                    small.append(replace(grace, string=new.string, fret=fret, half=False))
            if small:
                found.append(tuple(small))
        return tuple(found)


def held_in(
    span: Span, shape: Shape, setup: Setup, melody: frozenset[NoteAt], *, one_finger: bool = False
) -> Held:
    """The events of a span in a shape. Where ``one_finger`` strikes all strings but the short one,
    as in down-picking, the melody may lie on any of them."""
    return _Holding(shape, setup, melody, one_finger).span(span)


def as_it_is(span: Span, melody: frozenset[NoteAt]) -> Held:
    """The events of a span where they were typed."""
    line = [
        note.pitch.midi
        for moment in span.moments
        for index, note in enumerate(moment.event.notes)
        if (*moment.at, index) in melody
    ]
    return Held(events={}, cost=0.0, melody=tuple(line))
