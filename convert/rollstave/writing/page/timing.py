"""What sounds when, as plain data for the page's scripts.

Times are in quarter notes. Measures are given once, in written order; ``order`` says which
of them is played when, and ``starts`` at what time, repeats and endings played out.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Any

from msgspec import Struct, structs

from rollstave.deciding.playback import grace_time, play_order
from rollstave.deciding.voices import drones, picking_fingers
from rollstave.grid.typed import Link, SlideEdge
from rollstave.instruments.setup import Setup
from rollstave.notating.notation import NotatedMeasure, Symbol, notate
from rollstave.rhythm.meter import Meter
from rollstave.score.links import NoteAddress
from rollstave.score.records import Event, Finger, Measure, Note, Score
from rollstave.vocabulary.signs import techniques_of
from rollstave.writing.note_ids import STAFF_PREFIX, TAB_PREFIX, note_id
from rollstave.writing.sheet.drawing import with_signs

_EDGES = {SlideEdge.UP: 1, SlideEdge.DOWN: -1}


class _Known(Struct, frozen=True):
    """What is decided for the whole score."""

    drones: frozenset[NoteAddress]
    fingers: Mapping[NoteAddress, Finger]
    setup: Setup


def play_data(score: Score, order: Sequence[int] | None = None) -> dict[str, Any]:
    """Everything that the page needs to play a score; numbers, strings, lists and objects only.
    ``order`` is the one in which its measures are played, where it is not that of the tune."""
    order = play_order(score.measures) if order is None else order
    starts: list[Fraction] = []
    now = Fraction(0)
    for index in order:
        starts.append(now)
        now += score.measures[index].length
    tempos = score.sounding_tempos
    changing = [
        [_plain(start), _plain(tempos[index])]
        for before, index, start in zip((None, *order), order, starts, strict=False)
        if before is not None and tempos[index] != tempos[before]
    ]
    known = _Known(drones(score), picking_fingers(score.measures), score.setup)
    return {
        "title": score.title,
        "tempo": _plain(score.sounding_tempo),
        **({"tempos": changing} if changing else {}),
        **_counted(score.meter),
        "strings": _strings(score),
        "frets": score.setup.instrument.frets - score.setup.capo,
        "capo": score.setup.capo,
        "measures": [
            _measure(notated, meter, structs.replace(known, setup=setup))
            | ({} if meter == score.meter else _counted(meter))
            for notated, meter, setup in zip(notate(score), score.meters, score.setups, strict=True)
        ],
        "order": list(order),
        "starts": [_plain(start) for start in starts],
        "length": _plain(now),
    }


def _plain(value: Fraction) -> int | float:
    """A number as JSON has it; what is no whole number loses nothing that a clock could show."""
    return int(value) if value.denominator == 1 else round(float(value), 9)


def _short_start(setup: Setup) -> int:
    """The fret, as tab counts, where the short string begins."""
    short = setup.instrument.short_string
    if short is None:
        return 0
    stop = setup.short_raise if setup.short_raised_by == "capo" else 0
    return short.peg_fret + stop - setup.capo


def _strings(score: Score) -> list[dict[str, Any]]:
    """The strings from 1 on: open pitch (with capo), and the fret at which each begins."""
    setup = score.setup
    short = setup.instrument.short_string
    found = []
    for string in range(1, setup.instrument.strings + 1):
        is_short = short is not None and short.string == string
        found.append({"midi": setup.open_midi(string), "from": _short_start(setup) * is_short})
    return found


def _counted(meter: Meter) -> dict[str, int | float]:
    """What a count-in needs: the length of a beat and of a full measure."""
    return {"beat": _plain(meter.beat), "bar": _plain(meter.length)}


def _measure(notated: NotatedMeasure, meter: Meter, known: _Known) -> dict[str, Any]:
    measure = notated.measure
    found: dict[str, Any] = {
        "number": measure.number,
        "length": _plain(measure.length),
        "beats": _beats(meter, measure),
        "events": [
            _event(notated, index, event, known) for index, event in enumerate(measure.events)
        ],
    }
    if measure.section:
        found["section"] = measure.section
    if measure.number == 0:
        found["missing"] = _plain(max(Fraction(0), meter.length - measure.length))
    return found


def _beats(meter: Meter, measure: Measure) -> list[list[int | float]]:
    """When each beat of a measure falls, and which beat of its measure it is, counted from 1.

    The beats of a pickup are the last ones of a full measure.
    """
    beat, full = meter.beat, meter.length
    offset = full - measure.length if measure.number == 0 else Fraction(0)
    found: list[list[int | float]] = []
    position, number = Fraction(0), 1
    while position < offset + measure.length:
        if position >= offset:
            found.append([_plain(position - offset), number])
        position += beat
        number += 1
    return found


def _event(notated: NotatedMeasure, index: int, event: Event, known: _Known) -> dict[str, Any]:
    """An event: its onset, duration and notes; ``held`` has the tied parts that are drawn later,
    ``under`` what another voice holds meanwhile: there the ids of its heads, and in ``holding``
    its notes, each by the number of its event and its string.

    A note's place in the drawing is its address: measure, event, part and string make the ids of
    its heads (:func:`rollstave.writing.note_ids.note_id`), which are given for each part.
    """
    measure = notated.measure
    found: dict[str, Any] = {
        "at": _plain(event.onset),
        "lasts": _plain(event.duration),
        "notes": [_note(measure, index, note, known) for note in event.notes],
    }
    if event.brush:
        found["brush"] = True
    if event.grace:
        found["small"] = _plain(grace_time(event))
        found["grace"] = _graces(event, found["notes"])
    if under := _sounding_on(notated, event.onset, index):
        found["under"] = under
        found["holding"] = _held_notes(notated, event.onset, index)
    held = [s for s in notated.symbols if s.event_index == index and s.part and s.heads]
    if held:
        found["held"] = [
            {
                "at": _plain(symbol.onset),
                "ids": _heads(measure, symbol) + _sounding_on(notated, symbol.onset, index),
            }
            for symbol in held
        ]
    return found


def _held_over(notated: NotatedMeasure, time: Fraction, index: int) -> list[Symbol]:
    """What other voices of a measure hold over a time at which an event sounds."""
    return [
        symbol
        for symbol in (notated.symbols if notated.voices else ())
        if symbol.event_index != index and symbol.onset <= time < symbol.onset + symbol.duration
    ]


def _sounding_on(notated: NotatedMeasure, time: Fraction, index: int) -> list[str]:
    """The ids of the heads that are held over a time."""
    held = _held_over(notated, time, index)
    return [one for symbol in held for one in _heads(notated.measure, symbol)]


def _held_notes(notated: NotatedMeasure, time: Fraction, index: int) -> list[list[int]]:
    """The notes that are held over a time: the number of their event, and their string."""
    held = _held_over(notated, time, index)
    return [[symbol.event_index, head.note.string] for symbol in held for head in symbol.heads]


def _heads(measure: Measure, symbol: Symbol) -> list[str]:
    return [
        one
        for head in symbol.heads
        for one in _ids(measure.index, symbol.event_index, symbol.part, head.note.string)
    ]


def _graces(event: Event, notes: list[dict[str, Any]]) -> list[list[dict[str, Any]]]:
    """The grace notes before an event, group by group; ``link`` says how each is reached, also
    those of the event's own notes that one of them leads to."""
    led: dict[int, Link | None] = {}
    found: list[list[dict[str, Any]]] = []
    for group in event.grace:
        found.append([])
        for note in group:
            small: dict[str, Any] = {
                "string": note.string,
                "fret": note.fret,
                "midi": note.pitch.midi,
            }
            if link := led.get(note.string):
                small["link"] = link.value
            led[note.string] = note.leads
            # It is struck by the finger that would strike its note.
            finger = next((n["finger"] for n in notes if n.get("finger")), None)
            found[-1].append(small | ({"finger": finger} if finger else {}))
    for own in notes:
        if "link" not in own and (link := led.get(own["string"])):
            own["link"] = link.value
    return found


