"""Up the neck: closed shapes for each chord, chosen for the whole tune by dynamic programming.

Costs are ours; only their order matters: frets outside of the region, the hand's travel from shape
to shape, notes of the melody that a shape does not reach, and melody that leaps by an octave where
it did not.
"""

from __future__ import annotations

import math
import random
import re
from collections.abc import Sequence

from msgspec import Struct

from rollstave import Event, Problem, Reworked, Score, chord_tones, settled
from rollstave_arranging.flow import At, NoteAt, with_events
from rollstave_arranging.held import Held, Shape, as_it_is, held_in
from rollstave_arranging.melody import melody_of
from rollstave_arranging.neck import EASY, reach_of
from rollstave_arranging.same_hand import with_hand_of
from rollstave_arranging.spans import (
    Span,
    called,
    found_spans,
    shape_setup,
    shapes_of,
    spans_of,
    stopped,
)
from rollstave_arranging.told import caution, change, many, refusal
from rollstave_arranging.walking import walks

_OUTSIDE = 4.0  # each fret outside of the region
_TRAVEL = 0.35  # each fret that the hand moves
_CHANGE = 0.3
_OCTAVE, _CONTOUR = 2.5, 3.0
_WIDE = 1.5
_WOBBLE = 2.0  # by which a seed makes a shape dearer, at most
_HIGHEST = 17
_DOWN = re.compile(r"down|claw|frail|rap|knock", re.IGNORECASE)  # styles of one finger and thumb
_LOW_PLACE = 2  # where the hand of a tune is taken to lie that stops nothing


class Region(Struct, frozen=True):
    """The frets between which a span is to lie."""

    low: int
    high: int

    def outside(self, low: int, high: int) -> int:
        return max(0, self.low - low) + max(0, high - self.high)


class Choice(Struct, frozen=True):
    """A span in one shape, or as it is (``shape`` None), and what that costs by itself."""

    shape: Shape | None
    held: Held
    cost: float
    place: int


def up_the_neck(score: Score, position: str, seed: int) -> Reworked:
    """The tune between two frets (``"5-9"``), each chord in its next shape (``"next"``), or
    climbing and coming back (``"climb"``). Raises TabError where that cannot be."""
    named = any(measure.chords for measure in score.measures)
    spans = spans_of(score) if named else found_spans(score)
    known = sum(span.chord is not None for span in spans)
    if not known or (not named and 2 * known < len(spans)):
        raise refusal(
            "there are no chords to take up the neck: no names are written, and the notes of "
            f"{known} of {many(len(spans), 'measure')} make one; write chord names over the tab"
        )
    melody = _carried(spans, melody_of(score).notes)
    regions = _regions(score, spans, position)
    choices = _choices(score, spans, regions, melody, position == "climb", seed)
    if not any(choice.shape for row in choices for choice in row):
        raise refusal("no chord of this tune has a closed shape on this neck")
    path = _cheapest(choices, spans, melody)
    changed: dict[At, Event] = {}
    for choice in path:
        changed |= choice.held.events
    shapes = [choice.shape for choice in path]
    changed |= walks(score, spans, shapes, melody, changed, chromatic=bool(seed % 2))
    new = with_hand_of(score, settled(with_events(score, changed)))
    told = _told(new, spans, path, melody)
    if not named:
        words = f"no chords are named: those of {known} of {many(len(spans), 'measure')} are found"
        told = (change(f"{words} in the notes, and the others stay as they are"), *told)
    return Reworked(score=new, says=_says(path, position), changes=told)


def _carried(spans: Sequence[Span], melody: frozenset[NoteAt]) -> frozenset[NoteAt]:
    """The melody that the hand takes along: that of the thumb, or of the other fingers where the
    thumb has none under a chord."""
    found: set[NoteAt] = set()
    for span in spans:
        notes = {
            (*moment.at, index): note
            for moment in span.moments
            for index, note in enumerate(moment.event.notes)
            if (*moment.at, index) in melody
        }
        joined = {at for at, note in notes.items() if note.finger is None}
        thumb = {at for at, n in notes.items() if n.finger is not None and n.finger.value == "T"}
        found |= thumb | joined if thumb else set(notes)
    return frozenset(found)


