"""The measures of a part, walked element by element."""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction
from math import gcd

from lxml import etree
from msgspec import Struct, field
from msgspec.structs import replace

from rollstave.grid.typed import Bar
from rollstave.musicxml_in.changes import NO_KEY, NO_METER, Signatures
from rollstave.musicxml_in.graces import HeardGrace, read_grace
from rollstave.musicxml_in.harmony import read_chord
from rollstave.musicxml_in.notes import Heard, is_between, read_note, voice_of
from rollstave.musicxml_in.numbers import whole, whole_attribute
from rollstave.musicxml_in.words import OWN_PROGRAM, programs_of
from rollstave.notating.values import VALUES
from rollstave.pitch import Key
from rollstave.problems import ProblemList
from rollstave.reading.words.directions import JUMPS, PLACES
from rollstave.rhythm.meter import Meter
from rollstave.score.records import ChordName

_BARS = {"light-light": Bar.DOUBLE, "light-heavy": Bar.FINAL}
_LONGEST = 1_000  # quarter notes of a measure
_LONG, _MOST_OF_LONG = 64, 1_000  # a long measure, and quarter notes in all of those together
_FINEST = 2520  # parts of a quarter note: any tuplet of up to 10
_LATEST = 1_000_000  # divisions from its place to the beginning of a chord
_MOST_TIMES = 1_000  # that a part is played
_PER_MINUTE = re.compile(r"\d+(?:\.\d+)?")


class ReadMeasure(Struct):
    """A measure while it is read. ``above`` are the notes of the staff over the tablature."""

    number: str
    implicit: bool
    heard: list[Heard] = field(default_factory=list)
    graces: list[HeardGrace] = field(default_factory=list)
    rests: list[Fraction] = field(default_factory=list)
    # From when to when, and the name of the voice.
    resting: list[tuple[Fraction, Fraction, str]] = field(default_factory=list)
    above: list[Heard] = field(default_factory=list)
    unpitched: int = 0
    between: int = 0
    length: Fraction = Fraction(0)
    meter: Meter = NO_METER
    key: Key = NO_KEY
    tempo: Fraction | None = None
    details: etree._Element | None = None
    chords: list[ChordName] = field(default_factory=list)
    left: Bar = Bar.SINGLE
    right: Bar = Bar.SINGLE
    ending: str | None = None
    ending_stop: bool = False
    section: str | None = None
    new_line: bool = False  # a system or a page begins
    times: int | None = None
    jump: str | None = None
    fine: bool = False
    segno: bool = False
    to_coda: bool = False
    coda: bool = False


def read_measures(
    part: etree._Element, problems: ProblemList
) -> tuple[list[ReadMeasure], Key, Meter, Fraction | None]:
    """The measures of a part, and the key, meter and tempo that it begins with."""
    reader = _PartReader(staff=_staff(part), signatures=Signatures(problems))
    reader.signatures.left.own = OWN_PROGRAM in programs_of(part.getroottree().getroot())
    long = Fraction(0)
    for element in part.findall("measure"):
        read = reader.measure(element)
        long += read.length if read.length > _LONG else 0
        if long > _MOST_OF_LONG >= read.length:
            raise ValueError(
                f"the long measures up to measure {reader.name} are {long} quarter notes together; "
                f"at most {_MOST_OF_LONG} are written"
            )
        if (
            read.length > _LONGEST
            or long > _MOST_OF_LONG
            or any(_is_fine(h.onset, h.duration) for h in read.heard)
        ):
            raise ValueError(
                f"measure {reader.name} is {read.length} quarter notes long or "
                "has notes shorter than any that are written"
            )
        read.length = read.length or read.meter.length
        reader.found.append(read)
    signatures = reader.signatures
    signatures.left.report(problems)
    return reader.found, signatures.key, signatures.meter, reader.found[0].tempo