def _ids(measure: int, event: int, part: int, string: int) -> list[str]:
    return [note_id(prefix, measure, event, part, string) for prefix in (STAFF_PREFIX, TAB_PREFIX)]


def _note(measure: Measure, index: int, note: Note, known: _Known) -> dict[str, Any]:
    """One note; what is usual is left out. ``finger`` is the one that set it sounding."""
    address = NoteAddress(measure.index, index, note.string)
    finger = known.fingers.get(address)
    optional: dict[str, Any] = {
        "finger": finger.value if finger else None,
        "drone": address in known.drones,
        "link": note.link.value if note.link else None,
    }
    for row in techniques_of(note):
        if row.played:
            value = getattr(note, row.field)
            optional[row.played] = _EDGES[value] if isinstance(value, SlideEdge) else value
    return {
        "string": note.string,
        "fret": note.fret,
        "neck": _neck(note, known.setup),
        "midi": note.pitch.midi,
        "name": with_signs(str(note.pitch)),
        "ids": _ids(measure.index, index, 0, note.string),
    } | {key: value for key, value in optional.items() if value}


def _neck(note: Note, setup: Setup) -> int:
    """The fret of the long neck, counted from the capo, at which a note is stopped; 0 is open."""
    short = setup.instrument.short_string
    fret = note.fret or 0
    if short is not None and note.string == short.string and fret:
        return fret + _short_start(setup) * (setup.short_numbering == "peg")
    return fret
