"""How a score is notated: the values of every note, its ties, stems, accidentals.

Every writer that draws notes walks these symbols, so that all of them agree. The rules of
accidentals are the usual ones of engraving handbooks (Gould, Behind Bars, 2011, from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace

from rollstave.instruments.instrument import Instrument
from rollstave.notating.values import TiedPart, single_value, written
from rollstave.notating.voices import parted
from rollstave.pitch import Pitch
from rollstave.rhythm.meter import Meter
from rollstave.score.memo import once_for_a_score
from rollstave.score.records import GraceNote, Measure, Note, Score
from rollstave.score.voices import has_voices
from rollstave.vocabulary.signs import HELD

_SIGNATURE_ORDER = "FCGDAEB"


class Head(Struct, frozen=True):
    """A note as drawn on the staff: the accidental shown (None for none), whether it only warns,
    and its ties."""

    note: Note
    accidental: int | None
    cautionary: bool = False
    tie_from: bool = False
    tie_to: bool = False

    @property
    def held(self) -> bool:
        """Whether nothing is struck here: a tied part of an event, or a tie that was typed."""
        return self.tie_from or self.note.link in HELD


class GraceHead(Struct, frozen=True):
    """A grace note as drawn on the staff: the accidental shown, None for none, and whether it only
    warns."""

    note: GraceNote
    accidental: int | None
    cautionary: bool = False


class Symbol(Struct, frozen=True):
    """One notated chord or rest: part of an event, or all of it.

    ``part`` counts the tied parts of its event from 0. ``beam`` is the number of the beam group
    in the measure, None outside beams. ``tuplet`` is the number of its triplet in the measure;
    three of its values take the time of two. ``stem_up`` is for the staff. ``grace`` are the
    grace notes before it in order, as those of its event. ``voice`` is the one that it is in;
    ``unseen`` is a rest that another voice has at the same time, which shows it for both.
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
    grace: tuple[tuple[GraceHead, ...], ...] = ()
    voice: int = 1
    unseen: bool = False

    @property
    def is_rest(self) -> bool:
        return not self.heads

    @property
    def only_string(self) -> int:
        """One string that it stands on; with measure and event it names the note."""
        return self.heads[0].note.string


class Voice(Struct, frozen=True):
    """The symbols of one voice of a measure in time order, its rests included."""

    number: int
    symbols: tuple[Symbol, ...]
    whole_rest: bool = False


# The alteration that each step of an octave was last shown with.
Altered = dict[tuple[str, int], int]


class NotatedMeasure(Struct, frozen=True):
    """A measure and its symbols in time order. A whole empty measure has one rest.

    A measure of several ``voices`` has each of them by itself too; ``symbols`` has then what
    sounds in all of them. ``altered`` is what was last seen of each step and octave that an
    accidental or a tied note altered.
    """

    measure: Measure
    symbols: tuple[Symbol, ...]
    whole_rest: bool = False
    voices: tuple[Voice, ...] = ()
    altered: Altered = {}

    @property
    def layers(self) -> tuple[Voice, ...]:
        """Its voices, also where it has only one."""
        return self.voices or (Voice(1, self.symbols, self.whole_rest),)

    def sung(self, symbol: Symbol) -> tuple[tuple[int, str], ...]:
        """The syllables that stand at a symbol, by their verse: once for each event."""
        if symbol.part or symbol.is_rest:
            return ()
        event = self.measure.events[symbol.event_index]
        return event.sung if symbol.voice == event.notes[0].voice else ()


def last_parts(notated: Sequence[NotatedMeasure]) -> dict[tuple[int, int, int], int]:
    """The number of the last tied part of each note, by the index of its measure, its event and
    its string."""
    return {
        (n.measure.index, s.event_index, head.note.string): s.part
        for n in notated
        for s in n.symbols
        for head in s.heads
    }


@once_for_a_score
def notate(score: Score) -> tuple[NotatedMeasure, ...]:
    """Notate every measure of a score. Kept for the next writer of the same score."""
    keys = score.keys
    usual = {key: signature(key.fifths) for key in dict.fromkeys(keys)}
    middle = middle_line(score.setup.instrument)
    found: list[NotatedMeasure] = []
    altered: Altered = {}
    for measure, meter, key in zip(score.measures, score.meters, keys, strict=True):
        make = _notate_voices if has_voices(measure) else _notate_measure
        notated = make(measure, meter, usual[key], middle, altered)
        altered = notated.altered
        found.append(notated)
    return tuple(found)


