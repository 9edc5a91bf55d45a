"""From a rollstave score to a music21 score."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import groupby
from typing import Any

from msgspec.structs import replace
from music21 import (
    articulations,
    bar,
    chord,
    clef,
    duration,
    expressions,
    harmony,
    instrument,
    key,
    metadata,
    meter,
    note,
    repeat,
    spanner,
    stream,
    tempo,
    tie,
)

from rollstave import (
    Bar,
    Change,
    ChordName,
    Event,
    GraceNote,
    Key,
    Link,
    Measure,
    Meter,
    Note,
    Score,
    Setup,
)
from rollstave_music21.kept import HEADING, TUNING, WORDS, fields_of, name_of
from rollstave_music21.marks import HALF_FRET, hand_of, link_row, mark_event, mark_note, spanner_of

_JUMPS = {
    "d.c.": repeat.DaCapo,
    "d.c. al fine": repeat.DaCapoAlFine,
    "d.c. al coda": repeat.DaCapoAlCoda,
}
_BARS = {Bar.DOUBLE: "double", Bar.FINAL: "final", Bar.NONE: "none"}
_CLASSES = {
    "pluck.banjo": instrument.Banjo,
    "pluck.guitar.acoustic": instrument.AcousticGuitar,
    "pluck.bass.electric": instrument.ElectricBass,
    "pluck.ukulele": instrument.Ukulele,
    "pluck.mandolin": instrument.Mandolin,
    "strings.fiddle": instrument.Violin,
}


def to_score(score: Score) -> stream.Score:
    """The score as music21 objects: one part, sounding pitches."""
    found = stream.Score()
    found.insert(0, _metadata(score))
    part = stream.Part(id="tab")
    part.insert(0, _instrument(score.setup))
    builder = _Builder(score)
    measures = [builder.measure(measure) for measure in score.measures]
    _opening(measures[0], score)
    for measure in measures:
        part.append(measure)
    for spanned in (*builder.spanners, *_endings(score, measures)):
        part.insert(0, spanned)
    found.append(part)
    return found


def _metadata(score: Score) -> metadata.Metadata:
    found = metadata.Metadata()
    found.title = score.title
    kept = {**fields_of(score.setup), WORDS: list(score.notes)}
    for heading, words in score.said:
        if heading == "composer":
            found.composer = words
        else:
            kept[f"{HEADING}{heading}"] = [words]
    for name, values in kept.items():
        if values:
            found.setCustom(name, values)
    return found


def _opening(first: stream.Measure, score: Score) -> None:
    sign, line = score.setup.instrument.clef
    octave = -1 if score.setup.instrument.octave_written else 0
    first.insert(0, clef.clefFromString(f"{sign}{line}", octave))
    first.insert(0, _key(score.key))
    first.insert(0, _time(score.meter))
    if score.tempo is not None:
        first.insert(0, _tempo(score.tempo, score.meter))


def _tempo(quarters: Fraction, counted: Meter) -> tempo.MetronomeMark:
    beat = counted.beat
    return tempo.MetronomeMark(number=float(quarters / beat), referent=duration.Duration(beat))


def _changes(measure: stream.Measure, change: Change, counted: Meter) -> None:
    """What is different from a measure on, which is ``counted`` in a meter."""
    if change.setup is not None:
        measure.insert(0, _instrument(change.setup))
        measure.insert(0, expressions.TextExpression(_words(change.setup)))
    if change.key is not None:
        measure.insert(0, _key(change.key))
    if change.tempo is not None:
        measure.insert(0, _tempo(change.tempo, counted))
    if change.meter is not None:
        measure.insert(0, _time(change.meter))


def places_of(notes: Sequence[Note]) -> Iterator[articulations.Articulation]:
    """String and fret of each note of a chord, as music21's reader of MusicXML has them."""
    for one in notes:
        yield articulations.StringIndication(one.string)
        yield articulations.FretIndication(one.fret)


def _key(typed: Key) -> key.Key:
    return key.Key(typed.tonic.replace("b", "-"), typed.mode)


def _time(typed: Meter) -> meter.TimeSignature:
    return meter.TimeSignature(typed.symbol or str(typed))


def _words(setup: Setup) -> str:
    """What a player does before a measure in which the instrument is set up anew."""
    return f"{setup.tuning.written}, {f'capo {setup.capo}' if setup.capo else 'no capo'}"


