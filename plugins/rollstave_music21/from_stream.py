"""From a music21 stream to typed tab.

music21's own MusicXML writer keeps one string and one fret for a chord and no tuning, so a plain
MusicXML of our own goes in between: pitches, durations, strings and frets, and what rollstave
reads beside them. Where a note has no string or fret, rollstave finds them.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from math import lcm
from typing import Any
from xml.etree import ElementTree as Xml

from music21 import (
    articulations,
    bar,
    chord,
    defaults,
    expressions,
    harmony,
    instrument,
    key,
    meter,
    note,
    repeat,
    spanner,
    stream,
    tempo,
)

import rollstave
from rollstave_music21.kept import HEADING, NO_HEADINGS, WORDS, Neck, custom
from rollstave_music21.marks import (
    SPANNERS,
    Notations,
    add,
    add_head,
    fingers_of,
    number_of,
    share_of,
)

_MODES = {"major", "minor", "dorian", "phrygian", "lydian", "mixolydian"} | {
    "aeolian",
    "ionian",
    "locrian",
}


_TIMED = [note.GeneralNote, harmony.Harmony]


def _in_time(timed: tuple[Fraction, Any]) -> tuple[Fraction, bool]:
    """Chord names before the notes that they stand over."""
    return timed[0], not isinstance(timed[1], harmony.Harmony)


def to_tab(obj: Any, width: int = 80) -> tuple[str, tuple[str, ...]]:
    """A stream as text in the house dialect, and what there is to say about it.

    Raises :class:`rollstave.TabError` where a note cannot be played on the instrument, ValueError
    where there is no measure.
    """
    part, remarks = _part(obj)
    document = _Document(obj, part, frets=True)
    tune = _read(document)
    if document.neck.moved:
        remarks.append(document.neck.said)
    elif any(problem.code in ("pitch", "fret") for problem in tune.problems):
        tune = _read(_Document(obj, part, frets=False))
        remarks.append(
            "some notes do not sound at their strings and frets in this tuning; all frets are "
            "found anew from the pitches"
        )
    (text,) = rollstave.write(tune, "text", width=width)
    said = tuple(p.message for p in tune.problems)
    return text.decode(), (*remarks, *said)


def _read(document: _Document) -> rollstave.Tune:
    data = Xml.tostring(document.root, encoding="utf-8", xml_declaration=True)
    (tune,) = rollstave.read(data)
    return tune


def _part(obj: Any) -> tuple[Any, list[str]]:
    """The part to write, with measures: the first that has strings, or the first."""
    if isinstance(obj, stream.Opus):
        obj = next(iter(obj.scores))
    parts = list(obj.parts) if isinstance(obj, stream.Score) else [obj]
    if not parts:
        parts = [obj]
    part = next((p for p in parts if _has_strings(p)), parts[0])
    remarks = [f"of {len(parts)} parts, one is written as tab"] if len(parts) > 1 else []
    if not isinstance(part, stream.Stream) or not part[note.GeneralNote].first():
        raise ValueError("there are no notes to write as tab")
    if isinstance(part, stream.Measure):
        whole = stream.Part()
        whole.append(part)
        part = whole
    elif not part.hasMeasures():
        part = part.makeMeasures()
    # A part that is known to sound where it is written is not transposed again.
    if part.atSoundingPitch is False:
        part = part.toSoundingPitch()
    return part, remarks


def _has_strings(part: Any) -> bool:
    return any(
        isinstance(mark, articulations.StringIndication)
        for one in part[note.NotRest]
        for mark in (*one.articulations, *_inner_marks(one))
    )


def _inner_marks(one: Any) -> Iterator[Any]:
    for inner in one.notes if isinstance(one, chord.Chord) else ():
        yield from inner.articulations


def headings(described: Any) -> list[tuple[str, str]]:
    """The headings that rollstave put into music21's metadata, by their keys."""
    found = described.all() if described else ()
    named = ((str(name).removeprefix("custom:"), str(words)) for name, words in found)
    return [
        (name.removeprefix(HEADING), words)
        for name, words in named
        if name.startswith(HEADING) and name not in NO_HEADINGS
    ]


