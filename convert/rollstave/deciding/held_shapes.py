"""What the left hand holds under each chord name of a tune.

A string that keeps one fret through a span belongs to the shape; one that does not carries the
melody, and is struck at the shape's own fret on the way, or not at all.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace

from rollstave.deciding.chords import chord_tones
from rollstave.deciding.shapes import Frets
from rollstave.instruments.setup import Setup
from rollstave.score.records import ChordName, Event, Measure, Score

_REACH = 3  # frets between the lowest and the highest finger of a shape
MELODY = -1  # marks a string that carries the melody
Struck = Mapping[int, frozenset[int]]


class Span(Struct, frozen=True):
    """A chord name from its onset up to the next name or the bar line, in the measure of index
    ``measure``; one that goes on holds from the start of that. ``frets`` is what is plainly held,
    None where that is no shape; ``struck`` are the frets of chord tones on each string, ``strokes``
    every string and fret on the long strings, the melody's too, those that are struck at once
    together; ``short`` is the number of the short string, which the thumb stops."""

    measure: int
    chord: ChordName
    frets: Frets | None
    struck: Struck
    strokes: tuple[tuple[tuple[int, int], ...], ...]
    short: int | None

    @property
    def notes(self) -> tuple[tuple[int, int], ...]:
        return tuple(note for stroke in self.strokes for note in stroke)


class Held(Struct):
    """Spans of one chord that are the same for the left hand. ``first`` is the order of the first
    of them in the tune."""

    first: int
    spans: list[Span]

    @property
    def shapes(self) -> list[Frets]:
        return [span.frets for span in self.spans if span.frets is not None]

    def core(self) -> Frets:
        """What they have in common: the fret that a string has most often, of equals the lowest;
        None for a string that mostly carries the melody."""
        found: list[int | None] = []
        for column in zip(*self.shapes, strict=True):
            counts = Counter(fret for fret in column if fret is not None)
            best = max(counts, key=lambda f: (counts[f], f != MELODY, -f)) if counts else MELODY
            found.append(None if best == MELODY else best)
        return tuple(found)

    def melody(self) -> frozenset[int]:
        """The strings that carry the melody in any of the spans."""
        return frozenset(n for shape in self.shapes for n, f in enumerate(shape, 1) if f == MELODY)

    def strikes(self, string: int, fret: int) -> bool:
        """True if a span strikes the string at that fret, in the shape or in the melody."""
        return any(
            fret in span.struck.get(string, frozenset())
            or (span.frets is not None and span.frets[string - 1] == fret)
            for span in self.spans
        )


def spans_of(score: Score, setup: Setup | None = None) -> Iterator[Span]:
    """Every chord name that has tones, and what is held under it, in order, where the instrument is
    set up so; as at the beginning if no setup is given. In another setup shapes are others."""
    setup = score.setup if setup is None else setup
    shift = setup.instrument.semitones(setup.capo) if score.chords_by_shape else 0
    short = setup.instrument.short_string
    for measure, chords, now in zip(
        score.measures, _lasting(score.measures), score.setups, strict=True
    ):
        if now != setup:
            continue
        ends = [c.onset for c in chords[1:]] + [measure.length] * bool(chords)
        for chord, end in zip(chords, ends, strict=True):
            tones = chord_tones(chord)
            if tones is not None:
                sounding = frozenset((tone + shift) % 12 for tone in tones)
                frets, struck = _held(chord, sounding, measure.events, end, setup)
                strokes = tuple(_strokes(chord.onset, end, measure.events, setup))
                if chord in measure.chords or strokes:
                    yield Span(
                        measure=measure.index,
                        chord=chord,
                        frets=frets,
                        struck=struck,
                        strokes=strokes,
                        short=short.string if short is not None else None,
                    )


def _lasting(measures: Sequence[Measure]) -> Iterator[Sequence[ChordName]]:
    """The chord names of each measure, after the one that goes on there: a name holds until the
    next one (common practice, no source)."""
    last: ChordName | None = None
    for measure in measures:
        chords = measure.chords
        if last is not None and not (chords and chords[0].onset == 0):
            chords = (replace(last, onset=Fraction(0)), *chords)
        yield chords
        last = chords[-1] if chords else None


def _strokes(
    onset: Fraction, end: Fraction, events: Sequence[Event], setup: Setup
) -> Iterator[tuple[tuple[int, int], ...]]:
    """The strings and frets that are struck on the long strings, stroke by stroke."""
    short = setup.instrument.short_string
    for event in events:
        if onset <= event.onset < end:
            stroke = tuple(
                (note.string, note.fret)
                for note in event.notes
                if (short is None or note.string != short.string)
                and note.fret is not None
                and not note.harmonic
            )
            if stroke:
                yield stroke


def naming_setup(score: Score, setup: Setup) -> Setup:
    """The setup in which chord names say what sounds: without the capo where the typist names
    chords by their shapes."""
    return uncapoed(setup) if score.chords_by_shape else setup


def uncapoed(setup: Setup) -> Setup:
    """The same instrument without its capo, the short string lowered with it."""
    lowered = setup.short_raise - setup.capo if setup.short_raise else 0
    return replace(setup, capo=0, short_raise=lowered)


def groups_of(spans: Sequence[Span]) -> dict[str, list[Held]]:
    """What is held under each name, in groups that are the same for the left hand."""
    groups: dict[str, list[Held]] = {}
    for order, span in enumerate(spans):
        found = groups.setdefault(span.chord.text, [])
        if span.frets is not None:
            _add(found, span, span.frets, order)
    return groups


def _held(
    chord: ChordName,
    tones: frozenset[int],
    events: Sequence[Event],
    end: Fraction,
    setup: Setup,
) -> tuple[Frets | None, Struck]:
    """The frets of the strings that keep one fret, and a tone of the chord, through a span, and
    all chord tones that are struck; no frets where that is no shape."""
    struck: dict[int, set[int]] = {}
    melody: set[int] = set()
    short = setup.instrument.short_string
    for event in events:
        if not chord.onset <= event.onset < end:
            continue
        for note in event.notes:
            drone = short is not None and note.string == short.string and note.fret == 0
            if note.fret is None or note.harmonic:
                melody.add(note.string)
            elif drone or note.pitch.midi % 12 in tones:
                struck.setdefault(note.string, set()).add(note.fret)
            else:
                melody.add(note.string)
    melody |= {string for string, frets in struck.items() if len(frets) > 1}
    kept = {string: min(frets) for string, frets in struck.items() if string not in melody}
    tones_struck = {n: frozenset(frets) for n, frets in struck.items()}
    stopped = [f for f in kept.values() if f]
    long_ones = [fret for n, fret in kept.items() if short is None or n != short.string]
    # The thumb on the short string is no finger of the two.
    plain = len(long_ones) >= 3 or (len(long_ones) == 2 and all(long_ones))
    if not plain or (stopped and max(stopped) - min(stopped) > _REACH + 1):
        return None, tones_struck
    strings = range(1, setup.instrument.strings + 1)
    return tuple(MELODY if n in melody else kept.get(n) for n in strings), tones_struck


def _add(groups: list[Held], span: Span, frets: Frets, order: int) -> None:
    for group in groups:
        if any(_same(frets, other) for other in group.shapes):
            group.spans.append(span)
            return
    groups.append(Held(order, [span]))


def _same(a: Frets, b: Frets) -> bool:
    """True if half of what either hand stops is stopped by both: the rest is melody."""
    both = stops(a) | stops(b)
    return not both or 2 * len(stops(a) & stops(b)) >= len(both)


def stops(frets: Frets) -> set[tuple[int, int]]:
    """What the left hand stops: string and fret."""
    return {(n, f) for n, f in enumerate(frets, start=1) if f and f != MELODY}
