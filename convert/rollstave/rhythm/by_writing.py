"""What the typist wrote under a measure: it wins over all inference."""

from __future__ import annotations

import itertools

from msgspec.structs import replace

from rollstave.grid.typed import LineKind
from rollstave.rhythm.columns import is_paired
from rollstave.rhythm.count_words import Counts, sort_counts
from rollstave.rhythm.crooked import crooked_by_letters, find_again
from rollstave.rhythm.drawn import read_stems
from rollstave.rhythm.evidence import TICKS
from rollstave.rhythm.half_letters import with_halves
from rollstave.rhythm.lettered import in_three, read_letters, sort_letters, ticks_of
from rollstave.rhythm.model_data import Pattern
from rollstave.rhythm.reasons import Why
from rollstave.rhythm.room import Room, learn_room
from rollstave.rhythm.short import rests_without_letter
from rollstave.rhythm.state import Found, State
from rollstave.rhythm.timed import Source
from rollstave.rhythm.uncounted import Words
from rollstave.rhythm.written import Written, counted_beat, read_counts

_WRITTEN, _BETWEEN, _TAUGHT, _PERHAPS_SHORT = 0.999, 0.99, 0.99, 0.85
_LENGTHS = frozenset((3, 6, 9, 12, 18, 24, 36, 48, 72, 84, 96))  # ticks for which there are letters
_WRITTEN_KINDS = (LineKind.COUNTS, LineKind.DURATIONS)


def take_written(state: State) -> None:
    """Settle every measure whose rhythm is written in one way."""
    beat = counted_beat(state.measures, state.meter)
    short: list[int] = []
    letters = sort_letters(state.measures, state.length)
    counts = with_halves(sort_counts(state.measures, [e.opens for e in state.evidence]))
    state.words = Words(counts, beat, state.meter) if beat is not None else None
    crooked = crooked_by_letters(state, letters)
    for index, measure in enumerate(state.measures):
        length = ticks_of(letters[index]) if index in crooked else state.length
        lettered = read_letters(measure, letters[index], length, state.may_be_short(index))
        if len(lettered) > 1:
            state.counted[index] = lettered
            continue
        if lettered:
            _take(state, index, lettered[0])
            if index and 0 < len(letters[index - 1]) < len(state.measures[index - 1].columns):
                _doubt(state, index)  # the line may have drifted: its first letter is missing there
            gap = state.length - (lettered[0].length or 0)
            whole = index in crooked or lettered[0].rests or state.may_be_short(index)
            if gap > 0 and not whole:
                short.append(index)
            continue
        if not measure.columns:
            state.found[index] = Found((state.length, ()), 0.99, Why(Source.COLUMNS, "empty"))
            continue
        drawn = read_stems(measure, state.length, state.may_be_short(index))
        if drawn is not None:
            _take(state, index, drawn)
            continue
        if beat is not None:
            _take_counts(state, index, beat, counts[index])
    for index in rests_without_letter(state, short):
        found = state.found[index]
        assert found is not None
        length, onsets = found.pattern
        gap = state.length - length
        last = length - onsets[-1]
        # There is no letter for a note of five sixteenths: rather than after a rest, it is last.
        rest = 0 if last + gap not in _LENGTHS and last in _LENGTHS else gap
        found.pattern = (state.length, tuple(o + rest for o in onsets))
        found.probability, found.sure = _PERHAPS_SHORT, False
    _complements(state)
    find_again(state)


def _take_counts(state: State, index: int, beat: int, counts: Counts) -> None:
    """Settle a measure that is counted in one way, or note the ways."""
    evidence = state.evidence[index]
    in_threes = state.words is not None and state.words.in_threes
    ways = read_counts(state.measures[index], beat, state.length, evidence.opens, counts, in_threes)
    if not ways:
        return
    if state.words is not None:
        state.words.learn(ways[0], evidence.kinds, counts, state.length)
    if evidence.opens and _begins_in_a_beat(counts):
        state.within_beat.add(index)
    if _is_narrow(state, index, ways[0]):
        _take_from_one(state, index, ways[0], beat)
    elif _may_be_half(state, index, ways[0], beat, counts):
        half = state.length // 2
        halves = [replace(way, length=half) for way in ways if way.onsets[-1] < half]
        state.counted[index] = [*ways, *halves]
    elif len(ways) == 1 and len(ways[0].told) == evidence.count:
        _take(state, index, ways[0])
    else:
        state.counted[index] = ways


def _doubt(state: State, index: int) -> None:
    found = state.found[index]
    assert found is not None
    found.probability, found.sure = _PERHAPS_SHORT, False


