"""Which chord lies under each part of a tune, and the closed shapes that make it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import groupby, pairwise

from msgspec import Struct
from msgspec.structs import replace

from rollstave import (
    ChordName,
    Key,
    Score,
    Setup,
    chord_named,
    chord_tones,
    closed_shapes,
    shape_name,
    spell,
)
from rollstave_arranging.flow import At, Moment, moments

Frets = tuple[int | None, ...]
BASS = (3, 4)  # the strings that the thumb has for itself in rolls
_SOON = Fraction(1, 2)  # quarter notes
_MOST = Fraction(3, 4)  # of the strokes of a measure are of its chord; the others are the tune's


class Span(Struct, frozen=True):
    """The events under one chord, in one measure. ``chord`` is None where none is known.
    ``crowded`` are those beside which another bass string is struck within an eighth note."""

    chord: ChordName | None
    moments: tuple[Moment, ...]
    crowded: frozenset[At] = frozenset()

    @property
    def name(self) -> str:
        return self.chord.text if self.chord else ""


def spans_of(score: Score) -> tuple[Span, ...]:
    """All events by measure and chord, in order. A chord lasts until the next; what comes before
    the first belongs to it."""
    first = next((c for m in score.measures for c in m.chords if c.root), None)
    found: list[Span] = []
    struck: dict[int, list[Moment]] = {}
    every = list(moments(score))
    crowded = _crowded(every)
    for moment in every:
        struck.setdefault(moment.at[0], []).append(moment)
    current = first
    for measure in score.measures:
        parts = [(Fraction(0), current), *((c.onset, c) for c in measure.chords)]
        ends = [onset for onset, _ in parts[1:]] + [measure.length]
        for (onset, chord), end in zip(parts, ends, strict=True):
            current = chord if chord is not None and chord.root else current
            inside = [m for m in struck.get(measure.index, ()) if onset <= m.event.onset < end]
            if inside:
                found.append(Span(current, tuple(inside), crowded))
    return tuple(found)


def found_spans(score: Score) -> tuple[Span, ...]:
    """The same for a tune over which no chord is named: each measure under the triad that most of
    its strokes make, or its root and fifth, the third being the key's; the open short string and
    what the left hand joins are left aside. One that makes none has the chord of the measure before
    where most of its strokes belong to that; else it has none."""
    every = list(moments(score))
    crowded = _crowded(every)
    found: list[Span] = []
    current: ChordName | None = None
    for index, group in groupby(every, key=lambda moment: moment.at[0]):
        inside = tuple(group)
        current = _made_by(inside, score.keys[index], score.setup, current)
        found.append(Span(current, inside, crowded))
    return tuple(found)


def _made_by(
    inside: Sequence[Moment], key: Key, setup: Setup, before: ChordName | None
) -> ChordName | None:
    short = setup.instrument.short_string
    notes = [n for m in inside for n in m.event.notes if n.link is None]
    held = Counter(
        n.pitch.midi % 12 for n in notes if not short or n.string != short.string or n.fret
    )
    tonic = (7 * key.fifths) % 12

    def share(tones: frozenset[int]) -> Fraction:
        return Fraction(sum(held[tone] for tone in tones), max(1, held.total()))

    if before is not None and share(chord_tones(before) or frozenset()) == 1:
        return before
    best: tuple[Fraction, bool, int, str] | None = None
    for root in range(12):
        for suffix, third in (("", 4), ("m", 3)):
            tones = frozenset((root, (root + third) % 12, (root + 7) % 12))
            if not (held[root] and held[(root + 7) % 12]) or share(tones) < _MOST:
                continue
            usual = not suffix and (root - tonic) % 12 in (0, 5, 7)
            best = max(best or (Fraction(0), False, 0, ""), (share(tones), usual, -root, suffix))
    if best is not None:
        return chord_named(f"{spell(60 - best[2], key.fifths).letter}{best[3]}")
    if before is not None and share(chord_tones(before) or frozenset()) >= _MOST:
        return before
    return None


def _crowded(every: Sequence[Moment]) -> frozenset[At]:
    bass = [m for m in every if any(n.string in BASS for n in m.event.notes)]
    found: set[At] = set()
    for before, after in pairwise(bass):
        if after.start - before.start <= _SOON:
            found |= {before.at, after.at}
    return frozenset(found)


def shapes_of(chord: ChordName, score: Score) -> tuple[Frets, ...]:
    """The closed shapes of a chord, lowest first; where a hand has none for it, those of its
    triad. Empty where there is none either."""
    setup = shape_setup(score)
    for name in dict.fromkeys((chord.text, _triad(chord))):
        shapes = _closed(name, setup)
        last = setup.instrument.frets - score.setup.capo
        shapes = tuple(s for s in shapes if all(f is None or f <= last for f in s))
        if shapes:
            return shapes
    return ()


def shape_setup(score: Score) -> Setup:
    """The setup that chord names speak of: without the capo, where they are those of shapes."""
    if not score.chords_by_shape:
        return score.setup
    return replace(score.setup, capo=0, short_raise=0)


def called(chord: ChordName, shape: Frets, score: Score) -> str:
    """What one of these shapes is called, with its frets from string 1 on: ``the bar at fret 5
    (5-5-5)``."""
    setup = shape_setup(score)
    names = dict.fromkeys((chord.text, _triad(chord)))
    name = next((n for n in names if shape in _closed(n, setup)), _triad(chord))
    typed = "-".join("x" if f is None else str(f) for f in shape).rstrip("-x")
    return f"{shape_name(name, shape, setup)} ({typed})"


def _closed(name: str, setup: Setup) -> tuple[Frets, ...]:
    try:
        return closed_shapes(name, setup)
    except ValueError:  # a chord whose tones are not known
        return ()


def _triad(chord: ChordName) -> str:
    if chord.root is None:
        return chord.text
    letter, alter = chord.root
    sign = {0: "", 1: "#", -1: "b"}.get(alter, "")
    return f"{letter}{sign}{'m' if chord.kind.startswith('minor') else ''}"


def stopped(frets: Sequence[int | None]) -> list[int]:
    """The frets of a shape that are stopped."""
    return [fret for fret in frets if fret]


def places(shape: Frets) -> Iterator[tuple[int, int]]:
    """String and fret of each string of a shape."""
    return ((n, fret) for n, fret in enumerate(shape, start=1) if fret is not None)
