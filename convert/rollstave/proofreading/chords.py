"""Chord names that their notes contradict."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from rollstave.api import Tune
from rollstave.deciding.chords import chord_name, chord_tones
from rollstave.grid.typed import LineKind
from rollstave.proofreading.correction import Correction
from rollstave.score.records import Event
from rollstave.vocabulary import problems as kinds

_FEWEST = 4  # notes that can contradict a name
_CONTRADICTED = 0.4  # at most this share of the time belongs to the chord
_FITS = 0.85  # a chord that would be right holds this share
_ROOTS = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")


def contradicted_chords(tune: Tune) -> Iterator[Correction]:
    """Names under which most of the notes are foreign, where another common chord fits them.

    The drone of a short string is left out: it sounds against every chord.
    """
    setup = tune.score.setup
    short = setup.instrument.short_string
    drone = short.string if short else 0
    # Names of shapes under a capo say less than what sounds.
    shift = setup.instrument.semitones(setup.capo) if tune.score.chords_by_shape else 0
    for grid, measure in zip(tune.grid.measures, tune.score.measures, strict=True):
        typed = sorted(grid.attached(LineKind.CHORDS), key=lambda a: a.position)
        for index, chord in enumerate(c for c in measure.chords if not c.inferred):
            named = [c for c in measure.chords if not c.inferred]
            end = named[index + 1].onset if index + 1 < len(named) else measure.length
            tones = chord_tones(chord)
            heard = _heard(measure.events, chord.onset, end, drone, shift)
            if tones is None or len(heard) < _FEWEST or index >= len(typed):
                continue
            share = _share(heard, tones)
            root = chord.root
            if root is None or share > _CONTRADICTED:
                continue
            better = _better(heard)
            if better is not None:
                inside = sum(pc in tones for pc, _ in heard)
                yield Correction(
                    kind=kinds.CHORD,
                    place=typed[index].place,
                    message=f"{chord.text} stands over notes of which {inside} of {len(heard)} "
                    "belong to it",
                    mend=better,
                )


def _heard(
    events: Sequence[Event], start: Fraction, end: Fraction, drone: int, shift: int
) -> list[tuple[int, Fraction]]:
    """Pitch classes and durations of the notes from ``start`` to ``end`` without the drone,
    ``shift`` semitones below what sounds."""
    return [
        ((note.pitch.midi - shift) % 12, event.duration)
        for event in events
        if start <= event.onset < end
        for note in event.notes
        if note.string != drone and not note.muted
    ]


def _share(heard: Sequence[tuple[int, Fraction]], tones: frozenset[int]) -> Fraction:
    whole = sum((d for _, d in heard), Fraction(0))
    return sum((d for pc, d in heard if pc in tones), Fraction(0)) / whole


def _better(heard: Sequence[tuple[int, Fraction]]) -> str | None:
    """The plainest common chord that holds nearly all of the notes, or None."""
    best: tuple[Fraction, str] | None = None
    for suffix in ("", "m", "7"):
        for root in _ROOTS:
            tones = chord_tones(chord_name(root + suffix, Fraction(0)))
            assert tones is not None
            share = _share(heard, tones)
            if share >= _FITS and (best is None or share > best[0]):
                best = (share, root + suffix)
    return best[1] if best else None