def _notate_measure(
    measure: Measure, meter: Meter, usual: dict[str, int], middle: int, before: Altered
) -> NotatedMeasure:
    empty = len(measure.events) == 1 and not measure.events[0].notes
    # The rest of a whole measure says nothing of a length that is not the meter's.
    if empty and measure.length == meter.length:
        value, dots = single_value(measure.length) or ("whole", 0)
        rest = Symbol(
            event_index=0,
            part=0,
            onset=Fraction(0),
            duration=measure.length,
            value=value,
            dots=dots,
            heads=(),
        )
        return NotatedMeasure(measure, (rest,), whole_rest=True)
    # A pickup is the end of a full measure: beams and ties follow the beats of that.
    offset = meter.length - measure.length if measure.number == 0 else Fraction(0)
    times = tuple((e.onset, e.duration, not e.notes) for e in measure.events)
    tied_parts = written(times, meter, offset)
    stems = _stems(measure, tied_parts, middle)
    heads, altered = _heads(measure, tied_parts, usual, before)
    symbols = (
        Symbol(
            event_index=p.event_index,
            part=p.part,
            onset=p.onset,
            duration=p.duration,
            value=p.value,
            dots=p.dots,
            heads=drawn,
            beam=p.beam,
            tuplet=p.tuplet,
            stem_up=up,
            grace=grace,
        )
        for p, (drawn, grace), up in zip(tied_parts, heads, stems, strict=True)
    )
    return NotatedMeasure(measure, tuple(symbols), altered=altered)


# Voices ------------------------------------------------------------------------------------


def _notate_voices(
    measure: Measure, meter: Meter, usual: dict[str, int], middle: int, before: Altered
) -> NotatedMeasure:
    """Notate a measure of several voices. Where two rest together one rest is enough (Gould,
    Behind Bars, 2011, from memory)."""
    lines: list[list[Symbol]] = []
    whole: list[bool] = []
    rests: set[tuple[Fraction, Fraction]] = set()
    altered: Altered = {}
    voices = parted(measure)
    for voice in voices:
        notated = _notate_measure(voice.alone, meter, usual, middle, before)
        altered |= notated.altered
        lines.append(
            [
                replace(
                    symbol,
                    event_index=voice.places[symbol.event_index],
                    stem_up=voice.number % 2 == 1,
                    voice=voice.number,
                    unseen=symbol.is_rest and (symbol.onset, symbol.duration) in rests,
                )
                for symbol in notated.symbols
            ]
        )
        whole.append(notated.whole_rest)
        rests |= {(s.onset, s.duration) for s in notated.symbols if s.is_rest}
    altered |= _share_accidentals(lines, usual)
    found = tuple(
        Voice(voice.number, tuple(line), rest)
        for voice, line, rest in zip(voices, lines, whole, strict=True)
    )
    sounding = (s for line in lines for s in line if not s.is_rest)
    symbols = tuple(sorted(sounding, key=lambda s: (s.onset, s.voice)))
    return NotatedMeasure(measure, symbols, voices=found, altered=altered)


def _share_accidentals(lines: Sequence[list[Symbol]], usual: dict[str, int]) -> Altered:
    """Show what another voice makes necessary: an accidental holds for the whole staff, and each
    voice says its own once (Gould, Behind Bars, 2011, from memory); one that only warns is enough
    in one voice. Returns what was last shown."""
    shown: Altered = {}
    places = [(s.onset, v, i) for v, line in enumerate(lines) for i, s in enumerate(line)]
    for _, voice, index in sorted(places):
        symbol = lines[voice][index]
        heads = []
        for head in symbol.heads:
            pitch = head.note.pitch
            at = (pitch.step, pitch.octave)
            differs = pitch.alter != shown.get(at, usual.get(pitch.step, 0))
            if differs and not head.tie_from:
                head = replace(head, accidental=pitch.alter, cautionary=False)
            elif head.cautionary and at in shown:
                head = replace(head, accidental=None, cautionary=False)
            elif at not in shown and not head.tie_from and _elsewhere(shown, pitch):
                head = replace(head, accidental=pitch.alter, cautionary=True)
            if head.accidental is not None:
                shown[at] = pitch.alter
            heads.append(head)
        lines[voice][index] = replace(symbol, heads=tuple(heads))
    return shown