def _regions(score: Score, spans: Sequence[Span], position: str) -> list[Region]:
    """Where each span is to lie."""
    if position == "next":
        return [_above(score, span) for span in spans]
    if position == "climb":
        last = max(1, len(spans) - 1)
        tops = [round(1 + 11 * math.sin(math.pi * index / last)) for index in range(len(spans))]
        return [Region(top, top + 4) if top > _LOW_PLACE else Region(1, 4) for top in tops]
    match = re.fullmatch(r"\s*(\d{1,2})(?:\s*(?:-|–|to)\s*(\d{1,2}))?\s*", position)
    if match is None:
        raise refusal(
            f"{position!r} is no place on the neck: write two frets, such as 5-9, or next, or climb"
        )
    low = int(match[1])
    high = int(match[2]) if match[2] else low + 4
    if not 1 <= low <= high or low > _HIGHEST - 2:
        raise refusal(
            f"there are no closed shapes between frets {low} and {high}: they begin at fret 1 and "
            f"end at {_HIGHEST}; nearest comes {_nearest(low)}"
        )
    if high - low < 3:
        raise refusal(
            f"frets {low} to {high} are too few for the shapes of a tune; nearest comes "
            f"--position {low}-{low + 4}"
        )
    return [Region(low, high)] * len(spans)


def _nearest(low: int) -> str:
    return "--position 12-17" if low > 1 else "--position 1-5"


def _above(score: Score, span: Span) -> Region:
    """The lowest closed shape of a chord that lies above what the hand holds now."""
    frets = [n.fret for m in span.moments for n in m.event.notes if n.fret]
    place = min(frets, default=0)
    shapes = shapes_of(span.chord, score) if span.chord else ()
    higher = [stopped(shape) for shape in shapes if min(stopped(shape)) > max(place, 2)]
    if not higher:
        return Region(max(1, place), max(place, 1) + 4)
    first = min(higher, key=min)
    return Region(min(first), max(first))


def _choices(
    score: Score,
    spans: Sequence[Span],
    regions: Sequence[Region],
    melody: frozenset[NoteAt],
    may_stay: bool,
    seed: int,
) -> list[list[Choice]]:
    """For each span the shapes that it may lie in, those in its region first of all."""
    rng = random.Random(f"{seed}:{score.title}")
    down = bool(_DOWN.search(score.style))
    wobble: dict[tuple[str, object], float] = {}
    shift = score.setup.capo if shape_setup(score) is not score.setup else 0
    found = []
    for span, region in zip(spans, regions, strict=True):
        row: list[Choice] = []
        tones = chord_tones(span.chord) if span.chord else None
        shapes = shapes_of(span.chord, score) if span.chord and tones else ()
        far = {f: region.outside(min(stopped(f)), max(stopped(f))) for f in shapes}
        nearest = min(far.values(), default=0)
        for frets, outside in far.items():
            if outside > nearest + may_stay * 2 or (may_stay and min(stopped(frets)) < 3):
                continue
            key = (span.name, frets)
            if key not in wobble:
                wobble[key] = rng.uniform(0.0, _WOBBLE) if seed else 0.0
            for octave in (0, 1):
                sounding = frozenset((tone + shift) % 12 for tone in tones or ())
                shape = Shape(frets, octave, sounding)
                held = held_in(span, shape, score.setup, melody, one_finger=down)
                wide = max(0.0, reach_of(stopped(frets), score.setup.capo) - EASY)
                cost = held.cost + _OUTSIDE * outside + wobble[key] + _WIDE * (wide > 0)
                row.append(Choice(shape=shape, held=held, cost=cost, place=shape.low))
        if not row or (may_stay and region.low <= 3):
            row.append(_staying(span, region, melody))
        found.append(row)
    return found


