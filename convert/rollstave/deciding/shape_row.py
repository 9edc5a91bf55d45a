"""The chord shapes to show with a tune: each that it holds, once, in order of first appearance.

A chord that the tune never holds plainly, because the melody moves through it, gets the easiest
low shape of its tuning instead (``easiest_shape``), marked as suggested.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace

from rollstave.deciding.chords import chord_name, chord_tones, needed_tones
from rollstave.deciding.easiest_shape import OPEN_PLACE, easiest_frets, sounds
from rollstave.deciding.held_shapes import Held, Span, groups_of, naming_setup, spans_of, stops
from rollstave.deciding.setups import new_in
from rollstave.deciding.shapes import Frets, NamedShape, closed_shapes
from rollstave.instruments.setup import Setup
from rollstave.score.memo import once_for_a_score
from rollstave.score.records import Score


class ShapeAt(Struct, frozen=True):
    """A shape that the hand changes to, in the measure of index ``measure``, at ``onset`` in
    quarter notes from its start."""

    measure: int
    onset: Fraction
    shape: NamedShape


class _Shapes(Struct, frozen=True):
    row: tuple[NamedShape, ...] = ()
    changes: tuple[ShapeAt, ...] = ()


def shape_row(score: Score) -> tuple[NamedShape, ...]:
    """The shapes of a tune. Every string is stopped, open (0) or not played (None), but of a shape
    that is ``partial`` a string of None is only not struck."""
    return _shapes(score).row


def shape_changes(score: Score) -> tuple[ShapeAt, ...]:
    """Each change of chord or of position, with the shape that is held from there on. Where
    nothing is plainly held, it is the shape that most of the notes belong to."""
    return _shapes(score).changes


@once_for_a_score
def _shapes(score: Score) -> _Shapes:
    if score.setup.instrument.clef[0] == "F":  # a bass plays one note at a time
        return _Shapes()
    setups = list(dict.fromkeys((score.setup, *score.setups)))
    found = [
        _shapes_of(score, setup, new_in(setup, before))
        for before, setup in zip((score.setup, *setups), setups, strict=False)
    ]
    if len(found) == 1:
        return found[0]  # nearly always
    changes = sorted(
        (change for one in found for change in one.changes), key=lambda c: (c.measure, c.onset)
    )
    return _Shapes(tuple(shape for one in found for shape in one.row), tuple(changes))


def _shapes_of(score: Score, held_in: Setup, said: str) -> _Shapes:
    """The shapes of the measures in which the instrument is set up so; ``said`` tells them from
    those before in the row. Over the music a heading says it already."""
    setup = naming_setup(score, held_in)
    spans = tuple(spans_of(score, held_in))
    first: dict[str, int] = {}
    for order, span in enumerate(spans):
        first.setdefault(span.chord.text, order)
    beside = {span.chord.text: span.chord.beside for span in spans}
    found: list[tuple[int, NamedShape]] = []
    of_span: dict[int, NamedShape] = {}
    for name, groups in groups_of(spans).items():
        for position, group in enumerate(groups):
            plain = _with_drone(_plain(name, group, groups, setup), group.spans, score)
            shape = replace(plain, beside=beside[name])
            found.append((first[name] if position == 0 else group.first, shape))
            of_span.update((id(span), shape) for span in group.spans)
        if not groups and (usual := usual_shape(name, setup)) is not None:
            usual = _with_drone(usual, [s for s in spans if s.chord.text == name], score)
            found.append((first[name], replace(usual, beside=beside[name])))
    found.sort(key=lambda item: item[0])
    row = _once(shape for _, shape in found)
    named = tuple(replace(shape, set_up=said) for shape in row) if said else row
    return _Shapes(named, tuple(_changes(spans, of_span, row, setup)))


def _once(shapes: Iterable[NamedShape]) -> tuple[NamedShape, ...]:
    """Each shape once: where the tune holds what is suggested elsewhere, it is its own."""
    found: dict[tuple[str, Frets], NamedShape] = {}
    for shape in shapes:
        key = shape.name, shape.frets
        if key not in found or (found[key].suggested and not shape.suggested):
            found[key] = shape
    return tuple(found.values())


def _changes(
    spans: Sequence[Span],
    of_span: Mapping[int, NamedShape],
    row: Sequence[NamedShape],
    setup: Setup,
) -> Iterator[ShapeAt]:
    by_name: dict[str, list[NamedShape]] = {}
    for shape in row:
        by_name.setdefault(shape.name, []).append(shape)
    before: NamedShape | None = None
    for span in spans:
        held = of_span.get(id(span)) or _likeliest(span, by_name, before, setup)
        if held is not None and held != before:
            yield ShapeAt(span.measure, span.chord.onset, held)
            before = held


def _likeliest(
    span: Span, by_name: Mapping[str, Sequence[NamedShape]], before: NamedShape | None, setup: Setup
) -> NamedShape | None:
    """The shape of a span that holds none plainly: the one that most of its notes belong to, of
    equals the one that is held already, or the first."""
    name = span.chord.text
    usual = usual_shape(name, setup)
    known = [*by_name.get(name, ())]
    if usual is not None:
        known.append(replace(usual, beside=span.chord.beside))
    return max(known, key=lambda shape: (_agrees(span, shape), shape == before), default=None)


def _agrees(span: Span, shape: NamedShape) -> int:
    return sum(fret in span.struck.get(n, ()) for n, fret in enumerate(shape.frets, start=1))


def _plain(name: str, group: Held, groups: Sequence[Held], setup: Setup) -> NamedShape:
    """The usual shape where the tune holds all of it, here or there, or most often some of it
    and nothing else; a whole closed shape where the melody leaves one of its strings and comes
    back; the easiest one around what is held where the melody covers what makes the chord;
    otherwise what the tune holds most."""
    usual = usual_shape(name, setup)
    if usual is not None:
        wanted = stops(usual.frets)
        held = {stop for shape in group.shapes for stop in stops(shape)}
        some = stops(group.core())
        if wanted and (wanted <= held or (2 * len(some) >= len(wanted) and some <= wanted)):
            return NamedShape(name, _struck(usual.frets, group))
    core = group.core()
    whole = _whole(name, core, group, groups, setup)
    frets = _complete(name, core if whole is None else whole.frets, setup)
    if group.melody() and _lacks_a_tone(name, frets, setup):
        easiest = easiest_frets(name, setup, frozenset(stops(core)))
        if easiest is not None:
            return NamedShape(name, easiest, suggested=stops(easiest) != stops(core))
    suggested = whole is not None and whole.suggested
    return NamedShape(name, frets, suggested=suggested, partial=None in frets)


def _lacks_a_tone(name: str, frets: Frets, setup: Setup) -> bool:
    """True if what is known of a shape is not yet the chord: the tune strikes only part of it."""
    needed = needed_tones(chord_name(name, Fraction(0))) or frozenset()
    sounding = {sounds(setup, n, f) for n, f in enumerate(frets, start=1) if f is not None}
    return not needed <= sounding


def _whole(
    name: str, core: Frets, group: Held, groups: Sequence[Held], setup: Setup
) -> NamedShape | None:
    """The closed shape that a held part belongs to, where the melody covers the rest: first one
    that the melody touches, or that the tune holds elsewhere; else, as a suggestion, the only one
    there is. None where nothing is covered, or several fit."""
    covered = {n for n in group.melody() if core[n - 1] is None}
    mine = stops(core)
    if not covered or len(mine) < 2:
        return None
    elsewhere = {frozenset(stops(other.core())) for other in groups if other is not group}
    fitting = [
        frets
        for frets in closed_shapes(name, setup)
        if mine < stops(frets) and {n for n, _ in stops(frets) - mine} <= covered
    ]
    proven = [
        frets
        for frets in fitting
        if stops(frets) in elsewhere or all(group.strikes(n, f) for n, f in stops(frets) - mine)
    ]
    best = proven or (fitting if len(fitting) == 1 else [])
    if not best:
        return None
    added = max(best, key=lambda frets: len(stops(frets)))
    both = tuple(fret if fret is not None else own for fret, own in zip(added, core, strict=True))
    return NamedShape(name, both, suggested=not proven)


def _struck(frets: Frets, group: Held) -> Frets:
    """The shape, with the strings open that the tune strikes open though no tone asks for them:
    the short string sounds through every chord."""
    core = group.core()
    return tuple(
        0 if fret is None and struck == 0 else fret
        for fret, struck in zip(frets, core, strict=True)
    )


def _with_drone(shape: NamedShape, spans: Sequence[Span], score: Score) -> NamedShape:
    """The shape with its short string open where the tune strikes that around the chord, whether it
    is one of its tones or not: it is no string to leave out."""
    short = score.setup.instrument.short_string
    if short is None or shape.frets[short.string - 1] is not None:
        return shape
    notes = (
        note for s in spans for event in score.measures[s.measure].events for note in event.notes
    )
    if not any(note.string == short.string and note.fret == 0 for note in notes):
        return shape
    frets = tuple(0 if n == short.string else f for n, f in enumerate(shape.frets, start=1))
    return replace(shape, frets=frets)


def _complete(name: str, frets: Frets, setup: Setup) -> Frets:
    """What the tune does not say of a shape: a string that it does not strike may ring where it
    belongs to the chord and lies open beside low fingers; of others nothing is known."""
    tones = chord_tones(chord_name(name, Fraction(0))) or frozenset()
    short = setup.instrument.short_string
    low = min((f for f in frets if f), default=0) <= OPEN_PLACE
    found: list[int | None] = []
    for string, fret in enumerate(frets, start=1):
        thumb = short is not None and short.string == string
        rings = fret is None and (low or thumb) and setup.open_midi(string) % 12 in tones
        found.append(0 if rings else fret)
    return tuple(found)


def usual_shape(name: str, setup: Setup) -> NamedShape | None:
    """The easiest shape of a chord: low on the neck, else further up; None where a hand can hold
    none.

    Every tone of the chord sounds (in a chord of four tones on four strings or fewer the fifth
    may be missing, in larger ones all but what makes the chord) and nothing else; its root is the
    lowest note where that costs little, a bass that the name has (``F#7/A#``) wherever it can be.
    """
    frets = easiest_frets(name, setup)
    return None if frets is None else NamedShape(name, frets, suggested=True)
