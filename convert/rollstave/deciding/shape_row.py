"""The chord shapes to show with a tune: each that it holds, once, in order of first appearance.

A chord that the tune never holds plainly, because the melody moves through it, gets the easiest
low shape of its tuning instead, marked as suggested. Costs of ease are ours; only their order
matters.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from fractions import Fraction
from functools import lru_cache
from itertools import product

from msgspec import Struct
from msgspec.structs import replace

from rollstave.deciding.chords import chord_name, chord_tones, pitch_class
from rollstave.deciding.shapes import Frets, NamedShape, suggest_fingers
from rollstave.instruments.setup import NoSuchFret, Setup
from rollstave.score.memo import once_for_a_score
from rollstave.score.records import ChordName, Event, Score

_REACH = 3  # frets between the lowest and the highest finger of a shape that we suggest


class _Ease(Struct, frozen=True):
    """What makes a shape hard, for necks of so many long strings.

    ``highest`` is the highest fret that is suggested; ``fret`` is for each fret of each stopped
    string, ``finger`` for each finger, ``span`` for each fret between the outer ones and ``wide``
    once more for the widest; ``open_inside`` for open strings between stopped ones that lie two
    frets apart or more, ``open_high`` for open strings beside fingers at fret 4 or above.
    """

    highest: int
    fret: float
    finger: float
    span: float
    barre: float
    silent: float
    wrong_bass: float
    wide: float = 0.0
    open_inside: float = 0.0
    open_string: float = 0.0
    open_high: float = 0.0


# On six strings the root belongs at the bottom and a barre is an everyday shape; on four every
# string should sound. Chosen by hand so that most shapes are those of the published data set that
# the tests name.
_FOUR = _Ease(highest=4, fret=0.4, finger=1.0, span=0.6, barre=3.0, silent=5.0, wrong_bass=0.7)
_EASE = {
    6: _Ease(
        highest=6,
        fret=0.3,
        finger=1.0,
        span=0.3,
        barre=0.5,
        silent=3.0,
        wrong_bass=6.0,
        wide=5.0,
        open_inside=2.0,
        open_string=0.2,
        open_high=6.0,
    ),
    4: _FOUR,
    5: _Ease(highest=4, fret=0.4, finger=1.0, span=0.6, barre=3.0, silent=2.0, wrong_bass=0.0),
}
_MELODY = -1  # marks a string that carries the melody
_OPEN_PLACE = 3  # a shape whose lowest finger is no higher than this lies among the open strings


class _Held(Struct):
    """Shapes of one chord that are the same for the left hand, with the melody around them."""

    first: int
    shapes: list[Frets]

    def core(self) -> Frets:
        """What they have in common: the fret that a string has most often, of equals the lowest;
        None for a string that mostly carries the melody."""
        found: list[int | None] = []
        for column in zip(*self.shapes, strict=True):
            counts = Counter(fret for fret in column if fret is not None)
            best = max(counts, key=lambda f: (counts[f], f != _MELODY, -f)) if counts else _MELODY
            found.append(None if best == _MELODY else best)
        return tuple(found)


@once_for_a_score
def shape_row(score: Score) -> tuple[NamedShape, ...]:
    """The shapes of a tune. Every string is stopped, open (0) or not played (None), but of a shape
    that is ``partial`` a string of None is only not struck."""
    setup = score.setup
    if setup.instrument.clef[0] == "F":  # a bass plays one note at a time
        return ()
    held: dict[str, list[_Held]] = {}
    first: dict[str, int] = {}
    for order, (chord, frets) in enumerate(_spans(score)):
        if chord_tones(chord) is None:
            continue
        first.setdefault(chord.text, order)
        if frets is not None:
            _add(held.setdefault(chord.text, []), frets, order)
    found: list[tuple[int, NamedShape]] = []
    for name, at in first.items():
        groups = held.get(name, [])
        for position, group in enumerate(groups):
            shape = _plain(name, group, setup)
            found.append((at if position == 0 else group.first, shape))
        if not groups and (usual := usual_shape(name, setup)) is not None:
            found.append((at, usual))
    found.sort(key=lambda item: item[0])
    return tuple(dict.fromkeys(shape for _, shape in found))


def _plain(name: str, group: _Held, setup: Setup) -> NamedShape:
    """The usual shape where the tune holds all of it, here or there, or most often some of it
    and nothing else; otherwise what it holds most."""
    usual = usual_shape(name, setup)
    if usual is not None:
        wanted = _stops(usual.frets)
        held = {stop for shape in group.shapes for stop in _stops(shape)}
        some = _stops(group.core())
        if wanted and (wanted <= held or (2 * len(some) >= len(wanted) and some <= wanted)):
            return NamedShape(name, _struck(usual.frets, group))
    frets = _complete(name, group.core(), setup)
    return NamedShape(name, frets, partial=None in frets)


def _struck(frets: Frets, group: _Held) -> Frets:
    """The shape, with the strings open that the tune strikes open though no tone asks for them:
    the short string sounds through every chord."""
    core = group.core()
    return tuple(
        0 if fret is None and struck == 0 else fret
        for fret, struck in zip(frets, core, strict=True)
    )


def _spans(score: Score) -> Iterator[tuple[ChordName, Frets | None]]:
    """Every chord name and what is plainly held under it, up to the next name or bar line."""
    for measure in score.measures:
        ends = [c.onset for c in measure.chords[1:]] + [measure.length] * bool(measure.chords)
        for chord, end in zip(measure.chords, ends, strict=True):
            yield chord, _held(chord, measure.events, end, score.setup)


def _held(chord: ChordName, events: Sequence[Event], end: Fraction, setup: Setup) -> Frets | None:
    """The frets of the strings that keep one fret, and a tone of the chord, through a span; a
    string that does not carries the melody. None where that is no shape."""
    tones = chord_tones(chord) or frozenset()
    frets: dict[int, int] = {}
    melody: set[int] = set()
    short = setup.instrument.short_string
    for event in events:
        if not chord.onset <= event.onset < end:
            continue
        for note in event.notes:
            drone = short is not None and note.string == short.string and note.fret == 0
            foreign = note.pitch.midi % 12 not in tones and not drone
            if note.fret is None or note.harmonic or foreign:
                melody.add(note.string)
                continue
            if frets.setdefault(note.string, note.fret) != note.fret:
                melody.add(note.string)
    kept = {string: fret for string, fret in frets.items() if string not in melody}
    stopped = [f for f in kept.values() if f]
    long_ones = [string for string in kept if short is None or string != short.string]
    plain = len(long_ones) >= 3 or (len(long_ones) == 2 and len(stopped) == 2)
    if not plain or (stopped and max(stopped) - min(stopped) > _REACH + 1):
        return None
    strings = range(1, setup.instrument.strings + 1)
    return tuple(_MELODY if n in melody else kept.get(n) for n in strings)


def _add(groups: list[_Held], frets: Frets, order: int) -> None:
    for group in groups:
        if any(_same(frets, other) for other in group.shapes):
            group.shapes.append(frets)
            return
    groups.append(_Held(order, [frets]))


def _same(a: Frets, b: Frets) -> bool:
    """True if half of what either hand stops is stopped by both: the rest is melody."""
    both = _stops(a) | _stops(b)
    return not both or 2 * len(_stops(a) & _stops(b)) >= len(both)


def _stops(frets: Frets) -> set[tuple[int, int]]:
    """What the left hand stops: string and fret."""
    return {(n, f) for n, f in enumerate(frets, start=1) if f and f != _MELODY}


def _complete(name: str, frets: Frets, setup: Setup) -> Frets:
    """What the tune does not say of a shape: a string that it does not strike may ring where it
    belongs to the chord and lies open beside low fingers; of others nothing is known."""
    tones = chord_tones(chord_name(name, Fraction(0))) or frozenset()
    short = setup.instrument.short_string
    low = min((f for f in frets if f), default=0) <= _OPEN_PLACE
    found: list[int | None] = []
    for string, fret in enumerate(frets, start=1):
        thumb = short is not None and short.string == string
        rings = fret is None and (low or thumb) and setup.open_midi(string) % 12 in tones
        found.append(0 if rings else fret)
    return tuple(found)


@lru_cache(maxsize=256)
def usual_shape(name: str, setup: Setup) -> NamedShape | None:
    """The easiest shape of a chord low on the neck, or None where there is none.

    Every tone of the chord sounds (in a chord of four tones on four strings or fewer the fifth
    may be missing) and nothing else; its root is the lowest note where that costs little.
    """
    chord = chord_name(name, Fraction(0))
    tones = chord_tones(chord)
    if tones is None or chord.root is None:
        return None
    root, bass = pitch_class(chord.root), pitch_class(chord.bass or chord.root)
    needed = tones - {(root + 7) % 12} if len(tones) > 3 else tones
    best: tuple[float, Frets] | None = None
    for frets in _candidates(tones, setup):
        cost = _cost(frets, needed, bass, setup)
        if cost is not None and (best is None or cost < best[0]):
            best = cost, frets
    if best is None:
        return None
    return replace(NamedShape(name, _with_short(best[1], tones, setup)), suggested=True)


def _long_strings(setup: Setup) -> list[int]:
    short = setup.instrument.short_string
    strings = range(1, setup.instrument.strings + 1)
    return [n for n in strings if short is None or n != short.string]


def _candidates(tones: frozenset[int], setup: Setup) -> Iterator[Frets]:
    """All ways to put tones of the chord on the long strings; the lowest may be silent."""
    strings = _long_strings(setup)
    highest = _EASE.get(len(strings), _FOUR).highest
    choices = [
        [f for f in range(highest + 1) if _sounds(setup, string, f) in tones] for string in strings
    ]
    for silent in range(len(strings) - 2):
        sounding = choices[: len(strings) - silent]
        for frets in product(*sounding):
            yield (*frets, *(None for _ in range(silent)))


def _sounds(setup: Setup, string: int, fret: int) -> int:
    try:
        return setup.midi(string, fret) % 12
    except NoSuchFret:
        return -1


def _cost(frets: Frets, needed: frozenset[int], bass: int, setup: Setup) -> float | None:
    """How hard a shape is, or None if a tone is missing or a hand cannot hold it."""
    pairs = list(zip(_long_strings(setup), frets, strict=True))
    pitches = [setup.midi(string, fret) for string, fret in pairs if fret is not None]
    stopped = [f for f in frets if f]
    short = setup.instrument.short_string
    drone = {setup.open_midi(short.string) % 12} if short is not None else set()
    if not needed <= {p % 12 for p in pitches} | drone:
        return None
    if stopped and max(stopped) - min(stopped) > _REACH:
        return None
    fingering = suggest_fingers(frets)
    fingers = [f for f in fingering.fingers if f]
    if fingering.barre is None and len(set(fingers)) < len(stopped):
        return None
    ease, span = _EASE.get(len(frets), _FOUR), _span(stopped)
    places = [n for n, f in enumerate(frets) if f]
    inside = bool(places) and 0 in frets[places[0] : places[-1]]
    return (
        ease.fret * sum(stopped)
        + ease.finger * len(set(fingers))
        + ease.span * span
        + ease.wide * (span >= _REACH)
        + ease.barre * bool(fingering.barre)
        + ease.silent * frets.count(None)
        + ease.wrong_bass * (min(pitches) % 12 != bass)
        + ease.open_inside * (inside and span > 1)
        + ease.open_string * frets.count(0)
        + ease.open_high * (0 in frets and max(stopped, default=0) > _OPEN_PLACE)
    )


def _span(stopped: Sequence[int]) -> int:
    return max(stopped) - min(stopped) if stopped else 0


def _with_short(frets: Frets, tones: frozenset[int], setup: Setup) -> Frets:
    """The shape with the short string, open where it belongs to the chord."""
    short = setup.instrument.short_string
    if short is None:
        return frets
    rings = 0 if setup.open_midi(short.string) % 12 in tones else None
    return (*frets[: short.string - 1], rings, *frets[short.string - 1 :])
