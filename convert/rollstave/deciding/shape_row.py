"""The chord shapes to show with a tune: each that it holds, once, in order of first appearance.

A chord that the tune never holds plainly, because the melody moves through it, gets the easiest
low shape of its tuning instead (``easiest_shape``), marked as suggested.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace

from rollstave.deciding.chords import chord_name, chord_tones
from rollstave.deciding.easiest_shape import (
    OPEN_PLACE,
    easiest_frets,
    long_strings,
    usual_shape,
)
from rollstave.deciding.held_shapes import Held, Span, groups_of, naming_setup, spans_of, stops
from rollstave.deciding.setups import new_in
from rollstave.deciding.shape_truth import (
    contradicted,
    fits,
    goes_with,
    is_the_chord,
    lacks_a_tone,
    opened_as_struck,
)
from rollstave.deciding.shape_use import Places, ShapeAt, changes, held_in, off, places
from rollstave.deciding.shapes import Frets, NamedShape, closed_shapes
from rollstave.instruments.setup import Setup
from rollstave.score.memo import once_for_a_score
from rollstave.score.records import Score
from rollstave.score.wanted import wanted

THUMB_REACH = 3  # frets between the lowest finger of a shape and the thumb (common practice)
_OF_A_SCORE = "a score, such as that of a tune, has chord shapes"


class _Shapes(Struct, frozen=True):
    """``places`` are for each shape of the row the measures in which it is held (see
    :func:`shape_measures`), ``off`` the strings whose finger comes off there; ``bare`` are names
    of chords with the measures in which none of their shapes is held."""

    row: tuple[NamedShape, ...] = ()
    places: tuple[Places, ...] = ()
    off: tuple[frozenset[int], ...] = ()
    changes: tuple[ShapeAt, ...] = ()
    bare: tuple[tuple[str, int], ...] = ()


def shape_row(score: Score) -> tuple[NamedShape, ...]:
    """The shapes of a tune. Every string is stopped, open (0) or not played (None), but of a shape
    that is ``partial`` nothing is known of a string of None."""
    wanted(score, Score, _OF_A_SCORE)
    return _shapes(score).row


def shape_measures(score: Score) -> dict[NamedShape, Places]:
    """The shapes of chords that a tune holds in several, each with the indices of the measures in
    which it is held: from the first to the last of those between which the chord is held in no
    other, and where it comes back. The only shape of a chord that does not go with the first notes
    under its name has the first of these."""
    shapes = _shapes(score)
    names = Counter(shape.name for shape in shapes.row)
    bare = dict(reversed(shapes.bare))  # of each name the first measure
    found = {}
    for shape, where in zip(shapes.row, shapes.places, strict=True):
        if names[shape.name] > 1:
            found[shape] = where
        elif bare.get(shape.name, where[0][0]) < where[0][0]:
            found[shape] = where[:1]
    return found


def shape_changes(score: Score) -> tuple[ShapeAt, ...]:
    """Each change of chord or of position, with the shape that is held from there on. Where
    nothing is plainly held, it is the shape that most of the notes belong to; where all of those
    would be left for what is struck, there is none."""
    wanted(score, Score, _OF_A_SCORE)
    return _shapes(score).changes


def leaving_strings(score: Score) -> dict[NamedShape, frozenset[int]]:
    """The strings of each shape whose finger comes off somewhere for a melody note."""
    shapes = _shapes(score)
    return dict(zip(shapes.row, shapes.off, strict=True))


def without_shapes(score: Score) -> dict[str, tuple[int, ...]]:
    """The names of chords, in order of first use, of which no shape goes with what is struck: with
    the indices of the measures where that is so, or none if it is so wherever they stand."""
    shapes = _shapes(score)
    shown = {shape.name for shape in shapes.row}
    found: dict[str, list[int]] = {}
    for name, measure in shapes.bare:
        found.setdefault(name, []).append(measure)
    return {name: tuple(places) if name in shown else () for name, places in found.items()}


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
    in_order = sorted(
        (change for one in found for change in one.changes), key=lambda c: (c.measure, c.onset)
    )
    return _Shapes(
        row=tuple(shape for one in found for shape in one.row),
        places=tuple(where for one in found for where in one.places),
        off=tuple(strings for one in found for strings in one.off),
        changes=tuple(in_order),
        bare=tuple(sorted((b for one in found for b in one.bare), key=lambda b: b[1])),
    )


def _shapes_of(score: Score, set_up: Setup, said: str) -> _Shapes:
    """The shapes of the measures in which the instrument is set up so; ``said`` tells them from
    those before in the row. Over the music a heading says it already."""
    setup = naming_setup(score, set_up)
    spans = tuple(spans_of(score, set_up))
    found: list[NamedShape] = []
    of_span: dict[int, NamedShape] = {}
    for name, groups in groups_of(spans).items():
        mine = [span for span in spans if span.chord.text == name]
        shapes: list[NamedShape] = []
        for group in groups:
            around = [*group.spans, *(span for span in mine if span.frets is None)]
            plain = _plain(name, group, groups, setup, around)
            shape = _with_drone(plain, group.spans, around, score)
            holding = [span for span in group.spans if goes_with(span, shape)]
            if holding and is_the_chord(shape, setup, bool(group.melody())):
                shapes.append(shape)
                of_span.update((id(span), shape) for span in holding)
        shapes += _for_the_rest(name, mine, of_span, setup, score)
        found += [replace(shape, beside=mine[0].chord.beside) for shape in shapes]
    known = _once(found)
    held = list(
        held_in(spans, {at: known[s.name, s.frets] for at, s in of_span.items()}, known.values())
    )
    pairs = list(zip(spans, held, strict=True))
    row = [shape for shape in dict.fromkeys(held) if shape is not None]
    return _Shapes(
        row=tuple(replace(shape, set_up=said) for shape in row) if said else tuple(row),
        places=tuple(places(shape, pairs) for shape in row),
        off=tuple(off(shape, pairs) for shape in row),
        changes=tuple(changes(pairs)),
        bare=tuple((span.chord.text, span.measure) for span, shape in pairs if shape is None),
    )


def _for_the_rest(
    name: str,
    mine: Sequence[Span],
    of_span: Mapping[int, NamedShape],
    setup: Setup,
    score: Score,
) -> list[NamedShape]:
    """Shapes to suggest for the spans of a chord in which nothing is plainly held and with which
    none goes that is held elsewhere: the usual one, or the easiest around what is struck; a single
    note that is stopped is melody. Where neither fits there is none: no shape is better than a
    false one."""
    usual = usual_shape(name, setup)
    known = list({of_span[id(span)] for span in mine if id(span) in of_span})
    found: list[NamedShape] = []
    for span in mine:
        if id(span) in of_span or any(fits(span, shape) for shape in known):
            continue
        shape = usual
        held = frozenset(
            (n, f) for n, frets in span.struck.items() if len(frets) == 1 for f in frets if f
        )
        if len(held) > 1 and (shape is None or not fits(span, shape)):
            easiest = easiest_frets(name, setup, held)
            shape = None if easiest is None else NamedShape(name, easiest, suggested=True)
        if shape is not None and fits(span, shape):
            found.append(_with_drone(shape, mine, mine, score))
            known.append(found[-1])
    return found


def _once(shapes: Iterable[NamedShape]) -> dict[tuple[str, Frets], NamedShape]:
    """Each shape once: where the tune holds what is suggested elsewhere, it is its own."""
    found: dict[tuple[str, Frets], NamedShape] = {}
    for shape in shapes:
        key = shape.name, shape.frets
        if key not in found or (found[key].suggested and not shape.suggested):
            found[key] = shape
    return found


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