def _instrument(setup: Setup) -> instrument.Instrument:
    """The instrument with its open strings, from the last string to string 1. Its part has
    sounding pitches, so it transposes nothing."""
    found = _CLASSES.get(setup.instrument.sound, instrument.StringInstrument)()
    found.instrumentName = found.partName = setup.instrument.name
    found.instrumentSound = setup.instrument.sound
    found.midiProgram = setup.instrument.program - 1
    found.stringPitches = fields_of(setup)[TUNING][0].split()
    found.transposition = None
    found.editorial.capo = setup.capo
    return found


def _endings(score: Score, measures: list[stream.Measure]) -> list[spanner.Spanner]:
    """A bracket over the measures of each ending."""
    found = []
    pairs = zip(score.measures, measures, strict=True)
    for number, group in groupby(pairs, key=lambda pair: pair[0].in_ending):
        if number is not None:
            typed = [int(n) for n in number.replace(",", " ").split() if n.isdecimal()]
            covered = [measure for _, measure in group]
            found.append(spanner.RepeatBracket(covered, number=typed or [1]))
    return found


class _Builder:
    """Builds measures one after the other; what leads from note to note is kept between them."""

    def __init__(self, score: Score) -> None:
        self.score, self.meters = score, score.meters
        self.before: dict[int, tuple[note.NotRest, Note]] = {}  # the last note of each string
        self.leading: dict[int, tuple[note.NotRest, Link]] = {}  # grace notes that lead on
        self.spanners: list[spanner.Spanner] = []

    def measure(self, measure: Measure) -> stream.Measure:
        found = stream.Measure(number=measure.number)
        if measure.change is not None:
            _changes(found, measure.change, self.meters[measure.index])
        if measure.section:
            found.insert(0, expressions.RehearsalMark(measure.section))
        numbers = {n.voice for event in measure.events for n in event.notes}
        for number in sorted(numbers) if max(numbers, default=1) > 1 else ():
            found.insert(0, self._voice(measure, number))
        for event in measure.events if not found.voices else ():
            for small in self._graces(event):
                found.insert(event.onset, small)
            found.insert(event.onset, self._event(event))
        for name in measure.chords:
            found.insert(name.onset, _chord_symbol(name))
        # Where the first note comes late or the last ends early, the measure still is as long.
        sounded = sum((event.duration for event in measure.events), start=measure.length * 0)
        if measure.number == 0:
            found.paddingLeft = self.meters[measure.index].length - measure.length
        if sounded < measure.length and not found.voices:
            found.makeRests(fillGaps=True, inPlace=True, timeRangeFromBarDuration=False)
        self._bars(found, measure)
        if measure.fine:
            found.append(repeat.Fine())
        if measure.jump:
            kind = _JUMPS.get(measure.jump.lower())
            found.append(kind() if kind else expressions.TextExpression(measure.jump))
        return found

    @staticmethod
    def _bars(found: stream.Measure, measure: Measure) -> None:
        if measure.left is Bar.REPEAT_START:
            found.leftBarline = bar.Repeat(direction="start")
        if measure.right is Bar.REPEAT_END:
            found.rightBarline = bar.Repeat(direction="end", times=measure.times)
        elif measure.right in _BARS:
            found.rightBarline = bar.Barline(_BARS[measure.right])

    def _voice(self, measure: Measure, number: int) -> stream.Voice:
        """One of several voices, each note as long as it is held."""
        found = stream.Voice(id=str(number))
        now = measure.length * 0
        for event in measure.events:
            notes = tuple(n for n in event.notes if n.voice == number)
            if not notes:
                continue
            held = max(event.duration if n.lasts is None else n.lasts for n in notes)
            if event.onset > now:
                found.insert(now, note.Rest(quarterLength=event.onset - now))
            own = replace(event, notes=notes, duration=held)
            for small in self._graces(own):
                found.insert(event.onset, small)
            found.insert(event.onset, self._event(own))
            now = event.onset + held
        if now < measure.length:
            found.insert(now, note.Rest(quarterLength=measure.length - now))
        return found

    def _graces(self, event: Event) -> list[note.NotRest]:
        """The grace notes before an event; music21 sorts them before it."""
        self.leading.clear()
        found: list[note.NotRest] = []
        for group in event.grace:
            notes = [self._grace(one) for one in group]
            made = notes[0] if len(notes) == 1 else chord.Chord(notes)
            made.duration = duration.Duration("eighth")
            made = made.getGrace()
            for typed in group:
                self._lead(typed.string, made)
                if typed.leads is not None:
                    self.leading[typed.string] = made, typed.leads
            found.append(made)
        return found

    @staticmethod
    def _grace(typed: GraceNote) -> note.Note:
        pitch = typed.pitch
        found = note.Note(name_of(pitch.step, pitch.alter, pitch.octave))
        found.articulations.append(articulations.StringIndication(typed.string))
        found.articulations.append(articulations.FretIndication(typed.fret))
        return found

    def _lead(self, string: int, whole: note.GeneralNote) -> None:
        """What leads from a grace note on the string to this note, if one does."""
        if string in self.leading:
            first, link = self.leading.pop(string)
            made = _joined(link, first, whole)
            made.editorial.string = string
            self.spanners.append(made)

    def _event(self, event: Event) -> note.GeneralNote:
        made: note.GeneralNote
        notes = [self._note(one) for one in event.notes]
        if not notes:
            made = note.Rest()
        elif len(notes) == 1:
            made = notes[0]
        else:
            made = chord.Chord(notes)
            # music21 writes what is played of a chord as a whole, not of the notes inside it.
            if all(one.fret is not None for one in event.notes):
                made.articulations.extend(places_of(event.notes))
        if (hand := hand_of(event.notes)) is not None:
            made.articulations.append(hand)
        if notes:
            mark_event(made, event)
        if notes and event.brush:
            made.expressions.append(expressions.ArpeggioMark("up"))
        made.duration = duration.Duration(event.duration)
        for typed, one in zip(event.notes, notes, strict=True):
            one.duration = made.duration
            self._link(typed, one, made)
        for verse, text in event.sung:
            made.addLyric(text, lyricNumber=verse)
        return made

    def _note(self, typed: Note) -> note.Note:
        pitch = typed.pitch
        found = note.Note(name_of(pitch.step, pitch.alter, pitch.octave))
        marks: list[Any] = [articulations.StringIndication(typed.string)]
        if typed.fret is not None:
            marks.append(articulations.FretIndication(typed.fret))
        if typed.half:
            extra = articulations.TechnicalIndication()
            extra.displayText = HALF_FRET
            marks.append(extra)
        if typed.finger is not None:
            pluck = articulations.FrettedPluck(0)
            pluck.fingerNumber = typed.finger.value
            pluck.editorial.inferred = typed.inferred_finger
            marks.append(pluck)
        if typed.left_finger is not None:
            marks.append(articulations.Fingering(typed.left_finger))
        found.articulations.extend(marks)
        mark_note(found, typed)
        return found

    def _link(self, typed: Note, one: note.Note, whole: note.GeneralNote) -> None:
        """What leads from the note before on the string to this one."""
        start = self.before.get(typed.string)
        self.before[typed.string] = (one if whole is one else whole, typed)
        if typed.link is None:
            self._lead(typed.string, whole)
        if typed.link is None or start is None:
            return
        first = start[0]
        row = link_row(typed.link)
        if row.held:
            if isinstance(first, note.Note):
                first.tie = tie.Tie("continue" if first.tie else "start")
            one.tie = tie.Tie("stop")
        elif spanner_of(row) is not None:
            made = _joined(typed.link, first, whole)
            made.editorial.string = typed.string
            self.spanners.append(made)


def _joined(link: Link, first: note.GeneralNote, second: note.GeneralNote) -> spanner.Spanner:
    """The spanner of a link over its two notes."""
    kind = spanner_of(link_row(link)) or spanner.Glissando
    made: spanner.Spanner = kind([first, second])
    return made


def _chord_symbol(name: ChordName) -> Any:
    """A chord name as music21 has it; one that is no chord, such as N.C., as its text."""
    if name.root is None:
        return harmony.NoChord(name.text)
    step, alter = name.root
    root = name_of(step, alter, 3)[:-1]
    bass = name_of(*name.bass, 2)[:-1] if name.bass else None
    try:
        found = harmony.ChordSymbol(root=root, bass=bass, kind=name.kind)
    except Exception:  # music21 raises errors of many classes for kinds that it does not know
        return expressions.TextExpression(name.text)
    found.chordKindStr = name.text[len(root) :].partition("/")[0]
    found.editorial.inferred = name.inferred
    return found
