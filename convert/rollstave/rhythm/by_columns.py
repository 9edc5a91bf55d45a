"""The typist's spacing, and measures whose columns say their rhythm to the letter."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping

from rollstave.grid.typed import GridMeasure, LineKind
from rollstave.rhythm.by_eye import rough_spacing
from rollstave.rhythm.columns import Reading, exact_reading, spread_reading, typed_width
from rollstave.rhythm.evidence import TICKS
from rollstave.rhythm.reasons import Why
from rollstave.rhythm.slips import may_be_a_slip
from rollstave.rhythm.spacing import (
    Spacing,
    as_close_as_can_be,
    nearly_close,
    spacings,
    squeezed,
    told_by_gaps,
)
from rollstave.rhythm.state import Found, State
from rollstave.rhythm.strains import pickups_for
from rollstave.rhythm.timed import Source
from rollstave.rhythm.usual import is_usual, is_whole

NEAT = 0.9  # share of measures that a spacing explains before columns are taken at their word
_LOOSE = 0.42  # share from which columns are evidence at all
_BEYOND_DOUBT = 0.97  # fit from which even notes that are about as close are typed in time
EXACT = 0.998
_AGREED_BY_ORDER = 0.99  # odds by all evidence from which the columns of an end are believed
_WRITTEN = 0.5  # of a tune, from which columns without anything written under them are in doubt
DOUBTED = 0.985  # the share that is right where what the columns say is in doubt

_SIXTEENTH = TICKS // 4
_SAY_TIME = (LineKind.COUNTS, LineKind.DURATIONS)


def find_spacing(state: State) -> Spacing | None:
    """The typist's spacing if columns say anything of time in this file."""
    open_ones = [e for e, f in zip(state.evidence, state.found, strict=True) if f is None]
    if not open_ones:
        return None
    found = spacings(open_ones, state.length)
    close = as_close_as_can_be(open_ones)
    if not found or found[0].fit < _LOOSE:
        return rough_spacing(open_ones, state.length)
    by_order, in_time = told_by_gaps(open_ones) if close else (False, False)
    state.shaky = found[0].fit < _BEYOND_DOUBT and nearly_close(open_ones)
    told = by_order - in_time
    state.close = state.shaky or (close and told == 0)
    verdict = told or squeezed(open_ones)
    if verdict > 0 or (verdict == 0 and not _ends_agree(state, found[0])):
        return rough_spacing(open_ones, state.length)
    # Gaps of two widths that are neat in time are no accident; all alike, they are both.
    state.doubtful = verdict == 0 and by_order
    state.ends_open = verdict == 0
    return found[0]


def _ends_agree(state: State, spacing: Spacing) -> bool:
    """True if, by the columns, every strain that starts with a pickup ends as much short."""
    ends = [exact_reading(e, spacing) if e.count else None for e in state.evidence]
    for index, (evidence, end) in enumerate(zip(state.evidence, ends, strict=True)):
        if not evidence.closes or evidence.opens or not evidence.count:
            continue
        after = index + 1
        opens = after < len(ends) and state.evidence[after].opens
        partners = [ends[after] if opens else ends[0], ends[evidence.strain], ends[0]]
        sums = {(end.length + p.length) % state.length for p in partners if p and end}
        if end is None or (end.length != state.length and 0 not in sums):
            return False
    return True


def take_columns(state: State, spacing: Spacing) -> None:
    """Take the columns at their word where they are exact and the length is possible."""
    why = Why(Source.COLUMNS, "columns", spacing)
    spread: dict[int, Reading] = {}
    crooked: set[int] = set()
    for index, evidence in enumerate(state.evidence):
        if state.found[index] is not None or index in state.counted:
            continue
        if index in state.threes:
            continue  # what a 3 says is weighed with them
        reading = exact_reading(evidence, spacing)
        if reading and state.ends_open and reading.length != state.length:
            continue
        if reading is not None and _possible(state, index, reading):
            state.found[index] = Found((reading.length, reading.onsets), EXACT, why)
            continue
        if reading is not None and reading.length < state.length:
            continue  # to the letter a short measure, not a full one in a narrower spacing
        wider = spread_reading(evidence, spacing, state.length)
        if wider is not None:
            spread[index] = wider
            # As wide as that, a measure may also be longer than the others.
            if reading is not None and reading.length % state.length:
                crooked.add(index)
    widths = {state.evidence[index].width for index in spread if index not in crooked}
    for index, reading in spread.items():
        if index not in crooked or state.evidence[index].width in widths:
            state.found[index] = Found((reading.length, reading.onsets), EXACT, why)
    _take_crooked(state, spacing, spread)
    _narrow_pickups(state, spacing)
    _spread_ends(state, spacing)
    _match_ends(state, spacing)
    _doubt_rounded(state, spacing)
    all_doubted = state.shaky or state.written >= _WRITTEN
    for evidence, found, measure in zip(state.evidence, state.found, state.measures, strict=True):
        if found is None or not found.why.spacing:
            continue
        if (
            all_doubted
            or _says_time(measure)
            or not is_whole(*found.pattern)
            or may_be_a_slip(evidence, found.pattern, spacing, state.name)
        ):
            found.probability, found.sure = DOUBTED, False


