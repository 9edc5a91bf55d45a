"""Chord names that their notes contradict."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Sequence
from fractions import Fraction

from msgspec import Struct

from rollstave.api import Tune
from rollstave.deciding.chords import chord_name, chord_tones, pitch_class
from rollstave.grid.typed import LineKind
from rollstave.proofreading.correction import Correction
from rollstave.proofreading.heard import named_by_shape
from rollstave.score.records import ChordName, Event
from rollstave.vocabulary import problems as kinds

_FEWEST = 4  # notes that can contradict a name
_CONTRADICTED = 0.4  # at most this share of the time belongs to the chord
_FITS = 0.85  # a chord that would be right holds this share
# Of notes that are picked as a chord, over three strings and more, a name holds more: what is
# broken over the strings is the chord itself, and no melody beside it (common practice, no source).
_NEAR, _WHOLE = 0.75, 0.97
_FEWEST_BROKEN, _STRINGS_BROKEN = 6, 3
_ROOT = re.compile(r"(?:^|(?<=/))[A-G][#b♯♭]?")
_ROOTS = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")


class _Heard(Struct, frozen=True):
    """A note under a name: pitch class, duration in quarter notes, string, fret."""

    pitch_class: int
    duration: Fraction
    string: int
    fret: int


def contradicted_chords(tune: Tune, without: Collection[int] = ()) -> Iterator[Correction]:
    """Names under which most of the notes are foreign, where another common chord fits them; and
    names near the right one, where the notes are a chord that is picked.

    The drone of a short string is left out: it sounds against every chord. ``without`` are
    systems that are not looked at.
    """
    short = tune.score.setup.instrument.short_string
    drone = short.string if short else 0
    shift = named_by_shape(tune)
    if shift:
        yield from _named_by_shape(tune, shift)
    for grid, measure in zip(tune.grid.measures, tune.score.measures, strict=True):
        typed = sorted(grid.attached(LineKind.CHORDS), key=lambda a: a.position)
        named = [c for c in measure.chords if not c.inferred]
        if measure.system in without:
            continue
        for index, chord in enumerate(named[: len(typed)]):
            end = named[index + 1].onset if index + 1 < len(named) else measure.length
            heard = _heard(measure.events, chord.onset, end, drone, shift)
            better = _contradiction(chord, heard)
            if better is None:
                continue
            tones = chord_tones(chord) or frozenset()
            inside = sum(one.pitch_class in tones for one in heard)
            yield Correction(
                kind=kinds.CHORD,
                place=typed[index].place,
                message=f"{chord.text} stands over notes of which {inside} of {len(heard)} "
                "belong to it",
                mend=better,
            )


def _named_by_shape(tune: Tune, capo: int) -> Iterator[Correction]:
    """Said once for the tune, at its first name: with a capo the names are those of the shapes."""
    for grid, measure in zip(tune.grid.measures, tune.score.measures, strict=True):
        typed = sorted(grid.attached(LineKind.CHORDS), key=lambda a: a.position)
        named = [c for c in measure.chords if not c.inferred and c.root is not None]
        if not typed or not named:
            continue
        text, sounds = named[0].text, _raised(named[0].text, capo)
        yield Correction(
            kind=kinds.CHORD,
            place=typed[0].place,
            message="the chord names are those of the shapes that are held: with the capo at fret "
            f"{capo}, {text} sounds {sounds}, so names and staff differ all through the tune",
            mend=f"the names that sound ({sounds} for {text}); or leave them, if your players "
            "read shapes: the sheet says so, and --chords names them otherwise",
        )
        return


def _raised(name: str, capo: int) -> str:
    """The name of what sounds where the shape of a name is held under a capo."""
    parts = _ROOT.findall(name)
    roots = (chord_name(part, Fraction(0)).root or ("C", 0) for part in parts)
    raised = [_ROOTS[(pitch_class(root) + capo) % 12] for root in roots]
    return _ROOT.sub(lambda _: raised.pop(0), name)


def _contradiction(chord: ChordName, heard: Sequence[_Heard]) -> str | None:
    """The chord that would be right, if the notes contradict the one that is named."""
    tones = chord_tones(chord)
    if tones is None or chord.root is None or len(heard) < _FEWEST:
        return None
    share = _share(heard, tones)
    better = _better(heard) if share <= _NEAR else None
    if better is None:
        return None
    fits, name, held = better
    if share <= _CONTRADICTED:
        return name
    broken = len(heard) >= _FEWEST_BROKEN and len({h.string for h in heard}) >= _STRINGS_BROKEN
    # A name of more notes than a triad says more than is played; nothing contradicts it.
    more = len(tones) > len(held) and held <= tones
    return name if broken and fits >= _WHOLE and not more else None


def _heard(
    events: Sequence[Event], start: Fraction, end: Fraction, drone: int, shift: int
) -> list[_Heard]:
    """The notes from ``start`` to ``end`` without the drone, lowered by ``shift`` semitones."""
    return [
        _Heard(
            pitch_class=(note.pitch.midi - shift) % 12,
            duration=event.duration,
            string=note.string,
            fret=note.fret or 0,
        )
        for event in events
        if start <= event.onset < end
        for note in event.notes
        if note.string != drone and not note.muted
    ]


def _share(heard: Sequence[_Heard], tones: frozenset[int]) -> Fraction:
    whole = sum((h.duration for h in heard), Fraction(0))
    return sum((h.duration for h in heard if h.pitch_class in tones), Fraction(0)) / whole


def _better(heard: Sequence[_Heard]) -> tuple[Fraction, str, frozenset[int]] | None:
    """The plainest common chord that holds nearly all of the notes: its share, name and tones.

    A chord is only told from others by its third, and a seventh by its seventh: where none is
    played, as modal tunes like it, the name may be what the player hears.
    """
    sounding = {h.pitch_class for h in heard}
    best: tuple[Fraction, str, frozenset[int]] | None = None
    for suffix, telling in (("", (0, 4)), ("m", (0, 3)), ("7", (0, 4, 10))):
        for number, root in enumerate(_ROOTS):
            if not all((number + step) % 12 in sounding for step in telling):
                continue
            tones = chord_tones(chord_name(root + suffix, Fraction(0)))
            assert tones is not None
            share = _share(heard, tones)
            if share >= _FITS and (best is None or share > best[0]):
                best = (share, root + suffix, tones)
    return best
