"""``drill rolls``: the rolls that have names, or those of a tune.

Each on open strings with the thumb on both of its bass strings, then one after the other, then
with pinches for the second half, as phrases end (common practice).
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from itertools import pairwise

from msgspec.structs import replace

from rollstave import Exercise, Handout, Key, Meter, Part, Score, Setup, Words, parse_key
from rollstave_teaching.changes import changes_of
from rollstave_teaching.drill_measures import blank, drilled, pinched, rolled
from rollstave_teaching.hand import Roll as Pattern
from rollstave_teaching.hand import rolls_of
from rollstave_teaching.held import called, shapes_by_measure, usable
from rollstave_teaching.measures import exercise, over
from rollstave_teaching.roll_words import Roll, refusal, rolls_in
from rollstave_teaching.wording import capital, numbered

_PER_LINE = 4
_BASS = (3, 4)
_MOST_SHAPES = 8  # shapes of a tune that each of its rolls is drilled on


def drill_rolls(setup: Setup, meter: Meter, only: Roll | None) -> Handout:
    """The rolls of a time on open strings, or one of them."""
    rolls = (only,) if only is not None else rolls_in(str(meter))
    name = capital(only.called) if only is not None else "Rolls"
    score = blank(f"Drill: {name}", setup, _key(setup), meter)
    made: list[Exercise] = []
    parts = [_alone(score, rolls, made)]
    if len(rolls) > 1:
        parts.append(_one_to_the_next(score, rolls, made))
    parts.append(_with_pinches(score, rolls, made))
    return Handout(title=score.title, score=score, parts=tuple(parts))


def _key(setup: Setup) -> Key:
    """The key that the open strings are in, by the name of the tuning: open G is in G."""
    words = setup.tuning.name.replace("open", "").replace("double", "").split()
    return (parse_key(words[0]) if words else None) or Key("C")


def _next(score: Score, made: list[Exercise], name: str, music: Score | None, why: str) -> Exercise:
    exercise_ = Exercise(
        name=f"Exercise {len(made) + 1}: {name}",
        score=music or score,
        why=why,
        per_line=_PER_LINE,
    )
    made.append(exercise_)
    return exercise_


def _alone(score: Score, rolls: Sequence[Roll], made: list[Exercise]) -> Part:
    blocks: list[Words | Exercise] = [
        Words(
            "On open strings. Thumb T, index I, middle M; every stroke as long and as loud as the "
            "others. Then the thumb's bass notes go from string 3 to string 4: that is where a "
            "melody lies."
        )
    ]
    for roll in rolls:
        bars = [roll, other] if (other := on_the_other_bass(roll)) != roll else [roll]
        music = drilled(score, [rolled(score, one, [None]) for one in bars])
        why = f"{' '.join(roll.letters)}."
        blocks.append(_next(score, made, roll.called, music, why))
    return Part(name="One roll at a time", blocks=tuple(blocks))


def on_the_other_bass(roll: Roll) -> Roll:
    """The same fingers, the thumb on string 4 where it was on 3, and the other way round."""
    swap = {3: 4, 4: 3}
    return replace(roll, strings=tuple(swap.get(n, n) for n in roll.strings))


def _one_to_the_next(score: Score, rolls: Sequence[Roll], made: list[Exercise]) -> Part:
    blocks: list[Words | Exercise] = [Words("Change without a gap: the last stroke leads over.")]
    for first, second in pairwise(rolls):
        music = drilled(score, [rolled(score, one, [None]) for one in (first, second)])
        name = f"{first.short}, then {second.short}"
        why = f"{first.letters} {second.letters}."
        blocks.append(_next(score, made, name, music, why))
    return Part(name="From one roll to the next", blocks=tuple(blocks))


def _with_pinches(score: Score, rolls: Sequence[Roll], made: list[Exercise]) -> Part:
    blocks: list[Words | Exercise] = [
        Words("Phrases often end so: half a roll, then pinches, thumb and middle finger together.")
    ]
    for roll in rolls:
        music = drilled(score, [rolled(score, roll, [None]), pinched(score, roll)])
        blocks.append(_next(score, made, f"{roll.short}, then pinches", music, ""))
    return Part(name="With pinches at the end", blocks=tuple(blocks))


# The rolls of a tune ------------------------------------------------------------------------------


def drill_rolls_of(score: Score) -> Handout:
    """The rolls of a tune: on open strings, on its shapes, through its changes of chord. Raises
    TabError for a tune without any."""
    rolls = rolls_of(score)
    if not rolls:
        raise refusal("no measure of this tune is filled by the right hand: there is no roll in it")
    made: list[Exercise] = []
    parts = [part for roll in rolls if (part := _of_tune(score, roll, made)) is not None]
    title = f"{score.title}: its rolls" if score.title else "Rolls of a tune"
    return Handout(title=title, score=replace(score, title=title), parts=tuple(parts))


def _of_tune(score: Score, roll: Pattern, made: list[Exercise]) -> Part:
    what = roll.name or f"the pattern {roll.fingers}"
    where = numbered([measure.number for measure in roll.measures])
    blocks: list[Words | Exercise] = [Words(f"{roll.fingers}; as in {where}.")]
    opened = over(roll.like, lambda string: (string, 0), "", 1)
    blocks.append(_next(score, made, f"{what} on open strings", exercise(score, [opened]), ""))
    seen = []
    for here in shapes_by_measure(score):
        seen += [shape for _, shape in here if shape not in seen]
    held = [
        over(roll.like, partial(usable, score, shape), shape.name, n)
        for n, shape in enumerate(seen[:_MOST_SHAPES], start=1)
    ]
    if held:
        name = f"{what} on each shape of the tune"
        why = f"In their order: {', '.join(called(shape) for shape in seen[:_MOST_SHAPES])}."
        blocks.append(_next(score, made, name, exercise(score, held), why))
    if changes := changes_of(score):
        most = changes[0]
        bars = [
            over(roll.like, partial(usable, score, shape), shape.name, n)
            for n, shape in enumerate((most.start, most.end), start=1)
        ]
        why = "The change that comes most often."
        blocks.append(_next(score, made, f"{what}, {most.name}", exercise(score, bars), why))
    return Part(name=roll.called, blocks=tuple(blocks))