def _take_crooked(state: State, spacing: Spacing, spread: Mapping[int, Reading]) -> None:
    """Take measures within a strain that are some beats longer or shorter than the others, to the
    letter, where the same comes again. Their closest notes are as close as those of the others, and
    all is in halves of beats where they may be full measures in a spacing of their own, as
    ``spread`` has them."""
    if state.ends_open or state.shaky:
        return
    closest = Counter(
        min(e.gaps[:-1]) for e in state.evidence if e.count > 1 and not state.may_be_short(e.index)
    ).most_common(1)
    again: dict[object, list[tuple[int, Reading]]] = {}
    for index, (evidence, found) in enumerate(zip(state.evidence, state.found, strict=True)):
        if found or index in state.counted or state.may_be_short(index) or evidence.count < 2:
            continue
        reading = exact_reading(evidence, spacing)
        if (
            reading is None
            or reading.length % state.beat
            or not reading.length % state.length  # wider by a whole number: in a spacing of its own
            or not is_whole(reading.length, reading.onsets)
        ):
            continue
        full = spread.get(index)
        if full is not None and _off_halves(reading):
            continue
        if min(evidence.gaps[:-1]) == closest[0][0]:
            again.setdefault((reading.length, reading.onsets), []).append((index, reading))
    for members in again.values():
        for index, reading in members if len(members) > 1 else ():
            why = Why(Source.COLUMNS, "columns", spacing)
            # It may be a full measure, wider than the others.
            sure = index not in spread
            pattern = reading.length, reading.onsets
            state.found[index] = Found(pattern, EXACT if sure else DOUBTED, why, sure=sure)
            state.crooked.add(index)


