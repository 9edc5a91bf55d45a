"""The easiest shape of a chord in a tuning: a search over all frets of a place on the neck.

Costs of ease are ours; only their order matters.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from functools import lru_cache
from itertools import product

from msgspec import Struct

from rollstave.deciding.chords import chord_name, chord_tones, needed_tones, pitch_class
from rollstave.deciding.held_shapes import stops
from rollstave.deciding.shapes import Frets, NamedShape, suggest_fingers
from rollstave.instruments.setup import NoSuchFret, Setup

_UP_TO = 13  # the highest fret that a finger of a shape further up begins at
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
OPEN_PLACE = 3  # a shape whose lowest finger is no higher than this lies among the open strings


@lru_cache(maxsize=256)
def easiest_frets(
    name: str, setup: Setup, held: frozenset[tuple[int, int]] = frozenset()
) -> Frets | None:
    """The frets of the easiest low shape of a chord with the strings and frets that are held
    already; None for a chord that is not known."""
    chord = chord_name(name, Fraction(0))
    tones = chord_tones(chord)
    if tones is None or chord.root is None:
        return None
    needed = needed_tones(chord) or tones
    wanted = _Wanted(tones, needed, pitch_class(chord.bass or chord.root))
    found = None
    if chord.bass is not None:
        # A bass that is named is the lowest note, if any shape has it there.
        found = _easiest_of(wanted, setup, held, named_bass=True)
    return found or _easiest_of(wanted, setup, held)


def usual_shape(name: str, setup: Setup) -> NamedShape | None:
    """The easiest shape of a chord: low on the neck, else further up; None where a hand can hold
    none.

    Every tone of the chord sounds (in a chord of four tones on four strings or fewer the fifth
    may be missing, in larger ones all but what makes the chord) and nothing else; its root is the
    lowest note where that costs little, a bass that the name has (``F#7/A#``) wherever it can be.
    """
    frets = easiest_frets(name, setup)
    return None if frets is None else NamedShape(name, frets, suggested=True)


class _Wanted(Struct, frozen=True):
    """The pitch classes of a chord, those that must sound, and the one to be the lowest."""

    tones: frozenset[int]
    needed: frozenset[int]
    bass: int


def _easiest_of(
    wanted: _Wanted,
    setup: Setup,
    held: frozenset[tuple[int, int]],
    named_bass: bool = False,
) -> Frets | None:
    """The easiest shape of the lowest place that has any."""
    highest = _EASE.get(len(long_strings(setup)), _FOUR).highest
    places = [range(highest + 1), *(range(low, low + _REACH + 1) for low in range(2, _UP_TO))]
    for place in places:
        found = [
            (cost, whole)
            for frets in _candidates(wanted.tones, setup, place)
            if held <= stops(whole := _with_short(frets, wanted.tones, setup))
            and not (named_bass and _lowest(frets, setup) != wanted.bass)
            and (cost := _cost(frets, wanted.needed, wanted.bass, setup)) is not None
        ]
        if found:
            return min(found, key=lambda item: item[0])[1]  # of equals, the first
    return None


def long_strings(setup: Setup) -> list[int]:
    """The strings that reach the nut."""
    short = setup.instrument.short_string
    strings = range(1, setup.instrument.strings + 1)
    return [n for n in strings if short is None or n != short.string]


def _candidates(tones: frozenset[int], setup: Setup, place: range) -> Iterator[Frets]:
    """All ways to put tones of the chord on the long strings, at frets of the place or open. The
    lowest strings may be silent; up the neck any one may."""
    strings = long_strings(setup)
    choices: list[list[int | None]] = [
        [f for f in dict.fromkeys((0, *place)) if sounds(setup, string, f) in tones]
        for string in strings
    ]
    if place[0] > 0:
        yield from product(*([*frets, None] for frets in choices))
        return
    for silent in range(len(strings) - 2):
        sounding = choices[: len(strings) - silent]
        for frets in product(*sounding):
            yield (*frets, *(None for _ in range(silent)))


def sounds(setup: Setup, string: int, fret: int) -> int:
    """The pitch class of a string at a fret; -1 where the neck has none."""
    try:
        return setup.midi(string, fret) % 12
    except NoSuchFret:
        return -1


def _lowest(frets: Frets, setup: Setup) -> int:
    """The pitch class of the lowest note of a shape; -1 where nothing sounds."""
    pairs = zip(long_strings(setup), frets, strict=True)
    pitches = [setup.midi(string, fret) for string, fret in pairs if fret is not None]
    return min(pitches) % 12 if pitches else -1


def _cost(frets: Frets, needed: frozenset[int], bass: int, setup: Setup) -> float | None:
    """How hard a shape is, or None if a tone is missing or a hand cannot hold it."""
    pairs = list(zip(long_strings(setup), frets, strict=True))
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
        + ease.open_high * (0 in frets and max(stopped, default=0) > OPEN_PLACE)
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
