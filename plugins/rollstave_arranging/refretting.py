"""Strings and frets for a tune whose strings or pitches change: what may stay stays."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from itertools import pairwise

from msgspec import Struct
from msgspec.structs import replace

from rollstave import (
    Event,
    Finger,
    GraceNote,
    NoSuchFret,
    Note,
    Pitch,
    Problem,
    Score,
    Setup,
    settled,
    spell,
)
from rollstave_arranging.alike import fingered_alike
from rollstave_arranging.fingering import (
    LEFT_OUT,
    Grip,
    Wanted,
    Way,
    at_home,
    cheapest,
    one_finger,
    way,
)
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
from rollstave_arranging.joined import spot_on, ways_of
from rollstave_arranging.neck import Spot, short_of, spots_of
from rollstave_arranging.returning import Origin, WayBack
from rollstave_arranging.told import change, many

_OPEN_HARMONICS = (12, 7, 5, 19)  # frets at which a string sounds a plain harmonic
_SOON = Fraction(1, 2)  # quarter notes
_TOO_MUCH = 3  # no more than one note in so many may be moved or left out


class Step(Struct, frozen=True):
    """A note on its way: the index of its event among those that are struck still, the number of
    its measure, where it lay and lies, and its MIDI number now."""

    event: int
    measure: int
    was: Spot
    now: Spot
    midi: int


class Refretted(Struct, frozen=True):
    """A score on other strings and frets, and what became of its notes: how many were struck, how
    many keep string and fret, are moved by an octave, are left out; and the cost of its path.
    ``octaves`` are the moved: number of the measure, pitch, and octaves up. ``trail`` says of each
    note that is played where it lay and lies."""

    score: Score
    changes: tuple[Problem, ...]
    struck: int
    kept: int
    moved: int
    lost: int
    cost: float
    octaves: tuple[tuple[int, Pitch, int], ...] = ()
    trail: tuple[Step, ...] = ()

    @property
    def playable(self) -> bool:
        return (self.moved + self.lost) * _TOO_MUCH <= self.struck


def refret(score: Score, setup: Setup, shift: int = 0, origin: Origin | None = None) -> Refretted:
    """The tune on another setup, ``shift`` semitones higher; or at home again, where ``origin`` is
    what it says of the way there.

    A note on a string that sounds as before (and ``shift`` higher) keeps string and fret, and an
    open short string stays the drone; every other note gets its place by the cheapest path.
    """
    return _Refretting(score, setup, shift, origin).done()


class _Refretting:
    def __init__(self, score: Score, setup: Setup, shift: int, origin: Origin | None) -> None:
        self.score, self.setup, self.shift = score, setup, shift
        self.short = short_of(setup)
        self.moments = list(moments(score))
        self.back = WayBack(score, setup, origin, self.moments) if origin else None
        self.changes: list[Problem] = []
        self.strings: dict[NoteAt, int] = {}
        self.broken: set[NoteAt] = set()
        for chain in chains(score):
            self._place_chain(chain)

    def done(self) -> Refretted:
        wanted = [
            self._wanted(moment, soon, again)
            for moment, (soon, again) in zip(self.moments, self._soon(), strict=False)
        ]
        grips = cheapest(wanted, self.setup.capo)
        told = self.back.told(self.moments, wanted, grips) if self.back else None
        if told is not None:
            wanted = told
            grips = cheapest(wanted, self.setup.capo)
        # On the way back what is alike now may come from two places.
        alike = fingered_alike(self.moments, wanted, grips) if self.back is None else None
        if alike is not None:
            grips = cheapest(alike, self.setup.capo)
        changed: dict[At, Event] = {}
        octaves: list[tuple[int, Pitch, int]] = []
        kept = moved = lost = struck = 0
        trail: list[Step] = []
        for moment, grip in zip(self.moments, grips, strict=True):
            place = trail[-1].event + 1 if trail else 0
            changed[moment.at] = self._played(moment, grip)
            for note, chosen in zip(moment.event.notes, grip, strict=True):
                if chosen.spot is not None:
                    trail.append(self._step(place, moment, note, chosen.spot))
                struck += 1
                lost += chosen.spot is None
                moved += chosen.octave != 0
                if chosen.octave:
                    octaves.append((moment.measure.number, note.pitch, chosen.octave))
                kept += chosen.spot == (note.string, note.fret, note.half)
        new = replace(without_gaps(with_events(self.score, changed), self.score), setup=self.setup)
        return Refretted(
            score=with_letters(settled(new), self._letters(grips)),
            changes=tuple(self.changes),
            struck=struck,
            kept=kept,
            moved=moved,
            lost=lost,
            cost=sum(w.cost for grip in grips for w in grip),
            octaves=tuple(octaves),
            trail=tuple(trail),
        )

    def _step(self, place: int, moment: Moment, note: Note, spot: Spot) -> Step:
        was = (note.string, note.fret or 0, note.half)
        sounds = self.setup.midi(*spot) if not note.harmonic else self._target(note)
        return Step(event=place, measure=moment.measure.number, was=was, now=spot, midi=sounds)

    def _letters(self, grips: Sequence[Grip]) -> dict[NoteAt, Finger]:
        """The finger that struck each note of the measures in which a note is on another string,
        by measure, event and the string that it is on now."""
        found: dict[int, dict[NoteAt, Finger]] = {}
        moved: set[int] = set()
        for moment, grip in zip(self.moments, grips, strict=True):
            for note, chosen in zip(moment.event.notes, grip, strict=True):
                if chosen.spot is None or note.finger is None:
                    continue
                place = (*moment.at, chosen.spot[0])
                found.setdefault(moment.at[0], {})[place] = note.finger
                if chosen.spot[0] != note.string:
                    moved.add(moment.at[0])
        return {at: finger for index in moved for at, finger in found[index].items()}

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
        if self.back is not None:
            string = self.back.joined(chain[0], notes)
            if string is not None:
                self.strings |= dict.fromkeys(chain, string)
                return
        if all(self._stays(note) for note in notes):
            return
        first, targets = notes[0], [self._target(note) for note in notes]
        choices = ways_of(notes, targets, self.setup, was=first.string, finger=first.finger)
        if choices:
            self.strings |= dict.fromkeys(chain, min(choices)[1])
            return
        self.broken |= set(chain[1:])
        for note in notes[1:]:
            said = f"{note.pitch} is struck anew: no string has it and the note before it"
            self.changes.append(change(said, note.place))

    # Ways to play an event ----------------------------------------------------------------------

    def _soon(self) -> list[tuple[bool, bool]]:
        """Of each event whether it follows the one before at speed, and whether one finger of a
        fixed hand struck both already."""
        found = [(False, False)]
        for before, after in pairwise(self.moments):
            soon = after.start - before.start <= _SOON
            found.append((soon, soon and one_finger(_alone(before), _alone(after))))
        return found

    def _wanted(self, moment: Moment, soon: bool, again: bool) -> Wanted:
        rows = [
            self._ways((*moment.at, index), note) for index, note in enumerate(moment.event.notes)
        ]
        taken = {row[0].spot[0] for row in rows if row[0].stays and row[0].spot is not None}
        found = []
        for row in rows:
            free = [w for w in row if w.stays or w.spot is None or w.spot[0] not in taken]
            found.append(tuple(free))
        return Wanted(tuple(found), soon, again)

    def _ways(self, at: NoteAt, note: Note) -> tuple[Way, ...]:
        """The ways to play a note: as it is, or wherever its pitch lies, or an octave from it;
        leaving it out is always the last. In a chord another note may take the string: then an
        octave is better than none."""
        if self.back is not None and self._may_return(at, note):
            ways = self.back.ways(at, note, self.strings.get(at))
            if ways:
                return (*sorted(ways, key=lambda w: w.cost), LEFT_OUT)
        if self._stays(note):
            return (Way((note.string, note.fret or 0, note.half), 0.0, stays=True),)
        string = self.strings.get(at)
        if note.harmonic:
            return (*self._harmonics(note), LEFT_OUT)
        found: list[Way] = []
        for octave in (0, 1, -1):
            spots = spots_of(self._target(note) + 12 * octave, self.setup)
            if string is not None and octave == 0:
                spots = tuple(spot for spot in spots if spot[0] == string)
            found += [
                self._way(spot, note, octave)
                for spot in spots
                if spot[0] != self.short or spot[1] == 0 or note.string == self.short
            ]
        return (*sorted(found, key=lambda w: w.cost)[:8], LEFT_OUT)

    def _may_return(self, at: NoteAt, note: Note) -> bool:
        drone = note.string == self.short and note.fret == 0
        if drone and self.back is not None and at in self.back.lay:
            return True
        return note.fret is not None and not note.harmonic and not drone

    def _way(self, spot: Spot, note: Note, octave: int = 0) -> Way:
        return way(
            spot,
            was=note.string,
            finger=note.finger,
            found=note.inferred_finger,
            short=self.short,
            octave=octave,
        )

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
                spot = spot_on(string, self._target(note), self.setup)
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


def with_letters(score: Score, letters: Mapping[NoteAt, Finger]) -> Score:
    """The score with the letters of its rolls written out in the measures where the strings alone
    do not say them: the right hand does what it did."""
    measures = []
    for measure in score.measures:
        wanted = [
            (number, note, letters.get((measure.index, number, note.string)))
            for number, event in enumerate(measure.events)
            for note in event.notes
        ]
        plain = (
            finger is None or (finger is note.finger and at_home(finger, note.string))
            for _, note, finger in wanted
        )
        if all(plain):
            measures.append(measure)
            continue
        fingers = {(number, note.string): finger for number, note, finger in wanted if finger}
        events = tuple(
            replace(
                event,
                notes=tuple(
                    replace(note, finger=fingers[number, note.string], inferred_finger=False)
                    if (number, note.string) in fingers and note.finger is not None
                    else note
                    for note in event.notes
                ),
            )
            for number, event in enumerate(measure.events)
        )
        measures.append(replace(measure, events=events))
    return replace(score, measures=tuple(measures))


def _alone(moment: Moment) -> int:
    """The string of an event of one note; 0 for several."""
    notes = moment.event.notes
    return notes[0].string if len(notes) == 1 else 0


def summed(made: Refretted) -> str:
    """How many notes keep their place, in words."""
    words = f"{made.kept} of {many(made.struck, 'note')} where they were"
    if made.moved:
        words += f", {made.moved} moved by an octave"
    return words + (f", {made.lost} left out" if made.lost else "")