class _PartReader(Struct):
    """A part while it is read. ``now`` and ``last`` are where the next note and a note of the chord
    before it begin, in quarter notes from the start of the measure."""

    staff: str
    signatures: Signatures
    found: list[ReadMeasure] = field(default_factory=list)
    divisions: int = 1
    name: str = ""
    now: Fraction = Fraction(0)
    last: Fraction = Fraction(0)

    def measure(self, element: etree._Element) -> ReadMeasure:
        """Read what stands in a measure, in the order in which it stands."""
        read = ReadMeasure(element.get("number", ""), element.get("implicit") == "yes")
        self.name = self.signatures.left.measure = read.number or str(len(self.found) + 1)
        self.now = self.last = Fraction(0)
        self._take_signatures(read)
        for child in element:
            if child.tag == "attributes":
                self.divisions = whole(child, "divisions", self.divisions, 1)
                behind = bool(self.now)
                self.signatures.attributes(child, self.name, not self.found, behind)
                if not behind:
                    self._take_signatures(read)
            elif child.tag == "note":
                self._note(child, read)
            elif child.tag in ("backup", "forward"):
                self._move(child)
            elif child.tag == "harmony":
                later = Fraction(whole(child, "offset", 0, -_LATEST, _LATEST), self.divisions)
                self._chord(child, max(Fraction(0), self.now + later), read)
            elif child.tag == "direction":
                _direction(child, read, self)
            elif child.tag == "sound":
                _sounds(child, read)
                _sounding_tempo(child, read, self)
                if child.find("swing") is not None:
                    self.signatures.left.add("swing")
            elif child.tag == "figured-bass":
                self.signatures.left.add("figured-bass")
            elif child.tag == "print":
                read.new_line = "yes" in (child.get("new-system"), child.get("new-page"))
            elif child.tag == "barline":
                _barline(child, read, self.found)
                self.signatures.left.barline(child)
        read.chords.sort(key=lambda chord: chord.onset)
        return read

    def _take_signatures(self, read: ReadMeasure) -> None:
        here = self.signatures
        read.meter, read.key, read.tempo = here.here, here.key_here, here.tempo_here
        read.details = here.details

    def _chord(self, element: etree._Element, onset: Fraction, read: ReadMeasure) -> None:
        chord = read_chord(element, onset, self.signatures.key_here)
        self.signatures.left.harmony(element)
        if chord is None:
            self.signatures.left.add("harmony without a root")
        else:
            read.chords.append(chord)

    def _note(self, element: etree._Element, read: ReadMeasure) -> None:
        staff = element.findtext("staff", "1")
        if element.find("cue") is not None:
            # It is silent (MusicXML 4.0, cue), and takes its time.
            self.signatures.left.add("cue notes")
            if element.find("grace") is None and element.find("chord") is None:
                self._advance(whole(element, "duration", 0, 0), read)
            return
        if element.find("grace") is not None:
            small = read_grace(element, self.now)
            if small is not None and staff == self.staff:
                small.heard.pitch = self.signatures.sounding(small.heard.pitch)
                read.graces.append(small)
            return
        duration = Fraction(whole(element, "duration", 0, 0), self.divisions)
        onset = self.last
        if element.find("chord") is None:
            onset = self.last = self.now
            self.now += duration
        # Where the first note of a chord has no length, the next may stand at the end.
        end = onset + duration if onset >= read.length else self.now
        read.length = max(read.length, end)
        if staff == self.staff and element.find("rest") is not None and duration:
            read.rests.append(onset)
            read.resting.append((onset, onset + duration, voice_of(element)))
        if staff == self.staff:
            self.signatures.left.note(element)
        if staff == self.staff and (note := read_note(element, onset, duration)):
            if not duration:
                self.signatures.left.add("notes without a duration")
            note.pitch = self.signatures.sounding(note.pitch)
            note.said_voice = voice_of(element)
            read.heard.append(note)
            read.between += is_between(element)
        elif staff == self.staff and element.find("unpitched") is not None:
            read.unpitched += 1
        elif self.staff != "1" and staff == "1":
            self._above(read, element, onset, duration)
        elif element.find("pitch") is not None:
            self.signatures.left.add(f"the notes of staff {staff}")

    def _advance(self, duration: int, read: ReadMeasure) -> None:
        self.last = self.now
        self.now += Fraction(duration, self.divisions)
        read.length = max(read.length, self.now)

    def _above(
        self, read: ReadMeasure, element: etree._Element, onset: Fraction, duration: Fraction
    ) -> None:
        """A note of the other staff; a syllable under it is kept by a note without a string."""
        note = read_note(element, onset, duration)
        if note is None:
            return
        note.pitch = self.signatures.sounding(note.pitch)
        note.said_voice = element.findtext("voice", "").strip()
        read.above.append(note)
        if note.sung:
            read.heard.append(replace(note, duration=Fraction(0)))

    def _move(self, element: etree._Element) -> None:
        """Go back or on in time, but to no time before the measure."""
        step = Fraction(whole(element, "duration", 0, 0), self.divisions)
        self.now += step if element.tag == "forward" else -step
        if self.now < 0:
            self.signatures.before_the_measure(self.name)
            self.now = Fraction(0)


def _is_fine(*times: Fraction) -> bool:
    # Tied notes are parted at sixteenths of a quarter note, whatever times lie around.
    return any(time.denominator > _FINEST * gcd(time.denominator, 16) for time in times)


def _staff(part: etree._Element) -> str:
    """The staff that is read: the one with frets, or the first."""
    for note in part.iter("note"):
        if note.find("notations/technical/fret") is not None:
            return note.findtext("staff", "1")
    return "1"


_UNITS = dict(VALUES)


def _direction(element: etree._Element, read: ReadMeasure, reader: _PartReader) -> None:
    """Section names, jumps, and the tempo in quarter notes a minute."""
    if rehearsal := element.findtext("direction-type/rehearsal"):
        read.section = rehearsal
    signatures = reader.signatures
    signatures.left.direction(element, understood=_jump(element, read) or _is_pace(element))
    mark = element.find("direction-type/metronome")
    number = _PER_MINUTE.search(mark.findtext("per-minute", "")) if mark is not None else None
    if mark is None or number is None:
        _sounding_tempo(element.find("sound"), read, reader)
        return
    unit = _UNITS.get(mark.findtext("beat-unit", "quarter"), Fraction(1))
    if mark.find("beat-unit-dot") is not None:
        unit *= Fraction(3, 2)
    _take_tempo(read, reader, unit, Fraction(number[0]))


