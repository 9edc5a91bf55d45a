"""Whether a shape is the chord that it is named after, and goes with what is struck under it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from rollstave.deciding.chords import chord_name, chord_tones, needed_tones
from rollstave.deciding.easiest_shape import long_strings, sounds
from rollstave.deciding.held_shapes import Span
from rollstave.deciding.shapes import Frets, NamedShape, suggest_fingers
from rollstave.instruments.setup import Setup

FINGERS_REACH = 3  # frets between the lowest and the highest finger of a shape
_FINGERS = 4
_FINGER_MORE = 4  # frets above the lowest finger of a shape that the hand reaches without moving


def is_the_chord(shape: NamedShape, setup: Setup, left: bool) -> bool:
    """True for a shape with all that makes the chord, or what the tune itself holds of a plain
    triad on three strings or more, none of which is ``left`` to the melody."""
    if not lacks_a_tone(shape.name, shape.frets, setup):
        return True
    known = sum(shape.frets[n - 1] is not None for n in long_strings(setup))
    tones = chord_tones(chord_name(shape.name, Fraction(0))) or frozenset()
    return not (shape.suggested or left) and known > 2 and len(tones) == 3


def lacks_a_tone(name: str, frets: Frets, setup: Setup) -> bool:
    """True if what is known of a shape is not yet the chord: the tune strikes only part of it."""
    needed = needed_tones(chord_name(name, Fraction(0))) or frozenset()
    sounding = {sounds(setup, n, f) for n, f in enumerate(frets, start=1) if f is not None}
    return not needed <= sounding


def goes_with(span: Span, shape: NamedShape) -> bool:
    """False if as many notes of a span take fingers off a shape as it has ready, if more are beside
    it at all, or two at once: what the hand holds there is another shape. Fewer are passing ones,
    and on a string that the shape leaves open, or has not, ask for a finger more."""
    if not span.notes:
        return True
    beside = set(_beside(span, shape))
    against = [sum(note in beside for note in stroke) for stroke in span.strokes]
    if max(against) > 1 or _held_lower(span, shape):
        return False
    ready = sum(shape.frets[string - 1] == fret for string, fret in span.notes)
    return ready > len(list(leaving(span, shape))) and ready >= sum(against)


def _beside(span: Span, shape: NamedShape) -> Iterator[tuple[int, int]]:
    """The notes of a span that a shape has not: on other strings, or at other frets. Above a finger
    a finger more, within reach and not in use yet, leaves that where it is."""
    used = set(suggest_fingers(shape.frets, span.short).fingers) - {None}
    farthest = shape.lowest + _FINGER_MORE if len(used) < _FINGERS else 0
    for string, fret in span.notes:
        own = shape.frets[string - 1]
        if fret != own and not (own and own < fret <= farthest):
            yield string, fret


def _held_lower(span: Span, shape: NamedShape) -> bool:
    """True if strings of a shape are struck where it stops them, and at once with them another one
    is stopped below its lowest finger."""
    for stroke in span.strokes:
        own = sum(bool(fret) and shape.frets[string - 1] == fret for string, fret in stroke)
        if own > 1 and any(0 < fret < shape.lowest for _, fret in stroke):
            return True
    return False


def denies(span: Span, shape: NamedShape) -> bool:
    """True if the tune strikes a string of a span, but never where the shape stops it. One that the
    shape has open may have a finger more."""
    stopped = ((n, fret) for n, fret in enumerate(shape.frets, start=1) if fret)
    return any(span.struck.get(n) and fret not in span.struck[n] for n, fret in stopped)


def fits(span: Span, shape: NamedShape) -> bool:
    """True if a shape may be held through a span."""
    return goes_with(span, shape) and not denies(span, shape)


def leaving(span: Span, shape: NamedShape) -> Iterator[int]:
    """The long strings whose finger comes off while a shape is held: those that are struck open,
    below it, or where no finger more reaches."""
    return (string for string, _ in _beside(span, shape) if shape.frets[string - 1])


def agrees(span: Span, shape: NamedShape) -> int:
    """How many strings are struck where a shape has them."""
    return sum(fret in span.struck.get(n, ()) for n, fret in enumerate(shape.frets, start=1))


def contradicted(frets: Frets, spans: Sequence[Span]) -> bool:
    """True if the tones of the chord that the tune strikes on a string are never the one that a
    shape stops there, or leaves open there. Other tones are passing melody, and over a shape
    without a finger all are."""
    return any(frets) and any(
        fret is not None and (struck := _struck(string, spans)) and fret not in struck
        for string, fret in enumerate(frets, start=1)
    )


def opened_as_struck(frets: Frets, spans: Sequence[Span]) -> Frets:
    """A shape with its open strings as the tune strikes them: one that the tune always stops at the
    same fret, within reach, is stopped there; of one that it always stops elsewhere nothing is
    known."""
    stopped = [fret for fret in frets if fret]
    found: list[int | None] = []
    for string, fret in enumerate(frets, start=1):
        struck = _struck(string, spans)
        if fret == 0 and stopped and struck and 0 not in struck:
            reach = max(*struck, *stopped) - min(*struck, *stopped)
            fret = min(struck) if len(struck) == 1 and reach <= FINGERS_REACH else None
        found.append(fret)
    return tuple(found)


def _struck(string: int, spans: Sequence[Span]) -> set[int]:
    """The frets of tones of the chord that are struck on a string."""
    return {fret for span in spans for fret in span.struck.get(string, ())}