def _staying(span: Span, region: Region, melody: frozenset[NoteAt]) -> Choice:
    frets = [n.fret for m in span.moments for n in m.event.notes if n.fret]
    place = min(frets, default=_LOW_PLACE)
    cost = _OUTSIDE * region.outside(place, place) / 2
    return Choice(shape=None, held=as_it_is(span, melody), cost=cost, place=place)


def _cheapest(
    choices: Sequence[Sequence[Choice]], spans: Sequence[Span], melody: frozenset[NoteAt]
) -> list[Choice]:
    olds = [as_it_is(span, melody).melody for span in spans]
    costs: list[float] = []
    trail: list[list[int]] = []
    for index, row in enumerate(choices):
        new_costs, links = [], []
        for choice in row:
            if not costs:
                new_costs.append(choice.cost)
                links.append(0)
                continue
            ways = [
                cost + _step(before, choice, olds[index - 1], olds[index])
                for cost, before in zip(costs, choices[index - 1], strict=True)
            ]
            best = min(range(len(ways)), key=ways.__getitem__)
            new_costs.append(ways[best] + choice.cost)
            links.append(best)
        costs = new_costs
        trail.append(links)
    at = min(range(len(costs)), key=costs.__getitem__)
    path = []
    for row, links in zip(reversed(choices), reversed(trail), strict=True):
        path.append(row[at])
        at = links[at]
    return path[::-1]


def _step(before: Choice, after: Choice, old_line: Sequence[int], new_line: Sequence[int]) -> float:
    """What it costs to go from one span to the next."""
    cost = _TRAVEL * abs(before.place - after.place)
    if before.shape is not None and after.shape is not None:
        cost += _CHANGE * (before.shape.frets != after.shape.frets)
        cost += _OCTAVE * (before.shape.octave != after.shape.octave)
    if old_line and new_line and before.held.melody and after.held.melody:
        was = new_line[0] - old_line[-1]
        now = after.held.melody[0] - before.held.melody[-1]
        cost += _CONTOUR * (was * now < 0 or (was == 0) != (now == 0))
    return cost


# What is said ----------------------------------------------------------------------------------


def _says(path: Sequence[Choice], position: str) -> str:
    frets = [f for choice in path if choice.shape for f in stopped(choice.shape.frets)]
    where = f"frets {min(frets)} to {max(frets)}"
    if position == "climb":
        return f"up the neck and back, {where}"
    if position == "next":
        return f"each chord in its next shape, {where}"
    return f"up the neck, {where}"


def _told(
    new: Score, spans: Sequence[Span], path: Sequence[Choice], melody: frozenset[NoteAt]
) -> tuple[Problem, ...]:
    used: dict[str, dict[str, None]] = {}
    found: list[Problem] = []
    lost = sum(choice.held.lost for choice in path)
    wide: dict[str, float] = {}
    for span, choice in zip(spans, path, strict=True):
        if choice.shape is not None and span.chord is not None:
            name = called(span.chord, choice.shape.frets, new)
            used.setdefault(span.name, {})[name] = None
            if choice.held.reach > EASY + 0.5:
                wide.setdefault(span.moments[0].measure.called, choice.held.reach)
        for note, words in choice.held.told:
            found.append(change(words, note.place))
    shapes = "; ".join(f"{name} {', '.join(each)}" for name, each in used.items())
    first = [change(f"shapes, frets from string 1 on: {shapes}")]
    still = sorted(
        {span.name for span, c in zip(spans, path, strict=True) if c.shape is None and span.name}
    )
    if still:
        first.append(change(f"as it was under {', '.join(still)}, where no shape is nearer"))
    if lost:
        first.append(
            change(
                f"{many(lost, 'melody note')} of {len(melody)} cannot be reached at their pitch or "
                "an octave up, and go with the shape"
            )
        )
    if wide:
        where, reach = max(wide.items(), key=lambda item: item[1])
        found.append(
            caution(
                f"{where}: the hand reaches over {reach:.0f} mm, of "
                f"{many(len(wide), 'wide stretch')} the widest; let a finger go where it hurts"
            )
        )
    return (*first, *found)