def _take_tempo(read: ReadMeasure, reader: _PartReader, unit: Fraction, number: Fraction) -> None:
    # Of several in a measure the last is that of the next one; the first of a part is its own.
    behind = bool(reader.now) and (bool(reader.found) or read.tempo is not None)
    reader.signatures.tempo_mark(unit, number, reader.name, behind)
    if not behind:
        read.tempo = reader.signatures.tempo_here


def _sounding_tempo(sound: etree._Element | None, read: ReadMeasure, reader: _PartReader) -> None:
    """The tempo of a sound without a metronome mark, in quarter notes a minute (MusicXML 4.0,
    sound), where it is not what would be played anyway."""
    said = _PER_MINUTE.fullmatch(sound.get("tempo", "").strip()) if sound is not None else None
    if said is None:
        return
    tempo, here = Fraction(said[0]), reader.signatures.tempo_here
    if tempo != (100 * reader.signatures.here.beat if here is None else here):
        _take_tempo(read, reader, Fraction(1), tempo)


def _is_pace(element: etree._Element) -> bool:
    """True for words that :mod:`rollstave.musicxml_in.words` takes: those over the beginning that
    are beside a tempo."""
    measure, sound = element.getparent(), element.find("sound")
    if measure is None or sound is None or sound.get("tempo") is None:
        return False
    part = measure.getparent()
    return measure.getprevious() is None and part is not None and part.tag == "part"


def _jump(element: etree._Element, read: ReadMeasure) -> bool:
    """Signs and words of jumps, and what they sound like; True if the words are those of one."""
    sound = element.find("sound")
    found = [(e.text or "").strip() for e in element.iterfind("direction-type/words")]
    # One saying may be divided, as where a part of it is set in another size.
    sayings = [" ".join(found), *found] if len(found) > 1 else found
    jump = next((name for s in sayings for pattern, name in JUMPS if pattern.match(s)), None)
    place = next((field for s in sayings for pattern, field in PLACES if pattern.match(s)), None)
    leaves = place == "to_coda"
    if sound is not None:
        leaves = leaves or bool(sound.get("tocoda"))
        _sounds(sound, read)
    if jump:
        read.jump = jump
    read.fine = read.fine or place == "fine"
    read.to_coda = read.to_coda or leaves
    kinds = {kind.tag for kind in element.iterfind("direction-type/*")}
    read.segno = read.segno or "segno" in kinds or place == "segno"
    # The sign of the coda stands also where a player leaves for it.
    read.coda = read.coda or (("coda" in kinds or place == "coda") and not leaves)
    return not any(found) or jump is not None or place is not None


def _sounds(sound: etree._Element, read: ReadMeasure) -> None:
    """What a player does here, as ``sound`` says it: in a direction, or alone in a measure
    (MusicXML 4.0)."""
    if sound.get("dacapo") == "yes":
        read.jump = read.jump or "D.C."
    elif sound.get("dalsegno"):
        read.jump = read.jump or "D.S."
    read.fine = read.fine or bool(sound.get("fine"))
    read.to_coda = read.to_coda or bool(sound.get("tocoda"))
    read.segno = read.segno or bool(sound.get("segno"))
    read.coda = read.coda or bool(sound.get("coda"))


def _barline(element: etree._Element, read: ReadMeasure, before: Sequence[ReadMeasure]) -> None:
    repeat, ending = element.find("repeat"), element.find("ending")
    read.segno = read.segno or element.find("segno") is not None or bool(element.get("segno"))
    read.coda = read.coda or element.find("coda") is not None or bool(element.get("coda"))
    if repeat is not None and repeat.get("direction") == "forward":
        # After another repeat, and drawn as any bar: a player goes back there anyhow.
        after_one = bool(before) and (before[-1].right is Bar.REPEAT_END or before[-1].ending_stop)
        if not (after_one and element.findtext("bar-style") == "regular"):
            read.left = Bar.REPEAT_START
    elif repeat is not None:
        # On the left of a measure it ends the one before.
        ended = before[-1] if element.get("location") == "left" and before else read
        ended.right = Bar.REPEAT_END
        times = whole_attribute(repeat, "times", 2, 0, _MOST_TIMES)
        ended.times = times if times > 2 else None
    elif element.get("location", "right") == "right":
        read.right = _BARS.get(element.findtext("bar-style", ""), read.right)
    if ending is not None:
        if ending.get("type") == "start":
            read.ending = _turns(ending.get("number", ""), before)
        else:
            read.ending_stop = True


def _turns(number: str, before: Sequence[ReadMeasure]) -> str:
    """The turns of an ending as ``1`` or ``1,2``. One without a number, which MusicXML 4.0
    allows, is the first, or the one after the ending that ends right before it."""
    turns = re.findall(r"[0-9]+", number)
    if not turns and before and before[-1].ending_stop:
        last = next((m.ending for m in reversed(before) if m.ending), "0")
        turns = [str(int(last.rpartition(",")[2]) + 1)]
    return ",".join(turns) or "1"
