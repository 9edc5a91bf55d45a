"""Places of a chord that another program wrote on its first note.

Strings and frets of all notes of a chord may stand in the ``technical`` of one of them, as music21
10 writes them. Each is given back to the note whose pitch it sounds, and fingers that are said of
its string to each note.
"""

from __future__ import annotations

from collections.abc import Sequence

from rollstave.instruments.setup import NoSuchFret, Setup
from rollstave.musicxml_in.measures import ReadMeasure
from rollstave.musicxml_in.notes import take_fingers


def share_places(measures: Sequence[ReadMeasure], setup: Setup) -> None:
    """Give the notes of each chord the places that stand on another of its notes."""
    for read in measures:
        for holder in [note for note in read.heard if note.places]:
            chord = [n for n in read.heard if n.onset == holder.onset and n.duration]
            free = [n for n in chord if n is holder or n.string is None]
            for place in holder.places:
                midi = _midi(setup, *place)
                match = next((n for n in free if n.pitch.midi == midi), None)
                if match is not None:
                    free.remove(match)
                    match.string, match.fret = place
            if holder in free:  # none of the places is its own
                holder.string = holder.fret = None
        for holder in [note for note in read.heard if note.fingers]:
            for note in read.heard:
                if note.onset == holder.onset and note.duration:
                    take_fingers(note, holder.fingers)


def _midi(setup: Setup, string: int, fret: int) -> int | None:
    try:
        return setup.midi(string, fret)
    except NoSuchFret:
        return None