def _begins_in_a_beat(counts: Counts) -> bool:
    """Whether counts begin with the "&" and the "a" of a beat: they may be thirds, as in any beat
    whose "e" is not counted."""
    return [word.lower().replace("+", "&") for _, word in counts[:2]] == ["&", "a"]


def _take(state: State, index: int, written: Written) -> None:
    length = written.length if written.length is not None else state.length
    probability = _WRITTEN if written.all_written else _BETWEEN
    why = Why(Source.WRITTEN, written.what)
    # Between counts, an uncounted note that falls on a 32nd is rather a count gone astray, and
    # even division is a guess.
    if not (written.all_written or all(o % 6 == 0 or o % 4 == 0 for o in written.onsets)):
        probability = _PERHAPS_SHORT
    sure = written.all_written
    evidence = state.evidence[index]
    narrow = evidence.width < _NARROW * state.usual_width
    # Perhaps a pickup that no repeat sign shows; or a line of counts that slid as a whole.
    odd = narrow or (not evidence.opens and evidence.lead <= state.usual_lead)
    if any(written.onsets[:1]) and written.what == "counts" and odd:
        probability, sure = _PERHAPS_SHORT, False
    state.found[index] = Found((length, written.onsets), probability, why, sure=sure)


def _may_be_half(state: State, index: int, written: Written, beat: int, counts: Counts) -> bool:
    """Whether the counts of a measure within a strain go to the last beat of its first half, so
    that its last note lasts through the other half, or the measure is half as long as others."""
    half = state.length // 2
    last = written.onsets[-1]
    behind = state.measures[index].columns[-1].position
    if any(at > behind + _UNDER for at, _ in counts):
        return False  # beats without notes are counted to its end
    return (
        not state.may_be_short(index)
        and written.length is None
        and half - beat <= last < half
        and half % beat == 0
        and len(written.told) == state.evidence[index].count > 1
    )


_UNDER = 1  # characters that a count may stand behind its note
_NARROW, _PICKUP = 0.75, 0.6  # of the width of measures within a strain


def _is_narrow(state: State, index: int, written: Written) -> bool:
    """True for a measure that opens a strain, is counted from 1, and is too narrow to be full."""
    evidence = state.evidence[index]
    last = written.onsets[written.told[-1]] if written.told else 0
    if not evidence.opens or written.offset or 2 * last > state.length:
        return False
    return evidence.width < _NARROW * state.usual_width


