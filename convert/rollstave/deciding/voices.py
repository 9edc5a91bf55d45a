"""Which notes are drone and which are melody, and which finger each note is owed to.

The rule of the drone is ours, made for practice and stated so that it can be argued with:

- the short string struck open is drone; fretted, it takes part in the tune;
- any other string is drone in a measure where it is struck at least twice, always open, and never
  on a beat: it fills in between.

Everything else is melody, the notes of a chord under it included.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence

from rollstave.rhythm.meter import Meter
from rollstave.score.links import NoteAddress, links_of
from rollstave.score.records import Finger, Measure, Note, Score

_LEAST = 2  # strokes that make a string of a measure a drone


def drones(score: Score) -> frozenset[NoteAddress]:
    """The notes of a score that are drone."""
    short = score.setup.instrument.short_string
    thumb_string = short.string if short is not None else None
    found: set[NoteAddress] = set()
    for measure, meter in zip(score.measures, score.meters, strict=True):
        by_string: dict[int, list[tuple[NoteAddress, Note, bool]]] = defaultdict(list)
        for address, note, on_beat in _notes(meter, measure):
            if note.string != thumb_string:
                by_string[note.string].append((address, note, on_beat))
            elif _is_open(note):
                found.add(address)
        for strokes in by_string.values():
            fills = all(_is_open(note) and not on_beat for _, note, on_beat in strokes)
            if fills and len(strokes) >= _LEAST:
                found.update(address for address, _, _ in strokes)
    return frozenset(found)


def _is_open(note: Note) -> bool:
    return note.fret == 0 and not note.muted and note.link is None


def _notes(meter: Meter, measure: Measure) -> Iterator[tuple[NoteAddress, Note, bool]]:
    """The notes of a measure, and whether each stands on a beat. A pickup is the end of a
    measure, so its beats are counted from its end."""
    offset = meter.length - measure.length if measure.number == 0 else 0
    for index, event in enumerate(measure.events):
        on_beat = (event.onset + offset) % meter.beat == 0
        for note in event.notes:
            yield NoteAddress(measure.index, index, note.string), note, on_beat


def picking_fingers(measures: Sequence[Measure]) -> Mapping[NoteAddress, Finger]:
    """The finger that set each note sounding: its own, or for a note that the left hand makes
    (a hammer-on, a pull-off, the end of a slide) that of the note which leads to it."""
    found = {
        NoteAddress(measure.index, index, note.string): note.finger
        for measure in measures
        for index, event in enumerate(measure.events)
        for note in event.notes
        if note.finger is not None
    }
    for pair in links_of(measures):
        if pair.end not in found and pair.start in found:
            found[pair.end] = found[pair.start]
    return found