def _off_halves(reading: Reading) -> bool:
    """Whether a note begins elsewhere than at a quarter note or at the half of one."""
    return any(onset % (TICKS // 2) != 0 for onset in reading.onsets)


def _room_for(state: State, index: int, spacing: Spacing) -> int | None:
    """The ticks that the ends of the strains leave for a pickup, None where they do not agree. Dots
    in two of the rows may take a character of the last measure."""
    left: set[int] = set()
    less: set[int] = set()
    found = state.found[index]
    length = found.pattern[0] if found is not None else 0
    for closing, end in enumerate(state.found):
        evidence = state.evidence[closing]
        if not evidence.closes or index not in pickups_for(state.evidence, closing):
            continue
        rest = state.length - int(typed_width(evidence, spacing) * TICKS / spacing.columns)
        if end is not None:
            rest = state.length - end.pattern[0]
            left.add(rest)
        less.add(rest + int(TICKS / spacing.columns) if evidence.repeats and rest else rest)
    left.discard(0)
    less.discard(0)
    for rooms in (left, less):
        if len(rooms) == 1:
            (room,) = rooms
            if length in (room, 2 * room, 3 * room / 2):
                return room
    return None


def _narrow_pickups(state: State, spacing: Spacing) -> None:
    """A pickup may be typed wider than its tune, so that its notes have room: three in the time of
    two, or notes half as long. What the ends of the strains leave room for tells how long it is."""
    for index, found in enumerate(state.found):
        evidence = state.evidence[index]
        if found is None or found.why.spacing is None or not evidence.opens or evidence.closes:
            continue
        length, onsets = found.pattern
        if len(onsets) < 2 or length >= state.length:
            continue
        room = _room_for(state, index, spacing)
        if room is None or length == room:
            continue
        narrow = tuple(onset * room // length for onset in onsets)
        if len(onsets) == 3 and any(onset % _SIXTEENTH for onset in narrow):
            narrow = 0, room // 3, room * 2 // 3
        elif any(onset % _SIXTEENTH for onset in narrow):
            continue
        if is_usual(room, narrow):
            found.pattern = room, narrow
            found.probability, found.sure = DOUBTED, False


def _spread_ends(state: State, spacing: Spacing) -> None:
    """A measure at the end of a strain may be typed two or three times as wide as its tune, too:
    then it is as long as a pickup leaves."""
    for index, evidence in enumerate(state.evidence):
        if state.found[index] or index in state.counted or not evidence.closes or evidence.opens:
            continue
        for candidate in pickups_for(state.evidence, index):
            pickup = state.found[candidate]
            if pickup is None or not 0 < pickup.pattern[0] < state.length:
                continue
            rest = state.length - pickup.pattern[0]
            wider = typed_width(evidence, spacing) * TICKS / (rest * spacing.columns)
            reading = spread_reading(evidence, spacing, rest) if wider in (2, 3) else None
            if reading is not None:
                why = Why(Source.COLUMNS, "columns", spacing)
                state.found[index] = Found((rest, reading.onsets), DOUBTED, why, sure=False)
                break


def _match_ends(state: State, spacing: Spacing) -> None:
    """The dots of a repeat may take a character at the end of a strain: its last measure leaves
    room for the pickup. A pickup that no strain makes room for is not sure."""
    answered: set[int] = set()
    for index, found in enumerate(state.found):
        if found is None or found.why.spacing is None or not state.evidence[index].closes:
            continue
        length, onsets = found.pattern
        partner, _ = state.pickup_of(index, onsets[-1] if onsets else 0)
        wanted = state.length - (partner or 0)
        if (
            partner is not None
            and length != wanted
            and abs(length - wanted) * spacing.columns <= TICKS
        ):
            found.pattern = wanted, onsets
            continue  # one of the two is not as long as it is typed: the pickup needs a witness
        for candidate in pickups_for(state.evidence, index):
            opening = state.found[candidate]
            if opening is not None and opening.pattern[0] + found.pattern[0] == state.length:
                answered.add(candidate)
    for index, found in enumerate(state.found):
        if found and found.why.spacing and 0 < found.pattern[0] < state.length:
            opens, closes = state.evidence[index].opens, state.evidence[index].closes
            if opens and not closes and index not in answered:
                found.probability, found.sure = DOUBTED, False
    for index, found in enumerate(state.found):
        if found is None or found.why.spacing is None or not state.evidence[index].closes:
            continue
        # The end of a strain is as sure as what it leaves room for.
        length, onsets = found.pattern
        partner, certain = state.pickup_of(index, onsets[-1] if onsets else 0)
        if not certain or length != state.length - (partner or 0):
            found.probability, found.sure = DOUBTED, False


_OFTEN = 3  # sixteenths in other places than those of rounded triplets that show them to be meant


def _doubt_rounded(state: State, spacing: Spacing) -> None:
    """Doubt two sixteenths and an eighth where a quarter note has four characters: three notes in
    the time of two are typed so by many. Other sixteenths of the tune show that they are meant."""
    if spacing.columns != TICKS // 6:
        return
    rounded: list[Found] = []
    others = 0
    for found in state.found:
        if found is None or found.why.spacing is None:
            continue
        length, onsets = found.pattern
        there = {*onsets, length}
        for beat in range(0, length, TICKS):
            places = [tick for tick in (6, 12, 18) if beat + tick in there]
            if beat in there and beat + TICKS in there and places in ([6, 12], [6, 18]):
                rounded.append(found)
            elif any(tick % 12 for tick in places):
                others += 1
    if others < _OFTEN:
        for found in rounded:
            found.probability, found.sure = DOUBTED, False


def _says_time(measure: GridMeasure) -> bool:
    """Whether counts or letters are written under a measure: that make no sense, if it is not
    settled by them, so they say something else than the columns."""
    return any(a.kind in _SAY_TIME for a in measure.attachments)


def trust_ends(state: State, spacing: Spacing | None) -> None:
    """Make short measures at the ends of strains sure where the columns say their length to the
    letter, the order of their notes says the same, and the columns of all strains that begin with a
    pickup agree (they do, or the spacing would not have been taken)."""
    if spacing is None or not state.ends_open or state.shaky or state.doubtful:
        return
    for evidence, found, measure in zip(state.evidence, state.found, state.measures, strict=True):
        if found is None or found.sure or found.odds < _AGREED_BY_ORDER or _says_time(measure):
            continue
        reading = exact_reading(evidence, spacing)
        if reading is None or found.pattern != (reading.length, reading.onsets):
            continue
        # A measure that opens a strain is short if one that ends a strain leaves room for it.
        rest = state.length - reading.length
        closed = (f for e, f in zip(state.evidence, state.found, strict=True) if e.closes and f)
        if not rest or evidence.closes or any(f.pattern[0] == rest for f in closed):
            found.sure = True


def _possible(state: State, index: int, reading: Reading) -> bool:
    if reading.length == state.length:
        return True
    # A strain begins or ends on a sixteenth at the least, not within a triplet.
    whole = reading.length % (TICKS // 4) == 0
    return whole and reading.length < state.length and state.may_be_short(index)