def _take_from_one(state: State, index: int, written: Written, beat: int) -> None:
    """Take a narrow measure for a pickup that is counted from 1. How long its last note lasts the
    counts do not say; it is as long as the one before it, but to the end of its beat at the most,
    and half a beat if it is alone. Notes after the last count go to where the next would be."""
    onsets = written.onsets
    why = Why(Source.WRITTEN, written.what)
    told = len(written.told)
    if state.words is not None and written.told == tuple(range(told)) != tuple(range(len(onsets))):
        start = onsets[told - 1]
        stop = state.words.next_place(start)
        parts = len(onsets) - told + 1
        # One without a count is dotted, two are thirds: if they were even, they would have theirs.
        after = [start + (stop - start) * n // parts for n in range(1, parts)]
        if len(after) == 1:
            after = [start + (stop - start) * 3 // 4]
        state.found[index] = Found(
            (stop, (*onsets[:told], *after)), _PERHAPS_SHORT, why, sure=False
        )
        return
    last = min(onsets[-1] - onsets[-2], beat - onsets[-1] % beat) if len(onsets) > 1 else TICKS // 2
    length = onsets[-1] + last
    if length > state.length // 2 or state.evidence[index].width > _PICKUP * state.usual_width:
        length = state.length
    state.found[index] = Found((length, onsets), _PERHAPS_SHORT, why, sure=False)


def _complements(state: State) -> None:
    """A counted last measure of a strain ends where its pickup begins, if there is room."""
    for index, found in enumerate(state.found):
        if found is None or found.why.source is not Source.WRITTEN:
            continue
        length, onsets = found.pattern
        if not state.evidence[index].closes or not onsets:
            continue
        if found.why.text == "duration letters":
            _match_letters(state, found, state.pickup_of(index, onsets[-1])[0])
            continue
        if found.why.text != "counts" or length != state.length:
            continue
        partner, certain = state.pickup_of(index, onsets[-1])
        if partner is not None:
            found.pattern = (state.length - partner, onsets)
        # Counts do not say how long the last note is: one end in ten makes no pickup whole.
        long = onsets[-1] < length - min(state.beat, TICKS) and not state.evidence[index].opens
        if not certain or partner is not None or long:
            found.probability, found.sure = _PERHAPS_SHORT, False
    _doubt_short_letters(state)


def _doubt_short_letters(state: State) -> None:
    """A short measure by its letters is sure if another makes it whole, or if its letters can mean
    nothing else."""
    lengths = {
        index: found.pattern[0]
        for index, found in enumerate(state.found)
        if found and found.why.source is Source.WRITTEN and state.may_be_short(index)
    }
    ends = (n for i, n in lengths.items() if not state.evidence[i].opens)
    rooms = {state.length - ticks for ticks in ends} - {0}
    for index, found in enumerate(state.found):
        if found is None or found.why.text != "duration letters":
            continue
        length, onsets = found.pattern
        gap = state.length - length
        # A measure does not make itself whole, nor does one pickup another.
        opens = state.evidence[index].opens
        whole = any(
            other != index
            and gap == ticks
            and (state.evidence[other].closes if opens else state.evidence[other].opens)
            for other, ticks in lengths.items()
        )
        short = 0 < gap < state.length and state.may_be_short(index)
        # A 32nd place without its partner: a letter stands for a shorter note than it says.
        rounded = bool(onsets) and not is_paired(onsets, length)
        # Where strains leave room, but not as much as a pickup takes, a letter is not what it says.
        crossed = opens and bool(rooms)
        unlike = short and not whole and (crossed or _is_open(state, index, found.pattern))
        if rounded or unlike or _may_be_in_three(state, index, found.pattern):
            found.probability, found.sure = _PERHAPS_SHORT, False


def _may_be_in_three(state: State, index: int, pattern: Pattern) -> bool:
    """Whether the letters at the end of a strain fill its measure as they stand, and leave room for
    its pickup if three that are equal are played in the time of two."""
    length, onsets = pattern
    if length != state.length or not state.evidence[index].closes:
        return False
    durations = [b - a for a, b in itertools.pairwise((*onsets, length))]
    return any(in_three(durations, length - ticks) for ticks in state.short_before(index))


def _is_open(state: State, index: int, pattern: Pattern) -> bool:
    """Whether the letters of a short measure may mean something else: a triplet that is typed
    without saying so, a rest without a letter in a measure as wide as a full one, or a last note
    so long that there is no letter for it."""
    length, onsets = pattern
    durations = [b - a for a, b in itertools.pairwise((*onsets, length))]
    in_three = any(len(list(alike)) > 2 for _, alike in itertools.groupby(durations))
    evidence = state.evidence[index]
    if evidence.opens:  # a pickup between two repeat signs closes a strain, too
        return in_three or evidence.width >= _NARROW * state.usual_width
    if not onsets:  # a measure of rests is as long as its letters say
        return False
    return in_three or durations[-1] + state.length - length not in _LENGTHS


def _match_letters(state: State, found: Found, partner: int | None) -> None:
    """The last note of a strain goes on to where its pickup begins, if there is no letter for so
    long a note: by an eighth note at the most. Letters that leave no room for a pickup, or more
    than it takes, are in doubt."""
    length, onsets = found.pattern
    if partner is None or length == state.length - partner:
        return
    gap = state.length - partner - length
    if 0 < gap <= TICKS // 2:
        found.pattern = (length + gap, onsets)
    found.probability, found.sure = _PERHAPS_SHORT, False


def learn_from_written(state: State) -> None:
    """What the teacher wrote under a measure holds for all that strike the same."""
    taught: dict[object, tuple[int, Pattern, bool]] = {}
    for index, found in enumerate(state.found):
        if found is not None and found.why.source is Source.WRITTEN and found.pattern[1]:
            taught.setdefault(state.evidence[index].signature, (index, found.pattern, found.sure))
    for index, found in enumerate(state.found):
        lesson = taught.get(state.evidence[index].signature)
        if found is None and lesson is not None and index not in state.counted:
            text = f"as written under measure {lesson[0] + 1} of the tab"
            why = Why(Source.REPETITION, text)
            # What is written under it, and could not be read, may say something else.
            own = any(a.kind in _WRITTEN_KINDS for a in state.measures[index].attachments)
            state.found[index] = Found(lesson[1], _TAUGHT, why, sure=lesson[2] and not own)


def room_of_written(state: State) -> Room:
    """The room that notes have where their rhythm is written."""
    return learn_room(
        [
            (evidence, found.pattern)
            for evidence, found in zip(state.evidence, state.found, strict=True)
            if found and found.why.source is Source.WRITTEN and found.pattern[1]
        ]
    )
