"""Up the neck: the closed shapes of a tune's chords, what each becomes fret by fret, and a phrase
of the tune in another place.

A shape without open strings keeps its sound wherever it is moved, a semitone for each fret (common
practice).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec.structs import replace

from rollstave import (
    Exercise,
    Measure,
    MovableShape,
    Part,
    Score,
    Setup,
    Shapes,
    TabError,
    Words,
    chord_named,
    movable_shapes,
    moved_chord,
    shape_name,
)
from rollstave_teaching.held import chords_by_measure, shapes_by_measure
from rollstave_teaching.measures import looped
from rollstave_teaching.phrases import Phrase, likeness, phrases_of
from rollstave_teaching.prose import words_of
from rollstave_teaching.wording import capital, numbered

LAST_FRET = 17
_MOST = 4  # shapes that are shown: the tune's own first, then those that most of its chords have


def up_the_neck(score: Score) -> Part | None:
    """The shapes and the phrase; None where no chord of the tune has a closed shape."""
    setup = _as_named(score)
    shapes = movable_shapes(_names(score), setup) if _names(score) else ()
    if not shapes:
        return None
    blocks: list[Words | Shapes | Exercise] = [*words_of(score, "up-the-neck")]
    blocks.append(
        Words(
            "A shape without open strings keeps its sound wherever it goes: one fret is one "
            "semitone. A shape is named after the chord that it makes low on the neck; the fret "
            "is that of its lowest finger. The fingers are suggestions."
        )
    )
    for shape in _chosen(score, shapes):
        blocks += _shown(shape, setup, score)
    blocks += _elsewhere(score)
    return Part(name="Up the neck", blocks=tuple(blocks))


def _as_named(score: Score) -> Setup:
    """The setup that chord names speak of: without the capo where they are those of shapes."""
    if not score.chords_by_shape:
        return score.setup
    return replace(score.setup, capo=0, short_raise=0)


def _names(score: Score) -> list[str]:
    """The chords of a tune with a closed shape, in order of their first use."""
    found = []
    for name in dict.fromkeys(n for names in chords_by_measure(score) for n in names):
        try:
            movable_shapes([name], _as_named(score))
        except ValueError:  # a chord whose tones are not known
            continue
        found.append(name)
    return found


def _chosen(score: Score, shapes: Sequence[MovableShape]) -> list[MovableShape]:
    """The shapes to show, in the order in which they first lie on the neck."""
    held = {shape.frets[:4] for here in shapes_by_measure(score) for _, shape in here}
    last = score.setup.instrument.frets

    def rank(shape: MovableShape) -> tuple[int, int, int]:
        own = sum(_top(p.frets) in {_top(h) for h in held} for p in shape.positions)
        strings = sum(fret is not None for fret in shape.pattern)
        return (-own, strings, -len({p.name for p in shape.positions}))

    known = [s for s in shapes if s.positions[0].lowest <= last]
    best = sorted(known, key=rank)[:_MOST]
    return sorted(best, key=lambda s: s.positions[0].lowest)


def _top(frets: Sequence[int | None]) -> tuple[int | None, ...]:
    return tuple(frets[:3])


def _shown(shape: MovableShape, setup: Setup, score: Score) -> Iterator[Words | Shapes]:
    name = shape_name(shape.positions[0].name, shape.positions[0].frets, setup)
    places = [p for p in shape.positions if max(f for f in p.frets if f) <= LAST_FRET]
    frets = [shape_name(p.name, p.frets, setup).fret for p in places]
    yield Shapes(
        shapes=tuple(replace(p, suggested=False, partial=True) for p in places),
        captions=tuple(f"fret {fret}" for fret in frets),
        name=capital(name.what),
    )
    series = ", ".join(f"{fret} {chord}" for fret, chord in fret_by_fret(shape, setup, score))
    yield Words(f"Fret by fret it is: {series}.")


def fret_by_fret(shape: MovableShape, setup: Setup, score: Score) -> list[tuple[int, str]]:
    """Where the fingers of a shape fit between fret 1 and fret 17: the fret that names its place,
    and the chord that it is there."""
    first = shape.positions[0]
    at = shape_name(first.name, first.frets, setup).fret
    stopped = [fret for fret in first.frets if fret]
    found = []
    for shift in range(1 - min(stopped), LAST_FRET - max(stopped) + 1):
        chord = moved_chord(chord_named(first.name), shift, score.key.fifths)
        found.append((at + shift, chord.text))
    return found


def _elsewhere(score: Score) -> Iterator[Words | Exercise]:
    """The first phrase that can be played with the same roll in other shapes."""
    phrases = _news(score)
    refused = ""
    for phrase in phrases:
        before = looped(score, _with_chord(score, phrase))
        try:
            after = _moved(before)
        except TabError as error:
            refused = refused or error.problems[0].message
            continue
        if not _moves(before, after):
            continue
        name = f"Phrase {phrase.number}"
        own = score.measures[phrase.begin : phrase.end]
        measures = numbered([m.number for m in own])
        yield Exercise(
            name=f"{name} as it is", score=looped(score, own), why=f"{capital(measures)}."
        )
        yield Exercise(
            name=f"{name} in another place",
            score=looped(after, after.measures),
            why="Each chord in its next closed shape: the roll stays, the left hand moves as a "
            "whole. A suggestion; other places are as good.",
        )
        return
    if refused:
        yield Words(f"The phrases stay where they are: {refused}.", inferred=True)


def _moved(phrase: Score) -> Score:
    """A phrase with each chord in its next closed shape, by the arranging package. Of a whole tune
    that would take many times as long, for one phrase that is shown. Raises TabError."""
    from rollstave_arranging import moved_up

    return moved_up(phrase, "next").score


def _with_chord(score: Score, phrase: Phrase) -> list[Measure]:
    """The measures of a phrase; the chord that goes on from the one before is named again."""
    measures = list(score.measures[phrase.begin : phrase.end])
    names = chords_by_measure(score)[phrase.begin]
    own = measures[0].chords
    if names and not (own and own[0].onset == 0):
        measures[0] = replace(measures[0], chords=(chord_named(names[0]), *own))
    return measures


def _news(score: Score) -> list[Phrase]:
    """The phrases that are not like an earlier one."""
    found = phrases_of(score)
    return [p for n, p in enumerate(found) if likeness(score, p, found[:n]) is None]


def _moves(score: Score, moved: Score) -> bool:
    """True if a phrase is really elsewhere: most of its measures have other frets."""
    pairs = zip(score.measures, moved.measures, strict=True)
    other = [_frets(a) != _frets(b) for a, b in pairs]
    return sum(other) > len(other) / 2


def _frets(measure: Measure) -> list[list[tuple[int, int | None]]]:
    return [[(n.string, n.fret) for n in e.notes] for e in measure.events]
