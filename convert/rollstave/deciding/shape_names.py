"""What a chord shape is called: open, a bar, or by the chord that it makes low on the neck.

"The F shape at fret 8" is the shape of the low F, its index finger at fret 8; what it is called
depends on how it looks and where it lies, and on nothing else (common practice; how a chord is
chosen where several lie low is ours).
"""

from __future__ import annotations

from fractions import Fraction

from msgspec import Struct

from rollstave.deciding.chords import chord_name, chord_suffix, chord_tones, pitch_class
from rollstave.deciding.shapes import Frets, MovableShape
from rollstave.instruments.setup import Setup

_TOP = 3  # strings that are a shape by themselves, where they have all tones
_LOW = 3  # frets from the nut on that are low
# The chords that shapes are named after, those of everyday keys first; by pitch class of the root.
_EVERYDAY = {"major": (0, 5, 7, 2, 9), "minor": (9, 2, 4), "dominant": (7, 0, 2, 9, 4)}
_ROOTS = {0: "C", 2: "D", 4: "E", 5: "F", 7: "G", 9: "A", 11: "B"}
_BETWEEN = {1: "Db", 3: "Eb", 6: "F#", 8: "Ab", 10: "Bb"}
_DEGREES = {
    **{0: "root", 1: "second", 2: "second", 3: "third", 4: "third", 5: "fourth"},
    **{6: "fifth", 7: "fifth", 8: "fifth", 9: "sixth", 10: "seventh", 11: "seventh"},
}


class ShapeName(Struct, frozen=True):
    """What a shape is (``"F shape"``, ``"bar"``, ``"open C"``), and the fret at which its lowest
    finger lies on the upper strings, where it is: 0 for an open one."""

    what: str
    fret: int

    def __str__(self) -> str:
        """``the F shape at fret 8``, ``open C``."""
        return f"the {self.what} at fret {self.fret}" if self.fret else self.what


def shape_name(chord: str, frets: Frets, setup: Setup) -> ShapeName:
    """The name of the shape that holds a chord with these frets, string 1 first.

    Raises ValueError for a chord whose tones are not known, or a shape that stops no string.
    """
    named = chord_name(chord, Fraction(0))
    tones = chord_tones(named)
    if tones is None or named.root is None:
        raise ValueError(f"the tones of the chord {chord!r} are not known")
    short = setup.instrument.short_string
    held = {
        number: fret
        for number, fret in enumerate(frets, start=1)
        if fret is not None and (short is None or number != short.string)
    }
    if not held:
        raise ValueError("a shape has at least one string")
    if not all(held.values()):
        return ShapeName(what=f"open {chord}", fret=0)
    top = {number: fret for number, fret in held.items() if number <= _TOP}
    whole = {setup.midi(n, f) % 12 for n, f in top.items()} == tones
    base = top if whole else held
    fret = min(base.values())
    root = pitch_class(named.root)
    bar = len(base) > 2 and len(set(base.values())) == 1
    what = "bar" if bar else f"{_low_root(root - fret, named.kind)}{chord_suffix(chord)} shape"
    degrees = [_DEGREES[(setup.midi(n, held[n]) - root) % 12] for n in sorted(held, reverse=True)]
    if not whole:  # several that have the same chord low on the neck
        what += f" ({', '.join(degrees)})"
    elif max(held) > _TOP:
        what += f" with its {degrees[0]} in the bass"
    return ShapeName(what=what, fret=fret)


def heading(shape: MovableShape, setup: Setup) -> str:
    """The name of a closed shape wherever it lies, as a heading has it: ``F shape``, ``Bar``."""
    first = shape.positions[0]
    what = shape_name(first.name, first.frets, setup).what
    return what[0].upper() + what[1:]


def _low_root(root: int, kind: str) -> str:
    """The root of the chord that a shape makes low on the neck. ``root`` is the pitch class that
    it would have with its lowest finger at the nut."""
    everyday = _EVERYDAY.get(kind, _EVERYDAY["major"])
    low = [(root + fret) % 12 for fret in range(_LOW)]
    best = min(low, key=lambda at: (_rank(at, everyday), low.index(at)))
    return _ROOTS.get(best) or _BETWEEN[best]


def _rank(root: int, everyday: tuple[int, ...]) -> int:
    """The three first are equally good, then the others of every day, then whatever has a plain
    letter."""
    if root in everyday[:3]:
        return 0
    return 1 if root in everyday else 2 if root in _ROOTS else 3
