"""``drill chords C F G``: each chord, each change, and the same up the neck.

First low on the neck, then in closed shapes that lie side by side, then each chord in all of its
places, then each shape fret by fret (how a tune's chords are taught: common practice).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations

from msgspec import Struct
from msgspec.structs import replace

from rollstave import (
    Exercise,
    Handout,
    Key,
    Meter,
    NamedShape,
    Part,
    Score,
    Setup,
    Shapes,
    Words,
    chord_named,
    chord_tones,
    closed_shapes,
    parse_key,
    shape_name,
    shape_row,
    spell,
)
from rollstave_teaching.drill_measures import blank, drilled, played, silent
from rollstave_teaching.fingers import fingers_in
from rollstave_teaching.held import stretches
from rollstave_teaching.roll_words import Roll, refusal
from rollstave_teaching.strums import Strum
from rollstave_teaching.wording import capital, listed

LAST = 17  # the highest fret that shapes are known up to
_MOST = 8  # chords; each pair of them is a change
_TOP = 3  # strings of a closed shape that the bass is not part of
_PER_LINE = 4
_SERIES, _FEW = 6, 4  # measures to a line of a series, where each has no more strokes than that
_BESIDE = 5  # frets between shapes that lie side by side, at most; ours
_MOST_SERIES = 4  # shapes that are moved fret by fret


class Asked(Struct, frozen=True):
    """What a drill of chords is asked for: the names, the setup in which they are, what the right
    hand does, and the highest fret."""

    chords: tuple[str, ...]
    score: Score
    roll: Roll | Strum
    up_to: int


def asked(
    names: Sequence[str],
    setup: Setup,
    time_and_roll: tuple[Meter, Roll | Strum],
    up_to: int,
) -> Asked:
    """What is asked for, made sure of. Raises TabError for a chord that is not known and a fret
    that is not there."""
    meter, roll = time_and_roll
    chords = tuple(dict.fromkeys(_known(name) for name in names))
    if not chords:
        raise refusal("which chords? name them: drill chords C F G")
    if len(chords) > _MOST:
        raise refusal(f"{len(chords)} chords are too many for one sheet; the most are {_MOST}")
    if not 1 <= up_to <= LAST:
        raise refusal(f"--up-to {up_to}: shapes are known from fret 1 to fret {LAST}")
    title = f"Drill: {listed(chords)}"
    score = blank(title, setup, _key(chords[0]), meter)
    return Asked(chords=chords, score=score, roll=roll, up_to=up_to)


def _known(name: str) -> str:
    if _is_chord(name):
        return name
    other = name[:1].upper() + name[1:]
    meant = f"; did you mean {other}?" if _is_chord(other) else ""
    raise refusal(
        f"{name!r} is no chord that is known{meant or ''}"
        + ("" if meant else ": write a root from A to G (with # or b) and its kind, such as ")
        + ("" if meant else "C, F#, Bb, Am, G7, Dm7, Cmaj7, Bdim or Gsus4")
    )


def _is_chord(name: str) -> bool:
    chord = chord_named(name)
    return chord.root is not None and bool(chord_tones(chord))


def _key(chord: str) -> Key:
    """The key on the root of the first chord: minor for a minor one."""
    named = chord_named(chord)
    assert named.root is not None
    letter, alter = named.root
    tonic = letter + {1: "#", -1: "b"}.get(alter, "")
    mode = "m" if named.kind.startswith("minor") else ""
    return parse_key(tonic + mode) or Key("C")


# The parts ----------------------------------------------------------------------------------------


def drill_chords(wanted: Asked) -> Handout:
    """The sheet. Raises TabError where a chord has no shape at all."""
    exercises: list[Exercise] = []
    parts = [part for make in _PARTS if (part := make(wanted, exercises)) is not None]
    return Handout(title=wanted.score.title, score=wanted.score, parts=tuple(parts))


def _exercise(
    wanted: Asked,
    before: list[Exercise],
    name: str,
    bars: Sequence[Sequence[NamedShape]],
    why: str = "",
    per_line: int = _PER_LINE,
) -> Exercise:
    """The next exercise: a number, a name, and in each measure the shapes that share it."""
    measures = [played(wanted.score, wanted.roll, shapes) for shapes in bars]
    made = Exercise(
        name=f"Exercise {len(before) + 1}: {name}",
        score=drilled(wanted.score, measures),
        why=why,
        per_line=per_line,
    )
    before.append(made)
    return made


def _low(wanted: Asked, before: list[Exercise]) -> Part:
    """Each chord low on the neck, each change, and all in a row."""
    shapes = low_shapes(wanted)
    blocks: list[Words | Shapes | Exercise] = [
        Words(_right_hand(wanted.roll)),
        _drawn(shapes, wanted),
    ]
    if caution := stretches(shapes):
        blocks.append(Words(caution))
    for shape in shapes:
        name = f"{shape.name} alone"
        blocks.append(_exercise(wanted, before, name, [[shape]]))
    for start, end in combinations(shapes, 2):
        bars = [[start], [end], [start, end], [start, end]]
        there, back = (fingers_in(a, b) for a, b in _both(start, end))
        why = f"To {end.name}: {there} Back: {back}"
        name = f"{start.name} to {end.name}"
        blocks.append(_exercise(wanted, before, name, bars, why))
    if len(shapes) > 2:
        name = f"{listed([s.name for s in shapes])} in a row"
        what = "roll" if isinstance(wanted.roll, Roll) else "right hand"
        why = f"The {what} goes on through changes."
        blocks.append(_exercise(wanted, before, name, _in_a_row(shapes), why))
    return Part(name="Low on the neck", blocks=tuple(blocks))


def _right_hand(pattern: Roll | Strum) -> str:
    """What the right hand does all through the sheet."""
    then = "over each chord until it runs by itself; then from one to the other, a measure for each"
    if isinstance(pattern, Roll):
        return f"The {pattern.called}, {' '.join(pattern.letters)}, {then} and half of one."
    first = capital(f"{pattern.name}: {pattern.told}, {then} and half of one.")
    return f"{first} {pattern.how}"


def _in_a_row(shapes: Sequence[NamedShape]) -> list[list[NamedShape]]:
    """A measure each and back to the first; two of them twice, for a phrase of four."""
    row = [*shapes, *shapes] if len(shapes) == 2 else [*shapes, shapes[0]]
    return [[shape] for shape in row]


def _both(a: NamedShape, b: NamedShape) -> tuple[tuple[NamedShape, NamedShape], ...]:
    return ((a, b), (b, a))


def low_shapes(wanted: Asked) -> tuple[NamedShape, ...]:
    """The usual shape of each chord, low on the neck."""
    numbered = tuple(
        silent(wanted.score, chord_named(name), index) for index, name in enumerate(wanted.chords)
    )
    found = {s.name: s for s in shape_row(replace(wanted.score, measures=numbered))}
    for name in wanted.chords:
        if name not in found:
            tuning = wanted.score.setup.tuning.written
            raise refusal(f"{name} has no shape in {tuning} that a hand can hold")
        if found[name].lowest > wanted.up_to:
            at = shape_name(name, found[name].frets, wanted.score.setup)
            raise refusal(f"--up-to {wanted.up_to}: the lowest shape of {name} is {at}")
    return tuple(found[name] for name in wanted.chords)


def _side_by_side(wanted: Asked, before: list[Exercise]) -> Part | None:
    """The closed shapes of all chords that lie nearest to each shape of the first one."""
    if len(wanted.chords) < 2:
        return None
    blocks: list[Words | Shapes | Exercise] = []
    for first in closed(wanted, wanted.chords[0]):
        row = [first]
        for name in wanted.chords[1:]:
            near = closed(wanted, name)
            if near:
                row.append(min(near, key=lambda s: (_apart(first, s), s.lowest)))
        places = [shape.lowest for shape in row]
        if len(row) < len(wanted.chords) or max(places) - min(places) > _BESIDE:
            continue
        name = f"{listed(wanted.chords)} from fret {min(places)} up"
        blocks.append(_drawn(row, wanted))
        blocks.append(_exercise(wanted, before, name, _in_a_row(row)))
    if not blocks:
        return None
    said = (
        f"The same chords in closed shapes that lie side by side, up to fret {wanted.up_to}. The "
        "right hand does not change."
    )
    return Part(name="Side by side up the neck", blocks=(Words(said), *blocks))


def _apart(a: NamedShape, b: NamedShape) -> int:
    """How far the hand goes from one shape to the other: frets, summed over strings."""
    pairs = zip(a.frets, b.frets, strict=True)
    return sum(abs(x - y) for x, y in pairs if x is not None and y is not None)


def _each_up_the_neck(wanted: Asked, before: list[Exercise]) -> Part | None:
    """Each chord in all of its places, from low to high."""
    blocks: list[Words | Shapes | Exercise] = []
    for low in low_shapes(wanted):
        places = [low, *(s for s in closed(wanted, low.name) if s.lowest > low.lowest)]
        if len(places) < 2:
            continue
        bars = [[shape] for shape in places]
        blocks.append(_drawn(places, wanted))
        blocks.append(_exercise(wanted, before, f"{low.name} up the neck", bars))
    if not blocks:
        return None
    said = f"One chord, all of its places up to fret {wanted.up_to}."
    return Part(name="Each chord up the neck", blocks=(Words(said), *blocks))


def _fret_by_fret(wanted: Asked, before: list[Exercise]) -> Part | None:
    """Each closed shape moved fret by fret: what it becomes on each."""
    blocks: list[Words | Exercise] = []
    seen: set[str] = set()
    per_line = _PER_LINE
    if isinstance(wanted.roll, Strum) and len(wanted.roll.strokes) <= _FEW:
        per_line = _SERIES
    for chord in wanted.chords:
        for shape in closed(wanted, chord):
            what = shape_name(chord, shape.frets, wanted.score.setup).what
            if what in seen or len(seen) == _MOST_SERIES:
                continue
            seen.add(what)
            series = list(moved(wanted, shape))
            told = [f"{s.lowest} {s.name}" for s in series]
            blocks.append(
                _exercise(
                    wanted,
                    before,
                    f"the {what}, fret by fret",
                    [[s] for s in series],
                    f"What it becomes with its lowest finger at fret {', '.join(told)}.",
                    per_line,
                )
            )
    if not blocks:
        return None
    said = "One fret is one semitone: the shape stays, the chord changes its name."
    return Part(name="Each shape fret by fret", blocks=(Words(said), *blocks))


def moved(wanted: Asked, shape: NamedShape) -> Iterator[NamedShape]:
    """A closed shape at every fret from 1 on, up to the last that is asked for."""
    held = [f for f in shape.frets if f is not None]
    named = chord_named(shape.name)
    assert named.root is not None
    root = spell(0, 0).midi + _class(named.root)
    kind = shape.name[len(named.root[0]) + abs(named.root[1]) :].partition("/")[0]
    last = min(wanted.up_to, LAST - max(held) + min(held))
    for low in range(1, last + 1):
        shift = low - min(held)
        frets = tuple(None if f is None else f + shift for f in shape.frets)
        letter = spell(root + shift + 60, wanted.score.key.fifths).letter
        yield NamedShape(name=letter + kind, frets=frets, suggested=True)


def _class(root: tuple[str, int]) -> int:
    letter, alter = root
    return {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}[letter] + alter


def closed(wanted: Asked, chord: str) -> tuple[NamedShape, ...]:
    """The closed shapes of a chord on the three upper strings, where it has any, else on four; the
    lowest first, up to the last fret that is asked for."""
    setup = wanted.score.setup
    every = [s for s in closed_shapes(chord, setup) if _place(s) <= wanted.up_to]
    upper = [s for s in every if all(f is None for f in s[_TOP:])]
    found = [NamedShape(name=chord, frets=s, suggested=True) for s in upper or every]
    return tuple(sorted(found, key=lambda s: s.lowest))


def _place(frets: tuple[int | None, ...]) -> int:
    """The fret of the lowest finger."""
    return min(f for f in frets if f is not None)


def _drawn(shapes: Sequence[NamedShape], wanted: Asked) -> Shapes:
    """Shapes side by side, each with what it is called under it; which notes of its chord lie on
    which string is seen."""
    captions = []
    for shape in shapes:
        name = shape_name(shape.name, shape.frets, wanted.score.setup)
        what = name.what.partition(" with ")[0].partition(" (")[0]
        captions.append(f"{what}\nfret {name.fret}" if name.fret else "open")
    return Shapes(shapes=tuple(shapes), captions=tuple(captions))


_PARTS = (_low, _side_by_side, _each_up_the_neck, _fret_by_fret)
