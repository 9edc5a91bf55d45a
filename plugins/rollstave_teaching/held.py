"""What a tune holds where: its strains, the chords and the shapes of each measure."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from msgspec import Struct

from rollstave import Bar, Measure, NamedShape, Score, chord_named, chord_tones, shape_changes
from rollstave_teaching.wording import in_words, listed

_CLOSES = (Bar.REPEAT_END, Bar.DOUBLE, Bar.FINAL)
WIDE, _LOW = 4, 5  # frets from the first finger to the last, and how low on the neck that is wide
_OPEN_PLACE = 3  # a shape whose lowest finger is no higher than this goes by its name alone; ours


class Strain(Struct, frozen=True):
    """A strain of a tune: its name, and the indices of its first measure and of the one after its
    last. A pickup belongs to the strain that it leads into."""

    name: str
    begin: int
    end: int


def strains(score: Score) -> tuple[Strain, ...]:
    """The strains, as the tab parts them: by names, repeats and double bars. An ending stays in
    the strain that it ends."""
    starts = [0]
    for before, measure in zip(score.measures, score.measures[1:], strict=False):
        opens = measure.section is not None or measure.left is Bar.REPEAT_START
        opens = opens or (before.right in _CLOSES and measure.in_ending is None)
        if opens and not (measure.index == 1 and score.measures[0].number == 0):
            starts.append(measure.index)
    ends = (*starts[1:], len(score.measures))
    spans = list(zip(starts, ends, strict=True))
    found = []
    for number, (begin, end) in enumerate(spans, start=1):
        name = next((m.section for m in score.measures[begin : begin + 2] if m.section), None)
        usual = f"Part {number}" if len(spans) > 1 else ""
        found.append(Strain(name=name or usual, begin=begin, end=end))
    return tuple(found)


def chords_by_measure(score: Score) -> list[tuple[str, ...]]:
    """The names of the chords that sound in each measure; one that goes on is named again."""
    found: list[tuple[str, ...]] = []
    current = ""
    for measure in score.measures:
        names = [c.text for c in measure.chords]
        if current and (not names or measure.chords[0].onset > 0):
            names.insert(0, current)
        current = names[-1] if names else ""
        found.append(tuple(names))
    return found


def shapes_by_measure(score: Score) -> list[list[tuple[Fraction, NamedShape]]]:
    """The shapes that are held in each measure, with their onsets; one that goes on is there
    again. Empty before the first."""
    changes = shape_changes(score)
    found: list[list[tuple[Fraction, NamedShape]]] = []
    held: NamedShape | None = None
    for measure in score.measures:
        here = [(c.onset, c.shape) for c in changes if c.measure == measure.index]
        if held is not None and (not here or here[0][0] > 0):
            here.insert(0, (Fraction(0), held))
        if here:
            held = here[-1][1]
        found.append(here)
    return found


def called(shape: NamedShape) -> str:
    """A shape by its chord, up the neck with its fret: ``C``, ``C at fret 8``."""
    if shape.lowest <= _OPEN_PLACE:
        return shape.label
    return f"{shape.label} at fret {shape.lowest}"


def stretch(shape: NamedShape) -> int:
    """How many frets the fingers of a shape reach over, where frets are wide: low on the neck; 0
    for a shape that is no stretch."""
    frets = [fret for fret in shape.frets if fret]
    span = max(frets) - min(frets) + 1 if frets else 0
    return span if span >= WIDE and min(frets) <= _LOW else 0


def stretches(shapes: Iterable[NamedShape]) -> str:
    """A caution where a hand is stretched; empty where it is not. Common practice, no source."""
    wide = {called(shape): stretch(shape) for shape in shapes if stretch(shape)}
    if not wide:
        return ""
    reach, hurts, it = (
        ("stretches", "it hurts", "it") if len(wide) == 1 else ("stretch", "they hurt", "them")
    )
    least, most = min(wide.values()), max(wide.values())
    frets = f"{in_words(least)} frets{' or more' if most > least else ''}"
    return (
        f"{listed(list(wide))} {reach} over {frets} low on the neck, where frets lie far "
        f"apart: if {hurts}, leave {it}, and come back later."
    )


def usable(score: Score, shape: NamedShape, string: int) -> tuple[int, int] | None:
    """String and fret to strike where a roll wants a string and a shape is held: the string as
    the shape has it; open, where it belongs to the chord; else the thumb's other string. None
    where nothing fits."""
    fret = shape.frets[string - 1]
    setup = score.setup
    short = setup.instrument.short_string
    if fret is not None:
        return (string, fret)
    if short is not None and string == short.string:
        return (string, 0)
    tones = _tones(score, shape.name)
    if setup.open_midi(string) % 12 in tones:
        return (string, 0)
    for other in (3, 4, 2, 1):
        there = shape.frets[other - 1] if other <= len(shape.frets) else None
        if other != string and there is not None:
            return (other, there)
    return None


def _tones(score: Score, name: str) -> frozenset[int]:

    shift = score.setup.instrument.semitones(score.setup.capo) if score.chords_by_shape else 0
    return frozenset((tone + shift) % 12 for tone in chord_tones(chord_named(name)) or ())


def is_full(score: Score, measure: Measure) -> bool:
    """True for a measure that is as long as the time says."""
    return measure.length == score.meters[measure.index].length
