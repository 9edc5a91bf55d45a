"""What sounds at one pitch in a measure, which note a tie leads here from, and what a harmonic
sounds.

Every answer takes about the same time however many notes there are: a file may have thousands at
one onset.
"""

from __future__ import annotations

from fractions import Fraction
from heapq import heappop, heappush

from rollstave.deciding.measures import sounding
from rollstave.grid.typed import Stroke
from rollstave.instruments.setup import NoSuchFret, Setup
from rollstave.musicxml_in.notes import Heard
from rollstave.pitch import spell
from rollstave.problems import Place


class SoundingPitch:
    """The notes of one pitch in the order of their onsets."""

    def __init__(self) -> None:
        self.notes: list[Heard] = []
        self._ending_at: dict[Fraction, list[int]] = {}
        self._open: list[int] = []

    def strike(self, note: Heard) -> bool:
        """Add a note that is struck; True if none sounded earlier in the measure."""
        first = not self.notes or self.notes[0].onset == note.onset
        self.notes.append(note)
        self._keep(len(self.notes) - 1)
        return first

    def prolonged(self, note: Heard, struck: Fraction) -> bool:
        """Add the time of a note to the one that a tie leads here from, if there is one: the first
        that ends where this one begins, else the first whose tie is open. Notation
        editors leave gaps where they cut a long note in two; ``struck`` is when a note of any pitch
        began last before this one, and where that lies in the gap, the tie leads nowhere."""
        ending = self._ending_at.get(note.onset, [])
        while ending and self._end(ending[0]) != note.onset:
            heappop(ending)
        while self._open and not (
            self.notes[self._open[0]].ties and self._end(self._open[0]) > struck
        ):
            heappop(self._open)
        found = ending or self._open
        if not found:
            return False
        index = found[0]
        earlier = self.notes[index]
        earlier.duration = note.onset + note.duration - earlier.onset
        earlier.ties = note.ties
        self._keep(index)
        return True

    def _keep(self, index: int) -> None:
        heappush(self._ending_at.setdefault(self._end(index), []), index)
        if self.notes[index].ties:
            heappush(self._open, index)

    def _end(self, index: int) -> Fraction:
        return self.notes[index].onset + self.notes[index].duration


def harmonic_on_string(note: Heard, setup: Setup) -> None:
    """Give a harmonic that names its string alone the lowest fret where the string sounds its
    pitch as one; a string that has none is forgotten, so that a place is searched."""
    if note.string is not None:
        for fret in range(1, setup.instrument.frets + 1 - setup.capo):
            if _harmonic(note.string, fret, setup) == note.pitch.midi:
                note.fret = fret
                return
    note.string = None


def _harmonic(string: int, fret: int, setup: Setup, half: bool = False) -> int | None:
    """The MIDI number of a harmonic; None where there is no such fret."""
    stroke = Stroke(string=string, fret=fret, place=Place(1, 1), harmonic=True, half=half)
    try:
        return sounding(stroke, setup)
    except NoSuchFret:
        return None


def as_it_sounds(note: Heard, setup: Setup, fifths: int) -> None:
    """Give a harmonic with a place the pitch that sounds there."""
    if note.string is None or note.fret is None:
        return
    midi = _harmonic(note.string, note.fret, setup, note.half)
    if midi is None:
        note.string = note.fret = None
    elif midi != note.pitch.midi:
        note.pitch = spell(midi, fifths)
