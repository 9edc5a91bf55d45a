"""Notes to events and measures: ties put together, strings and frets found where none are given."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from rollstave.instruments.setup import Setup
from rollstave.musicxml_in.fretting import Unplayable, find_frets
from rollstave.musicxml_in.measures import ReadMeasure
from rollstave.musicxml_in.notes import Heard
from rollstave.problems import Place, ProblemList, TabError
from rollstave.rhythm.model import Meter, Source
from rollstave.score.model import Event, Measure, Note, Rhythm

_NOWHERE = Place(1, 1)


def fretted(
    measures: Sequence[ReadMeasure], setup: Setup, problems: ProblemList
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


def build_measures(
    with_frets: Sequence[Sequence[tuple[Fraction, list[Heard]]]],
    measures: Sequence[ReadMeasure],
    meter: Meter,
) -> tuple[Measure, ...]:
    result = []
    number = 0
    current: str | None = None
    for index, (read, events) in enumerate(zip(measures, with_frets, strict=True)):
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
                segno=read.segno,
                to_coda=read.to_coda,
                coda=read.coda,
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
        heard.left_finger,
        heard.half,
    )
