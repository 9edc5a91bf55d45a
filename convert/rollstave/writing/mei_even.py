"""Room for words and names, shared by all notes of a measure.

Verovio pushes a note away from one whose word or chord name is long, so that notes of one length
stand at unequal distances. Here all notes of a measure are as wide as its longest word needs: kept
as figures on the tab, which the sheet writes itself.
"""

from __future__ import annotations

from fractions import Fraction

from rollstave.notating.notation import NotatedMeasure
from rollstave.notating.syllables import syllable_of

_FIGURE = 144.0  # what Verovio keeps for one
# Of a letter of a chord name, and of what is sung: a little less than it takes, for what is kept is
# stretched with the rest of the line.
_OF_NAME, _OF_WORD = 165.0, 125.0
_HYPHEN = 1  # letters
_MOST = 8  # figures, that Verovio can hold


def figures_under(notated: NotatedMeasure) -> int:
    """How many figures wide each note of a measure is to be at least, where all are of one length;
    others stand at unequal distances anyway."""
    measure = notated.measure
    length = measure.events[0].duration if measure.events else Fraction(0)
    if any(event.duration != length for event in measure.events):
        return 0
    chords, most = measure.chords, 0.0
    if len(chords) > 1:
        ends = [*(chord.onset for chord in chords[1:]), measure.length]
        for chord, end in zip(chords, ends, strict=True):
            notes = max(1.0, float((end - chord.onset) / length))
            most = max(most, (len(chord.text) + 1) * _OF_NAME / notes)
    for event in measure.events:
        for _, text in event.sung:
            words, goes_on = syllable_of(text)
            most = max(most, (len(words) + 0.5 + _HYPHEN * goes_on) * _OF_WORD)
    return min(_MOST, int(most / _FIGURE))


class Rooms:
    """The room of notes measure by measure: what was reckoned for the last is kept."""

    def __init__(self) -> None:
        self._measure, self._least = -1, 0

    def least_fret(self, notated: NotatedMeasure) -> int:
        """The least number that a fret of this measure is written as."""
        if self._measure != notated.measure.index:
            self._measure = notated.measure.index
            figures = figures_under(notated)
            self._least = int(10 ** (figures - 1)) if figures > 1 else 0
        return self._least
