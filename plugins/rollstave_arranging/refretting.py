"""Strings and frets for a tune whose strings or pitches change: what may stay stays."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace

from rollstave import (
    Event,
    GraceNote,
    NoSuchFret,
    Note,
    Problem,
    Score,
    Setup,
    settled,
    spell,
)
from rollstave_arranging.fingering import LEFT_OUT, Grip, Wanted, Way, cheapest, way
from rollstave_arranging.flow import (
    At,
    Moment,
    NoteAt,
    by_string,
    chains,
    moments,
    note_at,
    with_events,
    without_gaps,
)
from rollstave_arranging.neck import Spot, short_of, spots_of
from rollstave_arranging.told import change, many

_OPEN_HARMONICS = (12, 7, 5, 19)  # frets at which a string sounds a plain harmonic
_SOON = Fraction(1, 2)  # quarter notes
_REPEATED = 1.5
_TOO_MUCH = 3  # no more than one note in so many may be moved or left out


class Refretted(Struct, frozen=True):
    """A score on other strings and frets, and what became of its notes: how many were struck, how
    many keep string and fret, are moved by an octave, are left out; and the cost of its path."""

    score: Score
    changes: tuple[Problem, ...]
    struck: int
    kept: int
    moved: int
    lost: int
    cost: float

    @property
    def playable(self) -> bool:
        return (self.moved + self.lost) * _TOO_MUCH <= self.struck


def refret(score: Score, setup: Setup, shift: int = 0) -> Refretted:
    """The tune on another setup, ``shift`` semitones higher.

    A note on a string that sounds as before (and ``shift`` higher) keeps string and fret, and an
    open short string stays the drone; every other note gets its place by the cheapest path.
    """
    return _Refretting(score, setup, shift).done()


class _Refretting:
    def __init__(self, score: Score, setup: Setup, shift: int) -> None:
        self.score, self.setup, self.shift = score, setup, shift
        self.short = short_of(setup)
        self.moments = list(moments(score))
        self.changes: list[Problem] = []
        self.strings: dict[NoteAt, int] = {}
        self.broken: set[NoteAt] = set()
        for chain in chains(score):
            self._place_chain(chain)

    def done(self) -> Refretted:
        beside = self._beside()
        wanted = [
            self._wanted(moment, strings)
            for moment, strings in zip(self.moments, beside, strict=True)
        ]
        grips = cheapest(wanted, self.setup.capo)
        changed: dict[At, Event] = {}
        kept = moved = lost = struck = 0
        for moment, grip in zip(self.moments, grips, strict=True):
            changed[moment.at] = self._played(moment, grip)
            for note, chosen in zip(moment.event.notes, grip, strict=True):
                struck += 1
                lost += chosen.spot is None
                moved += chosen.octave != 0
                kept += chosen.spot == (note.string, note.fret, note.half)
        new = replace(without_gaps(with_events(self.score, changed), self.score), setup=self.setup)
        return Refretted(
            score=settled(new),
            changes=tuple(self.changes),
            struck=struck,
            kept=kept,
            moved=moved,
            lost=lost,
            cost=sum(w.cost for grip in grips for w in grip),
        )

    # What may stay ------------------------------------------------------------------------------

    def _target(self, note: Note | GraceNote) -> int:
        return note.pitch.midi + self.shift

    def _stays(self, note: Note | GraceNote) -> bool:
        """True for a note whose string and fret sound right as they are, and for the drone."""
        if note.fret is None:
            return True
        if note.string == self.short and note.fret == 0:
            return True
        if isinstance(note, Note) and note.harmonic:
            old, new = self.score.setup, self.setup
            return new.open_midi(note.string) == old.open_midi(note.string) + self.shift
        try:
            sounds = self.setup.midi(note.string, note.fret, note.half)
        except NoSuchFret:
            return False
        return sounds == self._target(note)

    def _place_chain(self, chain: Sequence[NoteAt]) -> None:
        """Choose one string for notes that the left hand joins; where none has them all, they are
        struck one by one."""
        notes = [note_at(self.score, at) for at in chain]
        if all(self._stays(note) for note in notes):
            return
        choices: list[tuple[float, int]] = []
        for string in range(1, self.setup.instrument.strings + 1):
            spots = [self._spot_on(string, self._target(note)) for note in notes]
            if any(spot is None for spot in spots):
                continue
            frets = [spot[1] for spot in spots if spot is not None]
            slides = any(n.link is not None and n.link.name == "SLIDE" for n in notes)
            if (slides and 0 in frets) or string == self.short:
                continue
            first = notes[0]
            choices.append(
                (
                    4.0 * (string != first.string)
                    + 0.1 * sum(frets)
                    + way(
                        (string, frets[0], False),
                        was=first.string,
                        finger=first.finger,
                        short=self.short,
                    ).cost,
                    string,
                )
            )
        if choices:
            best = min(choices)[1]
            self.strings |= dict.fromkeys(chain, best)
            return
        self.broken |= set(chain[1:])
        for note in notes[1:]:
            said = f"{note.pitch} is struck anew: no string has it and the note before it"
            self.changes.append(change(said, note.place))

    def _spot_on(self, string: int, midi: int) -> Spot | None:
        return next((s for s in spots_of(midi, self.setup) if s[0] == string), None)

    # Ways to play an event ----------------------------------------------------------------------

    def _beside(self) -> list[tuple[int, ...]]:
        """X"""
        found: list[tuple[int, ...]] = []
        for index, moment in enumerate(self.moments):
            near = (*self.moments[max(0, index - 1) : index], *self.moments[index + 1 : index + 2])
            found.append(
                tuple(
                    other.event.notes[0].string
                    for other in near
                    if len(other.event.notes) == 1
                    and abs(other.start - moment.start) <= _SOON
                    and self._stays(other.event.notes[0])
                )
            )
        return found

    def _wanted(self, moment: Moment, beside: Sequence[int]) -> Wanted:
        rows = [
            self._ways((*moment.at, index), note, beside)
            for index, note in enumerate(moment.event.notes)
        ]
        taken = {row[0].spot[0] for row in rows if len(row) == 1 and row[0].spot is not None}
        found = []
        for row in rows:
            free = [w for w in row if len(row) == 1 or w.spot is None or w.spot[0] not in taken]
            found.append(tuple(free))
        return Wanted(tuple(found))

    def _ways(self, at: NoteAt, note: Note, beside: Sequence[int]) -> tuple[Way, ...]:
        """The ways to play a note: as it is, or wherever its pitch lies, or an octave from it;
        leaving it out is always the last. In a chord another note may take the string: then an
        octave is better than none."""
        if self._stays(note):
            return (Way((note.string, note.fret or 0, note.half), 0.0),)
        string = self.strings.get(at)
        if note.harmonic:
            return (*self._harmonics(note), LEFT_OUT)
        found: list[Way] = []
        for octave in (0, 1, -1):
            spots = spots_of(self._target(note) + 12 * octave, self.setup)
            if string is not None and octave == 0:
                spots = tuple(spot for spot in spots if spot[0] == string)
            found += [
                way(
                    spot,
                    was=note.string,
                    finger=note.finger,
                    short=self.short,
                    octave=octave,
                    more=_again(spot[0], note.string, beside),
                )
                for spot in spots
                if spot[0] != self.short or spot[1] == 0 or note.string == self.short
            ]
        return (*sorted(found, key=lambda w: w.cost)[:8], LEFT_OUT)

    def _harmonics(self, note: Note) -> list[Way]:
        """Where a string sounds the same plain harmonic."""
        wanted = self._target(note)
        over = {12: 12, 7: 19, 5: 24, 19: 19}
        return [
            way((string, fret, False), was=note.string, finger=note.finger, short=self.short)
            for string in range(1, self.setup.instrument.strings + 1)
            for fret in _OPEN_HARMONICS
            if self.setup.open_midi(string) + over[fret] == wanted and string != self.short
        ]

    # The notes as they are played ---------------------------------------------------------------

    def _played(self, moment: Moment, grip: Grip) -> Event:
        notes: list[Note] = []
        strings: dict[int, int] = {}
        for index, (note, chosen) in enumerate(zip(moment.event.notes, grip, strict=True)):
            self._tell(note, chosen)
            if chosen.spot is None:
                continue
            string, fret, half = chosen.spot
            strings[note.string] = string
            link = None if (*moment.at, index) in self.broken else note.link
            if (string, fret, half) == (note.string, note.fret or 0, note.half):
                notes.append(note if link is note.link else replace(note, link=link))
                continue
            notes.append(
                replace(note, string=string, fret=fret, half=half, link=link, left_finger=None)
            )
        grace = self._graces(moment.event, strings)
        return replace(moment.event, notes=by_string(notes), grace=grace)

    def _graces(self, event: Event, strings: dict[int, int]) -> tuple[tuple[GraceNote, ...], ...]:
        """The grace notes of an event, on the string of the note that they lead to; those that
        cannot be played there are left out."""
        found = []
        for group in event.grace:
            small: list[GraceNote] = []
            for note in group:
                string = strings.get(note.string, note.string)
                if string == note.string and self._stays(note):
                    small.append(note)
                    continue
                spot = self._spot_on(string, self._target(note))
                if spot is None or string == self.short:
                    said = (
                        f"the grace note {note.pitch} is left out: it does not lie beside its note"
                    )
                    self.changes.append(change(said, note.place))
                    continue
                small.append(replace(note, string=spot[0], fret=spot[1], half=spot[2]))
            if small:
                found.append(tuple(small))
        return tuple(found)

    def _tell(self, note: Note, chosen: Way) -> None:
        pitch = spell(self._target(note), self.score.key.fifths) if self.shift else note.pitch
        if chosen.spot is None:
            said = f"{pitch} is left out: no string is free for it, and no octave of it"
        elif chosen.octave:
            way_ = "up" if chosen.octave > 0 else "down"
            said = f"{pitch} cannot be played here and is moved {way_} an octave"
        else:
            return
        self.changes.append(change(said, note.place))


def _again(string: int, was: int, beside: Sequence[int]) -> float:
    """What it costs that a finger of a fixed hand comes to strike this string and one beside it
    in time, which it did not on the string that the note had."""
    return sum(
        _REPEATED
        for other in beside
        if other != string
        and min(other, 3) == min(string, 3)
        and (min(was, 3) != min(other, 3) or was == other)
    )


def summed(made: Refretted) -> str:
    """How many notes keep their place, in words."""
    words = f"{made.kept} of {many(made.struck, 'note')} where they were"
    if made.moved:
        words += f", {made.moved} moved by an octave"
    return words + (f", {made.lost} left out" if made.lost else "")