class _Document:
    """The MusicXML of one part."""

    def __init__(self, obj: Any, part: Any, frets: bool) -> None:
        self.part = part
        self.frets = frets
        described = obj.metadata or part.metadata
        self.neck = Neck(part, described)
        self.divisions = lcm(
            *(Fraction(e.quarterLength).denominator for e in part[note.GeneralNote]),
            *(Fraction(e.offset).denominator for e in part[note.GeneralNote]),
        )
        self.starts, self.stops = self._spanners()
        self.brackets = self._brackets()
        self.root = Xml.Element("score-partwise", version="4.0")
        work = add(self.root, "work")
        add(work, "work-title", (described.bestTitle if described else None) or "")
        identification = add(self.root, "identification")
        for person in described.contributors if described else ():
            if person.name and person.name != defaults.author:  # whom music21 names where nobody is
                add(identification, "creator", person.name, type=person.role)
        # rollstave finds any heading in a field of its key's name.
        fields = add(identification, "miscellaneous")
        for name, words in headings(described):
            add(fields, "miscellaneous-field", words, name=name)
        for line in custom(described, WORDS):
            add(add(self.root, "credit", page=1), "credit-words", line, halign="left")
        listed = add(add(self.root, "part-list"), "score-part", id="P1")
        add(listed, "part-name", self.neck.instrument or "tab")
        written = add(self.root, "part", id="P1")
        for position, measure in enumerate(part.getElementsByClass(stream.Measure)):
            self._measure(written, measure, position == 0)

    def _spanners(self) -> tuple[dict[int, list[Any]], dict[int, list[Any]]]:
        """Hammer-ons, pull-offs and slides by the ids of their first and last notes."""
        starts: dict[int, list[Any]] = {}
        stops: dict[int, list[Any]] = {}
        kinds = tuple(SPANNERS.values())
        for found in self.part[spanner.Spanner]:
            if isinstance(found, kinds) and found.getFirst() is not None:
                starts.setdefault(id(found.getFirst()), []).append(found)
                stops.setdefault(id(found.getLast()), []).append(found)
        return starts, stops

    def _brackets(self) -> dict[int, tuple[str, bool, bool]]:
        """Endings by the ids of their measures: the number, whether one begins, whether it ends."""
        found: dict[int, tuple[str, bool, bool]] = {}
        for bracket in self.part[spanner.RepeatBracket]:
            covered = bracket.getSpannedElements()
            number = ", ".join(str(n) for n in bracket.numberRange)
            for measure in covered:
                found[id(measure)] = (number, measure is covered[0], measure is covered[-1])
        return found

    # Measures -------------------------------------------------------------------------------

    def _measure(self, written: Xml.Element, measure: Any, first: bool) -> None:
        short = measure.barDuration.quarterLength > measure.duration.quarterLength
        pickup = first and (measure.number == 0 or measure.paddingLeft > 0) and short
        made = add(
            written,
            "measure",
            number=measure.number,
            implicit="yes" if pickup else None,
        )
        self._attributes(made, measure, first)
        for mark in measure[expressions.RehearsalMark]:
            kind = add(add(made, "direction"), "direction-type")
            add(kind, "rehearsal", mark.content)
        for mark in measure[tempo.MetronomeMark]:
            if mark.number:
                kind = add(add(made, "direction"), "direction-type")
                shown = add(kind, "metronome")
                add(shown, "beat-unit", mark.referent.type)
                for _ in range(mark.referent.dots):
                    add(shown, "beat-unit-dot")
                add(shown, "per-minute", round(mark.number))
        self._barline(made, measure, "left")
        self._notes(made, measure)
        for mark in measure[repeat.RepeatExpression]:
            jump = add(made, "direction")
            add(add(jump, "direction-type"), "words", mark.getText())
            fine = isinstance(mark, repeat.Fine)
            back = isinstance(mark, repeat.DaCapo | repeat.DaCapoAlFine | repeat.DaCapoAlCoda)
            if fine or back:
                add(jump, "sound", **({"fine": "yes"} if fine else {"dacapo": "yes"}))
        self._barline(made, measure, "right")

    def _attributes(self, made: Xml.Element, measure: Any, first: bool) -> None:
        signature = measure[key.KeySignature].first()
        time = measure[meter.TimeSignature].first()
        anew = None if first else measure[instrument.Instrument].first()
        if not first and signature is None and time is None and anew is None:
            return
        attributes = add(made, "attributes")
        if first:
            add(attributes, "divisions", self.divisions)
        if signature is not None:
            named = add(attributes, "key")
            add(named, "fifths", signature.sharps)
            mode = getattr(signature, "mode", None)
            if mode in _MODES:
                add(named, "mode", mode)
        if time is not None:
            counted = add(attributes, "time", symbol=time.symbol or None)
            add(counted, "beats", time.numerator)
            add(counted, "beat-type", time.denominator)
        if first and self.neck.strings:
            _strings(attributes, self.neck.strings, self.neck.capo)
        elif anew is not None and getattr(anew, "stringPitches", None):
            _strings(attributes, anew.stringPitches, anew.editorial.get("capo", 0))

    def _barline(self, made: Xml.Element, measure: Any, side: str) -> None:
        found = measure.leftBarline if side == "left" else measure.rightBarline
        number, begins, ends = self.brackets.get(id(measure), ("", False, False))
        ending = begins if side == "left" else ends
        if found is None and not ending:
            return
        line = add(made, "barline", location=side)
        repeated = isinstance(found, bar.Repeat)
        if found is not None and not repeated and found.type in ("double", "final"):
            style = {"double": "light-light", "final": "light-heavy"}[found.type]
            add(line, "bar-style", style)
        if ending:
            add(line, "ending", "", number=number, type="start" if side == "left" else "stop")
        if repeated:
            forward = found.direction == "start"
            add(
                line,
                "repeat",
                direction="forward" if forward else "backward",
                times=found.times if not forward else None,
            )

    # Notes ----------------------------------------------------------------------------------

    def _notes(self, made: Xml.Element, measure: Any) -> None:
        """The notes of a measure, one voice after the other; chord names with the first."""
        voices = list(measure.voices)
        own = [(Fraction(e.offset), e) for e in measure.getElementsByClass(_TIMED)]
        inside = [
            [
                (Fraction(voice.offset) + Fraction(e.offset), e)
                for e in voice.getElementsByClass(_TIMED)
            ]
            for voice in voices
        ]
        # A chord name is a chord to music21.
        if inside and all(isinstance(e, harmony.Harmony) for _, e in own):
            inside[0] = sorted([*own, *inside[0]], key=_in_time)
        else:
            inside.insert(0, own)
        for number, timed in enumerate(inside, start=1):
            length = self._voice(made, timed, number if voices else None)
            if number < len(inside) and length:
                add(add(made, "backup"), "duration", int(length * self.divisions))

    def _voice(self, made: Xml.Element, timed: list[tuple[Fraction, Any]], number: Any) -> Fraction:
        """The notes and rests of a voice; the time at which it ends."""
        at = Fraction(0)
        for onset, found in timed:
            if isinstance(found, harmony.Harmony):
                self._harmony(made, found, onset - at)
                continue
            if onset > at:
                self._rest(made, onset - at, number)
            at = onset + Fraction(found.quarterLength)
            if isinstance(found, note.NotRest) and not isinstance(found, note.Unpitched):
                self._struck(made, found, number)
            elif found.quarterLength:
                self._rest(made, Fraction(found.quarterLength), number)
        return at

    def _rest(self, made: Xml.Element, length: Fraction, voice: Any) -> None:
        rest = add(made, "note")
        add(rest, "rest")
        add(rest, "duration", int(length * self.divisions))
        if voice is not None:
            add(rest, "voice", voice)

    def _struck(self, made: Xml.Element, whole: Any, voice: Any) -> None:
        inside = list(whole.notes) if isinstance(whole, chord.Chord) else [whole]
        for position, one in enumerate(inside):
            heard = add(made, "note")
            if not whole.quarterLength:
                add(heard, "grace")
            if position:
                add(heard, "chord")
            pitch = add(heard, "pitch")
            add(pitch, "step", one.pitch.step)
            if one.pitch.alter:
                add(pitch, "alter", int(one.pitch.alter))
            add(pitch, "octave", one.pitch.implicitOctave)
            if whole.quarterLength:
                length = int(Fraction(whole.quarterLength) * self.divisions)
                add(heard, "duration", length)
            tied = one.tie or whole.tie
            if tied and tied.type in ("stop", "continue"):
                add(heard, "tie", type="stop")
            if tied and tied.type in ("start", "continue"):
                add(heard, "tie", type="start")
            if voice is not None:
                add(heard, "voice", voice)
            add_head(heard, one)
            self._notations(heard, whole, one, position)
            if not position:
                for lyric in whole.lyrics:
                    add(add(heard, "lyric", number=lyric.number), "text", lyric.rawText)

    def _notations(self, heard: Xml.Element, whole: Any, one: Any, position: int) -> None:
        marks = list(one.articulations)
        if whole is not one:
            marks += share_of(whole.articulations, position)
        string = number_of(marks, articulations.StringIndication)
        fret = number_of(marks, articulations.FretIndication)
        notations = Notations()
        for name, number in (("string", string), ("fret", fret)):
            if number is not None and self.frets:
                notations.add(f"technical/{name}", number)
        notations.add_marks(marks, one)
        notations.add_fingers(*fingers_of(whole.articulations, string))
        for table, kind in ((self.stops, "stop"), (self.starts, "start")):
            for found in table.get(id(whole), ()):
                if found.editorial.get("string", string) == string:
                    path = next(p for p, of in SPANNERS.items() if isinstance(found, of))
                    notations.add(path, type=kind)
        if any(isinstance(e, expressions.ArpeggioMark) for e in whole.expressions):
            notations.add("arpeggiate")
        if len(notations.root):
            heard.append(notations.root)

    def _harmony(self, made: Xml.Element, found: Any, offset: Fraction) -> None:
        if isinstance(found, harmony.NoChord) or found.root() is None:
            return
        named = add(made, "harmony")
        root = add(named, "root")
        add(root, "root-step", found.root().step)
        if found.root().alter:
            add(root, "root-alter", int(found.root().alter))
        add(named, "kind", found.chordKind or "major", text=found.chordKindStr or "")
        if found.bass() is not None and found.bass().name != found.root().name:
            bass = add(named, "bass")
            add(bass, "bass-step", found.bass().step)
            if found.bass().alter:
                add(bass, "bass-alter", int(found.bass().alter))
        if offset:
            add(named, "offset", int(offset * self.divisions))


def _strings(attributes: Xml.Element, strings: Any, capo: int) -> None:
    """The open strings of the staff, the lowest line first, and the capo."""
    details = add(attributes, "staff-details")
    add(details, "staff-lines", len(strings))
    for line, pitch in enumerate(strings, start=1):
        tuned = add(details, "staff-tuning", line=line)
        add(tuned, "tuning-step", pitch.step)
        add(tuned, "tuning-alter", int(pitch.alter))
        add(tuned, "tuning-octave", pitch.octave)
    if capo:
        add(details, "capo", capo)
