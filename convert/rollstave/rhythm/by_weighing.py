"""Measures that nothing settles: all evidence is weighed, and the rest of the tune speaks."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from math import log

from msgspec.structs import replace

from rollstave.rhythm.by_columns import DOUBTED
from rollstave.rhythm.by_writing import room_of_written
from rollstave.rhythm.care import learn_care
from rollstave.rhythm.choices import Choice, Group, normalise, of_uneven_width
from rollstave.rhythm.columns import onsets_score, typed_width
from rollstave.rhythm.evidence import TICKS, Evidence
from rollstave.rhythm.model_data import Pattern, RhythmData, rhythm_data
from rollstave.rhythm.offered import Spoken, others_say
from rollstave.rhythm.reasons import Why
from rollstave.rhythm.right_hand import ROLLING, fits_a_roll
from rollstave.rhythm.roll_names import roll_name
from rollstave.rhythm.rolls import is_of_the_tune
from rollstave.rhythm.several_ways import counted_choice
from rollstave.rhythm.spacing import Spacing
from rollstave.rhythm.state import Found, State
from rollstave.rhythm.timed import Source
from rollstave.rhythm.tunewide import ROUNDS, TuneWide
from rollstave.rhythm.usual import is_whole

CLEAR, _CLEAR_ROLLS = (
    0.9,
    0.8,
)  # mean odds of a tune from which its measures may be sure by order alone
# Mean odds, by order alone, of what doubtful columns say, from which they are sure; and the share
# that is right below it (of squeezed fiddle tunes that may be tuned on).
_AGREED = 0.985
_WRITTEN = 0.25  # of a tune, from which the order of notes without anything written says nothing
_CLOSE = 0.15  # a second reading with at least this probability is shown


def weigh(state: State, spacing: Spacing | None) -> None:
    """Weigh all evidence for the measures that are still open."""
    left = [i for i, found in enumerate(state.found) if found is None]
    if not left:
        return
    data = rhythm_data()
    care = learn_care(state.evidence, spacing, state.length)
    room = room_of_written(state)
    choices = [counted_choice(state, data, index, spacing, care, room) for index in state.counted]
    group = Group(
        data=data,
        evidence=state.evidence,
        meter=state.name,
        length=state.length,
        mood=state.mood,
        rolls=state.rolls,
        threes=state.threes,
    )
    for members in _groups(state, [index for index in left if index not in state.counted]):
        for choice in group.choices(members, spacing, care):
            if choice.patterns:
                choices.append(choice)
            else:
                for member in choice.members:
                    state.found[member] = _last_resort(state, member)
    spoken = others_say(state.others, state.measures, state.meter, choices)
    tune = TuneWide([*choices, *_settled(state)], state.evidence, state.length, state.beat)
    for _ in range(ROUNDS):
        tune.round(data.blend)
    # Where only the order of the notes is known, or the spacing explains less than half of the
    # file, a reading is sure only in a tune that is understood nearly throughout; where notes are
    # typed as close as they can be, columns that had to be weighed are not sure either: they may
    # be no columns at all.
    clear = spacing is None or not state.close
    if spacing is None or 0 < spacing.fit < _HALF:
        clear = clear and is_clear(state.hand, _clearness(choices))
    # Where most is written, what is not was lost, and not left to the order of notes.
    lost = state.written >= _WRITTEN
    for choice in choices:
        told = clear and not (lost and choice.members[0] not in state.counted)
        _decide(state, data, choice, spacing, told, spoken)


def doubt_columns(state: State) -> None:
    """Where the same text comes from typing in time and from squeezing other rhythms, columns are
    trusted as far as the order of the notes alone leads to the same readings."""
    # A measure without notes has nothing to weigh.
    empty = [None if f and f.pattern[1] else f for f in state.found]
    order = State(
        measures=state.measures,
        evidence=state.evidence,
        meter=state.meter,
        found=empty,
        others=state.others,
        threes=state.threes,
    )
    weigh(order, None)
    shares = []
    by_columns = []
    for evidence, found, other in zip(state.evidence, state.found, order.found, strict=True):
        if found and other and found.why.source is Source.COLUMNS and found.pattern[1]:
            same = other.pattern == found.pattern
            odds = other.odds if same else dict(other.others).get(found.pattern, 0.0)
            # A roll that has a name is even notes (common practice).
            shares.append(1.0 if roll_name(evidence.strings, evidence.kinds) else odds)
            by_columns.append(found)
    if sum(shares) < _AGREED * len(shares):
        for found in by_columns:
            found.probability, found.sure = DOUBTED, False


def order_mode(hand: str, evidence: Evidence) -> str:
    """Which table says how sure a reading by order alone is: by what the right hand does through
    the tune, and whether the left hand sounds a note, which may share its time with the one before;
    a roll is even, whichever hand sounds its notes."""
    linked = "l" in evidence.kinds
    if hand == ROLLING and (fits_a_roll(evidence) or roll_name(evidence.strings, evidence.kinds)):
        return f"order {hand} {'filled' if linked else 'named'}"
    return f"order {hand}{' linked' if linked else ''}"


def column_mode(spacing: Spacing, why: Why, hand: str, evidence: Evidence, length: int) -> str:
    """Which table says how sure a reading of ``length`` ticks is that is weighed with columns: by
    whether a spacing explains the file, some of it, or nothing (it is typed by the eye), whether
    the measure is as wide as it says, and by how near the columns of the measure come. By the eye,
    a melody that is squeezed looks as one that is typed in time."""
    sort = "columns" if spacing.fit >= _EXPLAINED else "loose" if spacing.fit else "eye"
    if sort == "eye":
        sort = "eye melody" if hand.startswith("melody") else sort
    elif abs(typed_width(evidence, spacing) - length * spacing.columns / TICKS) > _WIDER:
        sort = "own"
    ground = {"columns": "exact", "columns nearly": "nearly"}.get(why.text, "other")
    return f"{sort} {ground}"


_WIDER = 2  # characters by which a measure in the spacing of its file may be off
_HALF = 0.5  # of the measures, from which columns may be believed in a tune that is not clear
_EXPLAINED = 0.7  # of the measures, from which a spacing explains a file


def is_clear(hand: str, clearness: float) -> bool:
    """Whether a tune is understood well enough as a whole for its measures to be sure by order
    alone; a hand that rolls needs less."""
    return clearness >= (_CLEAR_ROLLS if hand == ROLLING else CLEAR)


def _clearness(choices: Sequence[Choice]) -> float:
    """The mean odds of the best readings of a tune: how well it is understood as a whole."""
    count = sum(len(c.members) for c in choices)
    return sum(max(c.odds) * len(c.members) for c in choices) / count if count else 1.0


def _groups(state: State, left: Sequence[int]) -> list[list[int]]:
    groups: dict[object, list[int]] = {}
    for index in left:
        e = state.evidence[index]
        threes = state.threes.get(index, ())
        groups.setdefault((e.signature, e.opens, e.closes, threes), []).append(index)
    return list(groups.values())


def _settled(state: State) -> list[Choice]:
    """Measures already decided, as choices with one reading: the rest learns from them."""
    return [
        Choice(
            members=[index],
            evidence=state.evidence[index],
            patterns=[found.pattern],
            base=[0.0],
            columns=[0.0],
            odds=[1.0],
        )
        for index, found in enumerate(state.found)
        if found is not None and found.pattern[1]
    ]


def _decide(
    state: State,
    data: RhythmData,
    choice: Choice,
    spacing: Spacing | None,
    clear: bool,
    spoken: Spoken,
) -> None:
    order = sorted(range(len(choice.patterns)), key=lambda i: (-choice.odds[i], choice.patterns[i]))
    best = order[0]
    odds = choice.odds[best]
    counted = choice.members[0] in state.counted
    why = (
        Why(Source.WRITTEN, state.counted[choice.members[0]][0].what)
        if counted
        else _why(choice, best, spacing)
    )
    mode = order_mode(state.hand, choice.evidence)
    if spacing is not None:
        mode = column_mode(spacing, why, state.hand, choice.evidence, choice.patterns[best][0])
    rolls = state.rolls
    also = spoken.reasons(choice, best)
    if rolls and (named := rolls.describe(choice.evidence, choice.patterns[best])):
        also = (named, *also)
    if also:
        why = replace(why, also=also)
    others = [(choice.patterns[i], choice.odds[i]) for i in order[1:3] if choice.odds[i] >= _CLOSE]
    for member in choice.members:
        state.found[member] = Found(
            pattern=choice.patterns[best],
            probability=calibrate(odds, data, mode),
            why=why,
            others=others,
            sure=odds >= data.sure.get(mode, 1.0)
            and clear
            and (not counted or _told_by_counts(state, member, choice.patterns[best]))
            and is_whole(*choice.patterns[best])
            and (spacing is None or told_by_columns(state, choice, best, member, spacing))
            and (spacing is None or not may_be_one(state, member))
            and not is_hidden(mode, choice.evidence)
            and (spacing is not None or _told_by_hand(state, choice, best)),
            odds=odds,
        )


_USUAL_SPARES = range(4)  # characters before a bar line that are no time
_OWN = 1.5  # log odds by which a measure's own columns may speak for another reading


def told_by_columns(state: State, choice: Choice, best: int, member: int, spacing: Spacing) -> bool:
    """Whether weighed columns may make a reading sure: a full measure, or one that makes another
    whole, whose own columns say no other than those of its like. From which odds on a file that is
    typed by the eye would be sure is not measured. Where a spacing explains little of a file, much
    room or none before its bars is a guess, and all of it if the notes stand about as far apart
    as each other; so is a rest, as what is before a first note may be no time."""
    loose = spacing.fit < _EXPLAINED
    if loose and (not spacing.fit or spacing.spare not in _USUAL_SPARES or state.may_be_squeezed):
        return False
    length, onsets = choice.patterns[best]
    if onsets[0]:
        return False
    evidence = state.evidence[member]
    if length != state.length and not state.is_complement(member, length):
        return False
    if (length, onsets) in of_uneven_width(evidence, spacing, length):
        return False
    if len(choice.members) < 2 or evidence.gaps == choice.evidence.gaps:
        return True
    own = onsets_score(evidence, spacing, onsets, length)
    return all(
        onsets_score(evidence, spacing, o, n) <= own + _OWN for n, o in choice.patterns[:_RIVALS]
    )


def is_hidden(mode: str, evidence: Evidence) -> bool:
    """Whether a tune is typed by the eye, or in a spacing that explains little of it and not this
    measure, and the left hand sounds notes: their signs take room as if it were time."""
    loose = mode.startswith("loose") and mode != "loose exact"
    return (loose or mode.startswith("eye")) and "l" in evidence.kinds


def may_be_one(state: State, index: int) -> bool:
    """Whether two notes stand so close that they may be one: figures of one fret, or, on two
    strings, a stroke whose notes are a character apart, closer than any two of the measures typed
    without haste."""
    evidence = state.evidence[index]
    return any(
        gap == 1 and (a == b or state.closest > 1)
        for gap, a, b in zip(evidence.gaps, evidence.strings, evidence.strings[1:], strict=False)
    )


_RIVALS = 12  # readings of a measure, the likeliest first, that are compared so


def _told_by_counts(state: State, index: int, pattern: Pattern) -> bool:
    """Whether one of several ways of counts may be sure: it is the plainest, every note has a
    count, none of the ways is in threes, and how long the last note lasts, which counts do not
    say, is told by the tune."""
    ways = state.counted[index]
    length, onsets = pattern
    if not all(w.all_written and all(o % 6 == 0 for o in w.onsets) for w in ways):
        return False
    if onsets != ways[0].onsets:
        return False  # not the plainest way
    evidence = state.evidence[index]
    if not evidence.closes or evidence.opens or ways[0].what != "counts":
        return True
    partner, certain = state.pickup_of(index, onsets[-1])
    return certain and partner is None and onsets[-1] >= length - min(state.beat, TICKS)


def _told_by_hand(state: State, choice: Choice, best: int) -> bool:
    """Whether order alone may make a reading sure: a full measure in which only pinches and
    brushes are held, and that is a known roll if it is a roll at all."""
    length, onsets = choice.patterns[best]
    evidence = choice.evidence
    if length != state.length or choice.members[0] in state.counted:
        return length == state.length
    if evidence.closes and not evidence.opens:
        return False  # how long the last note lasts the order does not tell
    if state.hand != ROLLING or state.rolls is None:
        return True
    slot = state.rolls.slot
    ends = (*onsets[1:], length)
    held = [kind for kind, a, b in zip(evidence.kinds, onsets, ends, strict=True) if b - a > slot]
    if held:
        # Only pinches are held, all of them, and none for longer than the stroke after it.
        twice = all(b - a in (slot, 2 * slot) for a, b in zip(onsets, ends, strict=True))
        return twice and held == [kind for kind in evidence.kinds if kind in "pb"]
    named = fits_a_roll(evidence) or is_of_the_tune(state.rolls, evidence)
    return named and not _one_finger_twice(evidence)


def _one_finger_twice(evidence: Evidence) -> bool:
    """Whether a finger strikes two different notes of a string one after the other: no roll does,
    a melody does."""
    return any(
        a == b and kind not in "lpb" and before not in "pb"
        for a, b, before, kind in zip(
            evidence.strings, evidence.strings[1:], evidence.kinds, evidence.kinds[1:], strict=False
        )
    )


def _why(choice: Choice, best: int, spacing: Spacing | None) -> Why:
    """What spoke for the reading most: its columns, its like elsewhere, or the hands."""
    alone = normalise(choice.base)
    likelier = choice.odds[best] > 0.5 + alone[best] / 2
    if spacing is not None and choice.columns[best] >= max(choice.columns) - log(2):
        exact = choice.columns[best] > -0.4 * (choice.evidence.count + 1) * len(choice.members)
        return Why(Source.COLUMNS, "columns" if exact else "columns nearly", spacing)
    if likelier and len(choice.members) == 1:
        return Why(Source.REPETITION, "the rest of the tune has this rhythm")
    return Why(Source.ORDER, "order")


def _last_resort(state: State, index: int) -> Found:
    """More notes than any grid holds: even division, exact, and not sure."""
    count = state.evidence[index].count
    why = Why(Source.ORDER, "too many notes")
    return Found((max(state.length, count), tuple(range(count))), 0.01, why, sure=False)


def calibrate(odds: float, data: RhythmData, mode: str) -> float:
    """The measured share of right readings at these odds, between the points of the table."""
    points = data.calibration.get(mode, ((0.0, 0.0), (1.0, 1.0)))
    for (x0, y0), (x1, y1) in itertools.pairwise(points):
        if odds <= x1:
            return y0 + (y1 - y0) * (odds - x0) / (x1 - x0) if x1 > x0 else y1
    return points[-1][1]
