"""The document: what it says of the tune, and its measures. MusicXML 4.0, score-partwise."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction

from lxml import etree

from rollstave.grid.model import Bar
from rollstave.instruments.model import Instrument, Tuning
from rollstave.instruments.setup import Setup
from rollstave.instruments.table import FIVE_STRING_BANJO, INSTRUMENTS
from rollstave.instruments.tunings import written_form
from rollstave.musicxml_in.fretting import Unplayable, find_frets
from rollstave.musicxml_in.notes import Heard, read_note
from rollstave.pitch import MODES, Key, Pitch
from rollstave.problems import Place, ProblemList, TabError
from rollstave.rhythm.model import Meter, Source
from rollstave.score.chords import chord_name
from rollstave.score.model import ChordName, Event, Measure, Note, Rhythm, Score
from rollstave.score.notation import VALUES

_BARS = {"light-light": Bar.DOUBLE, "light-heavy": Bar.FINAL}
_ALTERS = {-2: "bb", -1: "b", 0: "", 1: "#", 2: "##"}
_NOWHERE = Place(1, 1)


@dataclass
class _Read:
    """A measure while it is read."""

    number: str
    implicit: bool
    heard: list[Heard] = field(default_factory=list)
    length: Fraction = Fraction(0)
    chords: list[ChordName] = field(default_factory=list)
    left: Bar = Bar.SINGLE
    right: Bar = Bar.SINGLE
    ending: str | None = None
    ending_stop: bool = False
    section: str | None = None
    times: int | None = None
    jump: str | None = None
    fine: bool = False


def read_musicxml(data: bytes, problems: ProblemList, tuning: Tuning | None = None) -> Score:
    """The score of the first part with a tablature, or of the first part. Raises TabError.

    Notes with string and fret keep them; without, frets are found under the file's tuning, or
    ``tuning``, or the usual one of the five-string banjo.
    """
    root = _parse(data, problems)
    parts = root.findall("part")
    part = next((p for p in parts if p.find(".//technical/fret") is not None), None)
    if part is None and parts:
        part = parts[0]
    if part is None:
        problems.error("musicxml", "the MusicXML file has no part to read")
        raise TabError(problems.sorted())
    if len(parts) > 1:
        problems.notice("musicxml", f"the file has {len(parts)} parts; one of them is read")
    setup = _setup(part, tuning)
    measures, key, meter, tempo = _measures(part, problems)
    fretted = _fretted(measures, setup, problems)
    built = _build(fretted, measures, meter)
    return Score(
        _text(root, "work/work-title") or _text(root, "movement-title"),
        setup,
        key,
        meter,
        tempo,
        built,
        _text(root, "identification/creator[@type='composer']"),
        _text(root, "identification/source"),
        tuple(
            (w.text or "")
            for c in root.findall("credit")
            if c.find("credit-type") is None
            for w in c.findall("credit-words")
            if w.get("halign") == "left"
        ),
        _text(root, "identification/miscellaneous/miscellaneous-field[@name='style']"),
    )


def _parse(data: bytes, problems: ProblemList) -> etree._Element:
    parser = etree.XMLParser(resolve_entities=False, no_network=True, load_dtd=False)
    try:
        return etree.fromstring(data, parser)
    except etree.XMLSyntaxError as error:
        line, column = error.position
        problems.error("xml", f"this is not well-formed XML: {error.msg}", Place(line, column))
        raise TabError(problems.sorted()) from None


def _text(root: etree._Element, path: str) -> str:
    return (root.findtext(path) or "").strip()


# Instrument and tuning ---------------------------------------------------------------------


def _setup(part: etree._Element, wanted: Tuning | None) -> Setup:
    """The setup that the tablature staff declares, or the usual one."""
    details = next(
        (d for d in part.iter("staff-details") if d.find("staff-tuning") is not None), None
    )
    if details is None:
        return Setup(FIVE_STRING_BANJO, wanted or FIVE_STRING_BANJO.default)
    lines = [
        (
            int(t.get("line", "1")),
            Pitch(
                t.findtext("tuning-step", "C"),
                int(float(t.findtext("tuning-alter", "0"))),
                int(t.findtext("tuning-octave", "4")),
            ),
        )
        for t in details.findall("staff-tuning")
    ]
    pitches = tuple(p for _, p in sorted(lines, key=lambda item: -item[0]))
    capo = int(details.findtext("capo", "0"))
    for instrument in INSTRUMENTS:
        if instrument.strings == len(pitches) and (found := _known(instrument, pitches, capo)):
            return found
    instrument = next((i for i in INSTRUMENTS if i.strings == len(pitches)), FIVE_STRING_BANJO)
    return Setup(
        instrument,
        Tuning(written_form(pitches, instrument), pitches),
        capo,
        capo if instrument.short_string else 0,
    )


def _known(instrument: Instrument, pitches: Sequence[Pitch], capo: int) -> Setup | None:
    """A known tuning with these open strings; a short string may be raised more or less than the
    capo does, and then all but it must agree."""
    midi = [p.midi for p in pitches]
    short = instrument.short_string
    for exact in (True, False):
        for tuning in instrument.tunings:
            own = [p.midi for p in tuning.pitches]
            if own == midi:
                return Setup(instrument, tuning, capo, capo if short else 0)
            if not exact and short:
                last = short.string - 1
                raised = capo + midi[last] - own[last]
                if own[:last] == midi[:last] and 0 <= raised <= 12:
                    return Setup(instrument, tuning, capo, raised)
    return None


# Measures ----------------------------------------------------------------------------------


def _measures(
    part: etree._Element, problems: ProblemList
) -> tuple[list[_Read], Key, Meter, Fraction | None]:
    staff = _staff(part)
    divisions = 1
    key, meter, tempo = Key("C"), Meter(4, 4), None
    found: list[_Read] = []
    grace = 0
    for element in part.findall("measure"):
        read = _Read(element.get("number", ""), element.get("implicit") == "yes")
        now = last = Fraction(0)
        for child in element:
            if child.tag == "attributes":
                divisions = int(child.findtext("divisions", str(divisions)))
                if not found:
                    key, meter = _key(child, key), _meter(child, meter)
            elif child.tag == "note":
                if child.find("grace") is not None:
                    grace += 1
                    continue
                duration = Fraction(int(float(child.findtext("duration", "0"))), divisions)
                onset = last if child.find("chord") is not None else now
                if child.find("chord") is None:
                    last, now = now, now + duration
                read.length = max(read.length, now)
                if child.findtext("staff", "1") == staff and (
                    note := read_note(child, onset, duration)
                ):
                    read.heard.append(note)
                elif staff != "1" and child.findtext("staff", "1") == "1":
                    _take_lyric(read, child, onset)
            elif child.tag in ("backup", "forward"):
                step = Fraction(int(float(child.findtext("duration", "0"))), divisions)
                now += step if child.tag == "forward" else -step
            elif child.tag == "harmony":
                read.chords.append(_chord(child, now))
            elif child.tag == "direction":
                tempo = _direction(child, read, tempo)
            elif child.tag == "barline":
                _barline(child, read)
        found.append(read)
    if grace:
        problems.notice("grace", f"{grace} grace notes are left out; text tab has no sign for them")
    return found, key, meter, tempo


def _staff(part: etree._Element) -> str:
    """The staff that is read: the one with frets, or the first."""
    for note in part.iter("note"):
        if note.find("notations/technical/fret") is not None:
            return note.findtext("staff", "1")
    return "1"


def _take_lyric(read: _Read, element: etree._Element, onset: Fraction) -> None:
    """A syllable that stands under the other staff; it is kept by a note without a string."""
    note = read_note(element, onset, Fraction(0))
    if note is not None and note.lyric:
        read.heard.append(note)


def _key(attributes: etree._Element, before: Key) -> Key:
    key = attributes.find("key")
    if key is None:
        return before
    mode = key.findtext("mode", "major")
    mode = mode if mode in MODES else "major"
    fifths = int(key.findtext("fifths", "0")) - MODES[mode]
    step = "FCGDAEB"[(fifths + 1) % 7]
    return Key(step + _ALTERS.get((fifths + 1) // 7, ""), mode)


def _meter(attributes: etree._Element, before: Meter) -> Meter:
    time = attributes.find("time")
    if time is None or not time.findtext("beats", "").isdigit():
        return before
    symbol = time.get("symbol", "")
    return Meter(
        int(time.findtext("beats", "4")),
        int(time.findtext("beat-type", "4")),
        symbol if symbol in ("cut", "common") else "",
    )


def _chord(element: etree._Element, onset: Fraction) -> ChordName:
    kind = element.find("kind")
    inferred = element.get("font-style") == "italic"
    if kind is not None and kind.text == "none":
        return replace(chord_name(kind.get("text") or "N.C.", onset), inferred=inferred)
    text = _named(element, "root") + ((kind.get("text") or "") if kind is not None else "")
    if element.find("bass") is not None:
        text += "/" + _named(element, "bass")
    return replace(chord_name(text, onset), inferred=inferred)


def _named(element: etree._Element, name: str) -> str:
    step = element.findtext(f"{name}/{name}-step", "C")
    alter = int(float(element.findtext(f"{name}/{name}-alter", "0")))
    return step + _ALTERS.get(alter, "")


_UNITS = dict(VALUES)


def _direction(element: etree._Element, read: _Read, tempo: Fraction | None) -> Fraction | None:
    """Section names, jumps, and the tempo in quarter notes a minute."""
    if rehearsal := element.findtext("direction-type/rehearsal"):
        read.section = rehearsal
    sound = element.find("sound")
    if sound is not None and sound.get("dacapo") == "yes":
        read.jump = (element.findtext("direction-type/words") or "D.C.").strip()
    if sound is not None and sound.get("fine"):
        read.fine = True
    mark = element.find("direction-type/metronome")
    if mark is None or not mark.findtext("per-minute", "").strip().isdigit():
        return tempo
    unit = _UNITS.get(mark.findtext("beat-unit", "quarter"), Fraction(1))
    if mark.find("beat-unit-dot") is not None:
        unit *= Fraction(3, 2)
    return unit * Fraction(int(mark.findtext("per-minute", "100")))


def _barline(element: etree._Element, read: _Read) -> None:
    repeat, ending = element.find("repeat"), element.find("ending")
    if repeat is not None and repeat.get("direction") == "forward":
        read.left = Bar.REPEAT_START
    elif repeat is not None:
        read.right = Bar.REPEAT_END
        times = int(repeat.get("times", "2"))
        read.times = times if times > 2 else None
    elif element.get("location", "right") == "right":
        read.right = _BARS.get(element.findtext("bar-style", ""), read.right)
    if ending is not None:
        if ending.get("type") == "start":
            read.ending = ending.get("number", "1").replace(" ", "")
        else:
            read.ending_stop = True


# Notes to events -----------------------------------------------------------------------------


def _fretted(
    measures: Sequence[_Read], setup: Setup, problems: ProblemList
) -> list[list[tuple[Fraction, list[Heard]]]]:
    """The notes of each measure by onset, every one with its string and fret; tied notes are
    added to the note before."""
    result: list[list[tuple[Fraction, list[Heard]]]] = []
    bare: list[tuple[int, list[Heard]]] = []
    over_bar: set[int] = set()
    kept_over: set[int] = set()
    rung = 0
    for index, read in enumerate(measures):
        by_onset: dict[Fraction, list[Heard]] = {}
        sounding: dict[int, Heard] = {}
        held: set[int] = set()
        lyrics = {h.onset: h.lyric for h in read.heard if h.duration == 0}
        for note in sorted(read.heard, key=lambda h: h.onset):
            if note.duration == 0:
                continue
            before = sounding.get(note.pitch.midi)
            if note.tied and before and before.onset + before.duration == note.onset:
                before.duration += note.duration
                continue
            if note.tied and note.onset == 0 and note.pitch.midi in over_bar:
                held.add(note.pitch.midi)  # it rings on: nothing is struck
                if note.duration >= (read.length or note.duration):
                    kept_over.add(note.pitch.midi)
                continue
            note.lyric = note.lyric or lyrics.get(note.onset)
            by_onset.setdefault(note.onset, []).append(note)
            sounding[note.pitch.midi] = note
        events = sorted(by_onset.items())
        result.append(events)
        length = read.length
        over_bar = {m for m, h in sounding.items() if h.onset + h.duration >= length} | kept_over
        kept_over = set()
        rung += len(held)
        bare += [(index, notes) for _, notes in events if any(h.string is None for h in notes)]
    if rung:
        problems.notice(
            "tied", f"{rung} notes tied over a bar line are left to ring; they are not struck again"
        )
    if bare:
        _find(bare, setup, problems)
    return result


def _find(bare: Sequence[tuple[int, list[Heard]]], setup: Setup, problems: ProblemList) -> None:
    for _, notes in bare:
        notes[:] = list({h.pitch.midi: h for h in notes}.values())
    try:
        grips = find_frets([[h.pitch.midi for h in notes] for _, notes in bare], setup)
    except Unplayable as error:
        index, notes = bare[error.index]
        names = ", ".join(str(h.pitch) for h in notes)
        problems.error(
            "range",
            f"measure {index + 1}: {names} cannot be played in {setup.tuning.written}; choose "
            "another tuning or transpose the tune",
        )
        raise TabError(problems.sorted()) from None
    for (_, notes), grip in zip(bare, grips, strict=True):
        for note, (string, fret) in zip(notes, grip, strict=True):
            note.string, note.fret = string, fret
    problems.notice(
        "frets",
        f"{len(bare)} notes and chords have no string and fret; the easiest way to play them in "
        f"{setup.tuning.written} was searched",
    )


def _build(
    fretted: Sequence[Sequence[tuple[Fraction, list[Heard]]]],
    measures: Sequence[_Read],
    meter: Meter,
) -> tuple[Measure, ...]:
    result = []
    number = 0
    current: str | None = None
    for index, (read, events) in enumerate(zip(measures, fretted, strict=True)):
        length = read.length or meter.length
        pickup = length < meter.length and (read.number == "0" or (not index and read.implicit))
        number += 0 if pickup else 1
        current = read.ending or current
        result.append(
            Measure(
                index,
                0 if pickup else number,
                length,
                _events(events, length),
                Rhythm(1.0, True, Source.WRITTEN, ("written in the MusicXML file",)),
                tuple(read.chords),
                read.left,
                read.right,
                read.ending,
                read.ending_stop,
                current,
                read.section,
                pickup or length != meter.length,
                times=read.times,
                jump=read.jump,
                fine=read.fine,
            )
        )
        if read.ending_stop:
            current = None
    return tuple(result)


def _events(events: Sequence[tuple[Fraction, list[Heard]]], length: Fraction) -> tuple[Event, ...]:
    """Each event lasts to the next: text tab has no sign for the end of a note."""
    found: list[Event] = []
    if not events or events[0][0] > 0:
        found.append(Event(Fraction(0), events[0][0] if events else length, ()))
    for index, (onset, heard) in enumerate(events):
        end = events[index + 1][0] if index + 1 < len(events) else length
        notes = tuple(_note(h) for h in sorted(heard, key=lambda h: h.string or 0))
        lyric = next((h.lyric for h in heard if h.lyric), None)
        found.append(Event(onset, end - onset, notes, any(h.brush for h in heard), lyric))
    return tuple(found)


def _note(heard: Heard) -> Note:
    return Note(
        heard.string or 1,
        heard.fret,
        heard.pitch,
        _NOWHERE,
        heard.link,
        heard.finger,
        heard.inferred_finger,
        heard.muted,
        heard.ghost,
        heard.harmonic,
        heard.bend,
        heard.vibrato,
        heard.slide_from,
        heard.slide_to,
        heard.let_ring,
    )
