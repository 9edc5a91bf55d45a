"""Where a tune holds the shapes of its row, and which of their fingers leave their strings there.

A finger that a melody note asks for elsewhere comes off the shape, or further up is a finger more;
a shape that would be left for most of what is struck is not held at all.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from fractions import Fraction
from itertools import groupby

from msgspec import Struct

from rollstave.deciding.held_shapes import Span
from rollstave.deciding.shape_truth import agrees, fits, leaving
from rollstave.deciding.shapes import NamedShape

Pairs = Sequence[tuple[Span, NamedShape | None]]  # what is held in each span
Places = tuple[tuple[int, int], ...]


class ShapeAt(Struct, frozen=True):
    """A shape that the hand changes to, in the measure of index ``measure``, at ``onset`` in
    quarter notes from its start. ``leaving`` are the strings whose finger comes off for melody
    notes before the next change."""

    measure: int
    onset: Fraction
    shape: NamedShape
    leaving: frozenset[int] = frozenset()


def held_in(
    spans: Sequence[Span], of_span: Mapping[int, NamedShape], shapes: Iterable[NamedShape]
) -> Iterator[NamedShape | None]:
    """The shape that is held in each span, or that most of its notes belong to; None where the
    hand would leave them all."""
    by_name: dict[str, list[NamedShape]] = {}
    for shape in shapes:
        by_name.setdefault(shape.name, []).append(shape)
    before: NamedShape | None = None
    for span in spans:
        held = of_span.get(id(span)) or _likeliest(span, by_name.get(span.chord.text, ()), before)
        yield held
        before = held or before


def _likeliest(
    span: Span, known: Sequence[NamedShape], before: NamedShape | None
) -> NamedShape | None:
    """The shape of a span that holds none plainly: the one that most of its notes belong to, of
    equals the one that is held already, or the first."""
    fitting = [s for s in known if not span.notes or (agrees(span, s) and fits(span, s))]
    return max(fitting, key=lambda shape: (agrees(span, shape), shape == before), default=None)


def changes(pairs: Pairs) -> Iterator[ShapeAt]:
    """Each change of shape; after a chord that has none the hand comes back to one."""
    for shape, group in groupby(pairs, key=lambda pair: pair[1]):
        if shape is not None:
            mine = list(group)
            first = mine[0][0]
            at = first.chord.onset
            gone = off(shape, mine)
            yield ShapeAt(measure=first.measure, onset=at, shape=shape, leaving=gone)


def off(shape: NamedShape, pairs: Pairs) -> frozenset[int]:
    """The strings whose finger comes off somewhere while a shape is held."""
    return frozenset(n for span, held in pairs if held == shape for n in leaving(span, shape))


def places(shape: NamedShape, pairs: Pairs) -> Places:
    """The measures in which a shape is held, from one use of the chord to the next."""
    found: list[tuple[int, int]] = []
    goes_on = False
    for span, held in pairs:
        if span.chord.text != shape.name:
            continue
        if held != shape:
            goes_on = False
        elif goes_on:
            found[-1] = found[-1][0], span.measure
        else:
            found.append((span.measure, span.measure))
            goes_on = True
    return tuple(found)
