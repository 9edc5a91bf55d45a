"""The chord shapes to show with a tune: each that it holds, once, in order of first appearance.

A chord that the tune never holds plainly, because the melody moves through it, gets the easiest
low shape of its tuning instead (``easiest_shape``), marked as suggested.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace

from rollstave.deciding.chords import chord_name, chord_tones
from rollstave.deciding.easiest_shape import OPEN_PLACE, easiest_frets, long_strings
from rollstave.deciding.held_shapes import Held, Span, groups_of, naming_setup, spans_of, stops
from rollstave.deciding.setups import new_in
from rollstave.deciding.shape_truth import (
    agrees,
    contradicted,
    denies,
    goes_with,
    held_lower,
    is_the_chord,
    lacks_a_tone,
    opened_as_struck,
)
from rollstave.deciding.shapes import Frets, NamedShape, closed_shapes
from rollstave.instruments.setup import Setup
from rollstave.score.memo import once_for_a_score
from rollstave.score.records import Score
from rollstave.score.wanted import wanted

Places = tuple[tuple[int, int], ...]
THUMB_REACH = 3  # frets between the lowest finger of a shape and the thumb (common practice)
_OF_A_SCORE = "a score, such as that of a tune, has chord shapes"


class ShapeAt(Struct, frozen=True):
    """A shape that the hand changes to, in the measure of index ``measure``, at ``onset`` in
    quarter notes from its start."""

    measure: int
    onset: Fraction
    shape: NamedShape


class _Shapes(Struct, frozen=True):
    """``places`` are for each shape of the row the measures in which it is held (see
    :func:`shape_measures`)."""

    row: tuple[NamedShape, ...] = ()
    places: tuple[Places, ...] = ()
    changes: tuple[ShapeAt, ...] = ()


def shape_row(score: Score) -> tuple[NamedShape, ...]:
    """The shapes of a tune. Every string is stopped, open (0) or not played (None), but of a shape
    that is ``partial`` a string of None is only not struck."""
    wanted(score, Score, _OF_A_SCORE)
    return _shapes(score).row


def shape_measures(score: Score) -> dict[NamedShape, Places]:
    """The shapes of chords that a tune holds in several, each with the indices of the measures in
    which it is held: from the first to the last of those between which the chord is held in no
    other, and where it comes back."""
    shapes = _shapes(score)
    names = Counter(shape.name for shape in shapes.row)
    pairs = zip(shapes.row, shapes.places, strict=True)
    return {shape: places for shape, places in pairs if names[shape.name] > 1}


def shape_changes(score: Score) -> tuple[ShapeAt, ...]:
    """Each change of chord or of position, with the shape that is held from there on. Where
    nothing is plainly held, it is the shape that most of the notes belong to."""
    wanted(score, Score, _OF_A_SCORE)
    return _shapes(score).changes


def without_shapes(score: Score) -> tuple[str, ...]:
    """The names of chords, in order of first use, of which no shape goes with what is struck."""
    if score.setup.instrument.clef[0] == "F":
        return ()
    shown = {shape.name for shape in shape_row(score)}
    named = [c.text for m in score.measures for c in m.chords if chord_tones(c) is not None]
    return tuple(name for name in dict.fromkeys(named) if name not in shown)


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
    return _Shapes(
        row=tuple(shape for one in found for shape in one.row),
        places=tuple(places for one in found for places in one.places),
        changes=tuple(changes),
    )


def _shapes_of(score: Score, held_in: Setup, said: str) -> _Shapes:
    """The shapes of the measures in which the instrument is set up so; ``said`` tells them from
    those before in the row. Over the music a heading says it already."""
    setup = naming_setup(score, held_in)
    spans = tuple(spans_of(score, held_in))
    found: list[tuple[int, NamedShape]] = []
    of_span: dict[int, NamedShape] = {}
    for name, groups in groups_of(spans).items():
        mine = [(order, span) for order, span in enumerate(spans) if span.chord.text == name]
        shapes: list[tuple[int, NamedShape]] = []
        for group in groups:
            around = [*group.spans, *(s for _, s in mine if s.frets is None)]
            plain = _plain(name, group, groups, setup, around)
            shape = _with_drone(plain, group.spans, around, score)
            lower = all(held_lower(span, shape) for span in group.spans)
            if is_the_chord(shape, setup, bool(group.melody())) and not lower:
                shapes.append((group.first, shape))
                of_span.update((id(span), shape) for span in group.spans)
        shapes += _for_the_rest(name, mine, of_span, setup, score)
        # Each begins where it is held, or may be where nothing is plainly held.
        loose = [(order, span) for order, span in mine if id(span) not in of_span]
        for own, shape in shapes:
            order = min([own, *(n for n, span in loose if not denies(span, shape))])
            others = [s for n, s in shapes if s is not shape and n == order]
            found.append((own if others else order, replace(shape, beside=mine[0][1].chord.beside)))
    of_span = {at: replace(s, beside=_beside(s.name, spans)) for at, s in of_span.items()}
    found.sort(key=lambda item: item[0])
    once = _once(found)
    row = tuple(shape for _, shape in once)
    named = tuple(replace(shape, set_up=said) for shape in row) if said else row
    held = list(_held_in(spans, of_span, row, setup))
    return _Shapes(
        row=named,
        places=tuple(_places(shape, spans, held, spans[order].measure) for order, shape in once),
        changes=tuple(_changes(spans, held)),
    )


def _beside(name: str, spans: Sequence[Span]) -> str:
    """The other name of a chord under a capo."""
    return next((span.chord.beside for span in spans if span.chord.text == name), "")


def _for_the_rest(
    name: str,
    mine: Sequence[tuple[int, Span]],
    of_span: Mapping[int, NamedShape],
    setup: Setup,
    score: Score,
) -> list[tuple[int, NamedShape]]:
    """Shapes to suggest for the spans of a chord in which nothing is plainly held and which deny
    all that is held elsewhere: the usual one, or the easiest around what is struck. Where none
    fits, the usual one stands for a chord that has no other. None is suggested that goes with
    nothing of what is struck: no shape is better than a false one."""
    usual, named = usual_shape(name, setup), [span for _, span in mine]
    known = list(
        {
            of_span[id(span)].frets: of_span[id(span)] for _, span in mine if id(span) in of_span
        }.values()
    )
    found: list[tuple[int, NamedShape]] = []
    for order, span in mine:
        if id(span) in of_span or any(not denies(span, shape) for shape in known):
            continue
        fitting = [usual] if usual is not None and not denies(span, usual) else []
        held = frozenset(
            (n, f) for n, frets in span.struck.items() if len(frets) == 1 for f in frets if f
        )
        if not fitting and held and (easiest := easiest_frets(name, setup, held)) is not None:
            fitting = [NamedShape(name, easiest, suggested=True)]
        for shape in fitting:
            if not denies(span, shape):
                own = _with_drone(shape, named, named, score)
                known.append(own)
                found.append((order, own))
    if not known and usual is not None and not contradicted(usual.frets, named):
        found.append((mine[0][0], _with_drone(usual, named, named, score)))
    return [
        (order, shape) for order, shape in found if any(goes_with(span, shape) for _, span in mine)
    ]


def _once(shapes: Iterable[tuple[int, NamedShape]]) -> list[tuple[int, NamedShape]]:
    """Each shape once, with the order of its first use: where the tune holds what is suggested
    elsewhere, it is its own."""
    found: dict[tuple[str, Frets], tuple[int, NamedShape]] = {}
    for order, shape in shapes:
        key = shape.name, shape.frets
        if key not in found:
            found[key] = order, shape
        elif found[key][1].suggested and not shape.suggested:
            found[key] = found[key][0], shape
    return list(found.values())


def _held_in(
    spans: Sequence[Span],
    of_span: Mapping[int, NamedShape],
    row: Sequence[NamedShape],
    setup: Setup,
) -> Iterator[NamedShape | None]:
    """The shape that is held in each span, or that most of its notes belong to."""
    by_name: dict[str, list[NamedShape]] = {}
    for shape in row:
        by_name.setdefault(shape.name, []).append(shape)
    before: NamedShape | None = None
    for span in spans:
        held = of_span.get(id(span)) or _likeliest(span, by_name, before, setup)
        yield held
        before = held or before


def _changes(spans: Sequence[Span], held: Sequence[NamedShape | None]) -> Iterator[ShapeAt]:
    before: NamedShape | None = None
    for span, shape in zip(spans, held, strict=True):
        if shape is not None and shape != before:
            yield ShapeAt(span.measure, span.chord.onset, shape)
            before = shape


def _places(
    shape: NamedShape, spans: Sequence[Span], held: Sequence[NamedShape | None], first: int
) -> Places:
    """The measures in which a shape is held, from one use of the chord to the next; at least the
    one in which it is first met."""
    found: list[tuple[int, int]] = []
    goes_on = False
    for span, other in zip(spans, held, strict=True):
        if span.chord.text != shape.name:
            continue
        if other is None or other.frets != shape.frets:
            goes_on = False
        elif goes_on:
            found[-1] = found[-1][0], span.measure
        else:
            found.append((span.measure, span.measure))
            goes_on = True
    return tuple(found) or ((first, first),)


def _likeliest(
    span: Span, by_name: Mapping[str, Sequence[NamedShape]], before: NamedShape | None, setup: Setup
) -> NamedShape | None:
    """The shape of a span that holds none plainly: the one that most of its notes belong to, of
    equals the one that is held already, or the first."""
    name = span.chord.text
    usual = usual_shape(name, setup)
    known = [shape for shape in by_name.get(name, ()) if not span.notes or agrees(span, shape)]
    if usual is not None and goes_with(span, usual):
        known.append(replace(usual, beside=span.chord.beside))
    return max(known, key=lambda shape: (agrees(span, shape), shape == before), default=None)


def _plain(
    name: str, group: Held, groups: Sequence[Held], setup: Setup, spans: Sequence[Span]
) -> NamedShape:
    """The usual shape where the tune holds all of it, here or there, or most often some of it
    and nothing else; a whole closed shape where the melody leaves one of its strings and comes
    back; the easiest one around what is held where the melody covers what makes the chord;
    otherwise what the tune holds most. ``spans`` are its own and the loose ones."""
    usual = usual_shape(name, setup)
    if usual is not None:
        own = opened_as_struck(_struck(usual.frets, group), spans)
        wanted = stops(own)
        held = {stop for shape in group.shapes for stop in stops(shape)}
        some = stops(group.core())
        fits = wanted <= held or (2 * len(some) >= len(wanted) and some <= wanted)
        true = not lacks_a_tone(name, own, setup) and not contradicted(own, spans)
        if wanted and fits and true:
            pairs = zip(own, usual.frets, strict=True)
            return NamedShape(name, own, partial=any(f is None and u == 0 for f, u in pairs))
    core = group.core()
    whole = _whole(name, core, group, groups, setup)
    frets = _complete(name, core if whole is None else whole.frets, setup)
    known = sum(core[n - 1] is not None for n in long_strings(setup))
    part = known <= 2 or (group.melody() and known < len(long_strings(setup)))
    if part and lacks_a_tone(name, frets, setup):
        easiest = easiest_frets(name, setup, frozenset(stops(core)))
        if easiest is not None and not contradicted(easiest, spans):
            return NamedShape(name, easiest, suggested=stops(easiest) != stops(core))
    suggested = whole is not None and whole.suggested
    return NamedShape(name, frets, suggested=suggested, partial=None in frets)


def _whole(
    name: str, core: Frets, group: Held, groups: Sequence[Held], setup: Setup
) -> NamedShape | None:
    """The closed shape that a held part belongs to, where the melody covers the rest: first one
    that the melody touches, or that the tune holds elsewhere; else, as a suggestion, the only one
    there is. None where nothing is covered, or several fit."""
    covered = {n for n in group.melody() if core[n - 1] is None}
    mine = {(n, f) for n, f in stops(core) if n in long_strings(setup)}
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


def _with_drone(
    shape: NamedShape, spans: Sequence[Span], around: Sequence[Span], score: Score
) -> NamedShape:
    """The shape with its short string, which is no string to leave out: open where the tune strikes
    that in the measures of ``spans``, whether it is a tone of the chord or not; at the one fret at
    which the thumb stops it in the spans ``around``, if that is within reach of the shape."""
    short = score.setup.instrument.short_string
    if short is None or shape.frets[short.string - 1] is not None:
        return shape
    notes = (
        note for s in spans for event in score.measures[s.measure].events for note in event.notes
    )
    if any(note.string == short.string and note.fret == 0 for note in notes):
        return _with_fret(shape, short.string, 0)
    struck = {fret for span in around for fret in span.struck.get(short.string, ())}
    if len(struck) == 1 and shape.lowest and abs(min(struck) - shape.lowest) <= THUMB_REACH:
        return _with_fret(shape, short.string, min(struck))
    return shape


def _with_fret(shape: NamedShape, string: int, fret: int) -> NamedShape:
    frets = tuple(fret if n == string else f for n, f in enumerate(shape.frets, start=1))
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
