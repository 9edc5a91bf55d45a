"""Ways to say the rhythm of a tab, and the choice of one that is read as it is meant.

What a line of counts or of note values means is judged by all lines of a text together, so no rule
of the writer can say beforehand that each is read as it was meant. The text is therefore read again
where the caller can do that, and another manner is tried where a note has moved.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction

from msgspec import Struct

from rollstave.problems import TabError
from rollstave.score.records import Measure, Score
from rollstave.score.voices import has_voices, held_for
from rollstave.vocabulary.signs import HELD

# Reads a text again, for the instrument of the score that it was written from.
Again = Callable[[bytes], Sequence[Score]]


class Manner(Struct, frozen=True):
    """Whether counts and note values are typed, the first of a measure of odd
    length as a sum, and whether even notes stand so far apart that columns show time."""

    counts: bool = True
    values: bool = True
    wide: bool = False
    sums: bool = False


# The shortest and most usual first.
MANNERS = (
    Manner(),
    Manner(wide=True),
    Manner(counts=False),
    Manner(counts=False, wide=True),
    Manner(counts=False, sums=True),
    Manner(counts=False, sums=True, wide=True),
    Manner(counts=False, values=False, wide=True),
)


_LONGEST = 50_000  # bytes of a text for which more than one manner is tried


class Typing(Struct, frozen=True):
    """A text, and the measures of the score that are read otherwise, by their index."""

    text: bytes
    moved: tuple[int, ...] = ()


def best_text(score: Score, write: Callable[[Manner], bytes], again: Again | None) -> bytes:
    """The text of :func:`best_typing`. One so long that no other manner is tried is not read."""
    text = write(MANNERS[0])
    if len(text) > _LONGEST:
        return text
    return best_typing(score, write, again, text).text


def best_typing(
    score: Score, write: Callable[[Manner], bytes], again: Again | None, first: bytes | None = None
) -> Typing:
    """The text in the first manner in which every note is read again where it is; else that in
    which the fewest measures differ. ``first`` is the text in the first manner, if it is there."""
    text = write(MANNERS[0]) if first is None else first
    if again is None:
        return Typing(text)
    best = Typing(text, _moved(score, text, again))
    for manner in MANNERS[1:] if len(text) <= _LONGEST else ():
        if not best.moved:
            break
        text = write(manner)
        found = Typing(text, _moved(score, text, again))
        if len(found.moved) < len(best.moved):
            best = found
    return best


def _moved(score: Score, text: bytes, again: Again) -> tuple[int, ...]:
    """The measures that are read otherwise; all where the text is not one tune of as many."""
    try:
        read = again(text)
    except TabError:
        read = ()
    if len(read) != 1 or len(read[0].measures) != len(score.measures):
        return tuple(range(len(score.measures)))
    pairs = zip(score.measures, read[0].measures, strict=True)
    return tuple(i for i, (one, other) in enumerate(pairs) if _struck(one) != _struck(other))


def _struck(measure: Measure) -> tuple[Fraction, list[tuple[object, ...]]]:
    """The length of a measure and what is in it: when, on which string and fret, if struck, and
    in which voice for how long."""
    several = has_voices(measure)
    return measure.length, [
        (
            *(event.onset, note.string, note.fret, note.muted, note.link in HELD),
            *((note.voice, held_for(note, event)) if several else ()),
        )
        for event in measure.events
        for note in sorted(event.notes, key=lambda note: note.string)
    ]