# Stems -------------------------------------------------------------------------------------


# The staff position of the line that a clef names: G4, F3, C4 (common practice).
_CLEFS = {"G": 7 * 4 + 4, "F": 7 * 3 + 3, "C": 7 * 4}


def middle_line(instrument: Instrument) -> int:
    """The staff position that sounds where the middle line of an instrument's staff is."""
    sign, line = instrument.clef
    return _CLEFS[sign] + 2 * (3 - line) - 7 * instrument.octave_written


def _stems(measure: Measure, tied_parts: Sequence[TiedPart], middle: int) -> list[bool]:
    """Whether each stem goes up: the note farthest from the middle line decides, for a whole beam
    at once. On the middle line or evenly far, the stem goes down."""
    by_beam: dict[object, list[int]] = {}
    for index, tied_part in enumerate(tied_parts):
        key: object = ("alone", index) if tied_part.beam is None else tied_part.beam
        by_beam.setdefault(key, []).append(index)
    result = [False] * len(tied_parts)
    for indices in by_beam.values():
        places = [
            note.pitch.staff_position - middle
            for index in indices
            for note in measure.events[tied_parts[index].event_index].notes
        ]
        up = bool(places) and -min(places) > max(places)
        for index in indices:
            result[index] = up
    return result


# Accidentals -------------------------------------------------------------------------------


def signature(fifths: int) -> dict[str, int]:
    """The alteration of each step that a key signature makes."""
    order = _SIGNATURE_ORDER if fifths >= 0 else _SIGNATURE_ORDER[::-1]
    sign = 1 if fifths >= 0 else -1
    return dict.fromkeys(order[: abs(fifths)], sign)


def _elsewhere(known: Altered, pitch: Pitch) -> bool:
    """True if the step of a pitch was last altered otherwise in another octave."""
    return any(step == pitch.step and alter != pitch.alter for (step, _), alter in known.items())


def _heads(
    measure: Measure, tied_parts: Sequence[TiedPart], usual: dict[str, int], before: Altered
) -> tuple[list[tuple[tuple[Head, ...], tuple[tuple[GraceHead, ...], ...]]], Altered]:
    """The heads of each tied part, and of the grace notes before it; and what they altered.

    An accidental is shown where a pitch differs from the signature or from what was last shown for
    that step and octave in the measure; a tied note shows none. Where the measure before left that
    step and octave altered otherwise, the first note of the measure there has a cautionary one.
    """
    shown: Altered = {}
    held: Altered = {}
    result = []

    def needed(pitch: Pitch) -> tuple[int | None, bool]:
        place = (pitch.step, pitch.octave)
        last = shown.get(place)
        warns = False
        if pitch.alter == (usual.get(pitch.step, 0) if last is None else last):
            old = before.get(place)
            # What stands in another octave of this measure warns of the one before already.
            said = any(step == pitch.step for step, _ in shown)
            others = shown if said else before if old is None else {}
            differs = old not in (None, pitch.alter) or _elsewhere(others, pitch)
            warns = last is None and differs
            if not warns:
                return None, False
        shown[place] = pitch.alter
        return pitch.alter, warns

    def head(note: Note, tied: bool, last: bool) -> Head:
        pitch = note.pitch
        goes_on = tied or note.link in HELD
        sign, warns = (None, False) if goes_on else needed(pitch)
        if goes_on and pitch.alter != usual.get(pitch.step, 0):
            held[pitch.step, pitch.octave] = pitch.alter
        return Head(note=note, accidental=sign, cautionary=warns, tie_from=tied, tie_to=not last)

    for tied_part in tied_parts:
        event = measure.events[tied_part.event_index]
        tied = tied_part.part > 0
        grace = tuple(
            tuple(GraceHead(n, *needed(n.pitch)) for n in group)
            for group in event.grace
            if not tied
        )
        heads = tuple(head(n, tied, tied_part.last) for n in event.notes)
        result.append((heads, grace))
    return result, held | shown
