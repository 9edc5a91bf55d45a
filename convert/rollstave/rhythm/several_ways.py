"""Counts that can be read in several ways, or that leave notes out: what speaks for each way."""

from __future__ import annotations

from collections.abc import Sequence

from rollstave.rhythm.candidates import candidates
from rollstave.rhythm.care import Care
from rollstave.rhythm.choices import ODD_LENGTH, Choice, base_scores, column_scores, normalise
from rollstave.rhythm.evidence import TICKS, Evidence
from rollstave.rhythm.model_data import Pattern, RhythmData
from rollstave.rhythm.right_hand import ROLLING
from rollstave.rhythm.room import Room
from rollstave.rhythm.spacing import Spacing
from rollstave.rhythm.state import State
from rollstave.rhythm.uncounted import placements
from rollstave.rhythm.written import Written

_UNSEEN = -9.0  # log prior of a rhythm of counts that no known measure has
_LESS_PLAIN = -0.7  # log odds of a reading of counts that is not the plainest
# Of one in which "&" belongs to the beat before the next, though nothing is struck on it.
_LATE, _LATE_EIGHTH = 2.0, 1.0
_BESIDE_COUNTS = 0.5  # the weight of what notes alone say beside counts


def _late(written: Written, plainest: Sequence[int], state: State) -> float:
    """Log odds of a way to read counts that is not the plainest. Parts of beats may belong to beats
    that are not struck: in ``1 & 3``, a dotted note and a short one are far likelier than the other
    way round (285 of 296 in fiddle tunes counted in quarters, 350 of 404 in eighths)."""
    words = state.words
    if words is None or words.counts_idle():
        return _LESS_PLAIN
    ends = (*written.onsets, state.length - written.offset)
    moved = [i for i, (a, b) in enumerate(zip(plainest, written.onsets, strict=True)) if a != b]
    for index in moved:
        onset = written.onsets[index]
        if (onset - plainest[index]) % words.beat or ends[index + 1] != (
            onset // words.beat + 1
        ) * words.beat:
            return _LESS_PLAIN
    return _LATE if words.beat >= TICKS else _LATE_EIGHTH


def _weight_of_notes(
    state: State, evidence: Evidence, plainest: Written, patterns: Sequence[Pattern]
) -> float:
    """How much the notes alone say beside counts. It was fitted where nothing is written, so it
    says too much unless the counts are silent, and on tunes with hardly any thirds."""
    words = state.words
    if words is None:
        return 1.0
    thirds = {i for _, onsets in patterns for i, o in enumerate(onsets) if o % (TICKS // 4)}
    # In a roll a note of the left hand shares the time of the one before it.
    filled = state.hand == ROLLING and any(evidence.kinds[i] == "l" for i in thirds)
    if words.in_threes and thirds and not filled:
        return 0.0
    silent = {evidence.kinds[i] for i in range(evidence.count) if i not in plainest.told}
    return 1.0 if "l" in silent and not words.for_left_hand else _BESIDE_COUNTS


def counted_choice(
    state: State, data: RhythmData, index: int, spacing: Spacing | None, care: Care, room: Room
) -> Choice:
    """Counts that can be read in several ways, or that leave notes out: only those ways, and the
    places where a note without a count may be, are weighed."""
    evidence = state.evidence[index]
    found: dict[Pattern, float] = {}
    plainest = state.counted[index][0].onsets
    for written in state.counted[index]:
        # The plainest way comes first and is a little likelier for that.
        plain = 0.0
        if written.onsets != plainest:
            plain = _late(written, plainest, state)
        length = written.length if written.length is not None else state.length
        placed = {written.onsets: 0.0}
        if written.told and state.words is not None:
            placed = placements(written, state.length, state.words, evidence)
        for onsets, odds in placed.items():
            rest = length
            if evidence.closes:
                rest = state.length - (state.pickup_of(index, onsets[-1])[0] or 0)
            found.setdefault((rest, onsets), plain + odds)
    patterns = list(found)
    shares = dict(candidates(data, evidence, state.name, state.length))
    inner = not state.may_be_short(index)
    pool = [
        (p, shares.get(p, ODD_LENGTH if inner and p[0] != state.length else _UNSEEN))
        for p in patterns
    ]
    base = base_scores(data, evidence, pool, state.name, state.mood, (-1, -1))
    weight = _weight_of_notes(state, evidence, state.counted[index][0], patterns)
    base = [weight * score for score in base]
    columns = list(found.values())
    if len(state.counted[index][0].told) not in (0, evidence.count):
        typed = column_scores(evidence, spacing, patterns, care)
    else:
        typed = room.scores(evidence, patterns)
    columns = [own + by_columns for own, by_columns in zip(columns, typed, strict=True)]
    choice = Choice(
        members=[index], evidence=evidence, patterns=patterns, base=base, columns=columns
    )
    choice.odds = normalise([b + c for b, c in zip(base, columns, strict=True)])
    return choice
