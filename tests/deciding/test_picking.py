"""The picking hand: fingers as a cheapest path, rolls by name."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from fractions import Fraction

import pytest
from msgspec.structs import replace

import rollstave
from rollstave.deciding.hands import BLUEGRASS, DOWN_PICKING, FIXED_HAND, HANDS, TWO_FINGER, Hand
from rollstave.deciding.picking import hand_of_letters, with_fingers
from rollstave.deciding.rolls import ROLLS, first_uses, roll_of
from rollstave.score.records import Measure
from tests import tunes


def _measures(strings: str, length: str = "1/2") -> tuple[Measure, ...]:
    row = [(Fraction(length), [(int(s), 0)]) for s in strings]
    hidden = tunes.score([row]).measures
    return tuple(
        replace(
            m,
            events=tuple(
                replace(e, notes=tuple(replace(n, inferred_finger=True) for n in e.notes))
                for e in m.events
            ),
        )
        for m in hidden
    )


def _fingers(strings: str, hand: Hand, length: str = "1/2") -> str:
    (measure,) = with_fingers(_measures(strings, length), hand)
    return "".join(n.finger.value for e in measure.events for n in e.notes if n.finger)


# Common practice, no source: the fixed hand (thumb 5 4 3, index 2, middle 1).
@pytest.mark.parametrize(
    ("strings", "fingers"),
    [
        ("32153215", "TIMTTIMT"),
        ("42521232", "TITIMITI"),  # the paired pattern as the trade notes write it
        ("32521242", "TITIMITI"),
        ("32513251", "TITMTITM"),
    ],
)
def test_the_fixed_hand_keeps_its_strings(strings: str, fingers: str) -> None:
    assert _fingers(strings, FIXED_HAND) == fingers


def test_the_bluegrass_hand_does_not_repeat_a_finger_at_speed() -> None:
    # Common practice: no finger plays two eighth notes in a row if another can take one; the
    # thumb also takes string 2 and the index string 3.
    for strings in ("53153153", "22122122", "35235235", "43243243"):
        found = _fingers(strings, BLUEGRASS)
        assert all(a != b for a, b in itertools.pairwise(found)), (strings, found)


@pytest.mark.parametrize("hand", HANDS.values(), ids=lambda hand: hand.name)
def test_no_finger_strikes_twice_in_a_row_at_sixteenth_speed(hand: Hand) -> None:
    # Common practice, no source; whatever the strings, a finger needs time to come back.
    for strings in ("1111111111111111", "5555", "32153215", "53153153", "1234512345", "44332211"):
        found = _fingers(strings, hand, "1/4")
        assert all(a != b for a, b in itertools.pairwise(found)), (strings, found)


@pytest.mark.parametrize("hand", [FIXED_HAND, BLUEGRASS, TWO_FINGER], ids=lambda hand: hand.name)
def test_fingers_take_turns_on_one_string_at_eighths(hand: Hand) -> None:
    for strings in ("11111111", "22222222", "33333333"):
        found = _fingers(strings, hand)
        assert all(a != b for a, b in itertools.pairwise(found)), (strings, found)
    # Nothing but the thumb is on the short string.
    assert _fingers("5555", hand) == "TTTT"


def test_brushes_at_sixteenth_speed_take_turns() -> None:
    strings = [(1, 0), (2, 0), (3, 0), (4, 0)]
    for length, count in ((Fraction(1, 4), 2), (Fraction(1), 1)):
        measures = tunes.score([[(length, strings)] * 4]).measures
        hidden = tuple(
            replace(
                m,
                events=tuple(
                    replace(e, notes=tuple(replace(n, inferred_finger=True) for n in e.notes))
                    for e in m.events
                ),
            )
            for m in measures
        )
        (measure,) = with_fingers(hidden, FIXED_HAND)
        fingers = [{n.finger for n in e.notes} for e in measure.events]
        assert all(len(f) == 1 for f in fingers)
        assert len({next(iter(f)) for f in fingers}) == count
        assert count == 1 or all(a != b for a, b in itertools.pairwise(fingers))


def test_slow_notes_may_repeat_a_finger() -> None:
    assert _fingers("5353", BLUEGRASS, "1") == "TTTT"


def test_two_fingers_are_two() -> None:
    assert set(_fingers("12345123", TWO_FINGER)) == {"T", "I"}


def test_down_picking_takes_the_short_string_with_the_thumb() -> None:
    # Common practice: the nail strikes strings 1 to 4, the thumb string 5.
    assert _fingers("32513415", DOWN_PICKING) == "IITIIIIT"


def _hidden(rows: Sequence[str], length: str = "1/2") -> tuple[Measure, ...]:
    """A measure for each row of strings, with fingers that are to be chosen."""
    strokes = [[(Fraction(length), [(int(s), 0)]) for s in row] for row in rows]
    return tuple(
        replace(
            m,
            events=tuple(
                replace(e, notes=tuple(replace(n, inferred_finger=True) for n in e.notes))
                for e in m.events
            ),
        )
        for m in tunes.score(strokes).measures
    )


def _letters(measure: Measure) -> str:
    return "".join(n.finger.value for e in measure.events for n in e.notes if n.finger)


@pytest.mark.parametrize("hand", HANDS.values(), ids=lambda hand: hand.name)
def test_measures_that_are_alike_are_fingered_alike(hand: Hand) -> None:
    # What an editor marks first (common practice, no source): the same strings in the same rhythm
    # with other fingers. What stands around them here differs at every place.
    alike = "32153212"
    rows = [alike, "21212121", alike, "53125312", alike, alike, "11221122", alike, "55115511"]
    for length in ("1/2", "1"):
        found = [_letters(m) for m in with_fingers(_hidden(rows, length), hand)]
        assert len({f for f, row in zip(found, rows, strict=True) if row == alike}) == 1, found


@pytest.mark.parametrize("hand", HANDS.values(), ids=lambda hand: hand.name)
def test_a_neighbour_at_sixteenth_speed_may_forbid_it(hand: Hand) -> None:
    # The measure before ends with a written finger, the one that its like begins with.
    from rollstave.score.records import Finger

    rows = ["3215", "3215", "1113", "3215", "3215", "3215"]
    measures = list(_hidden(rows, "1/4"))
    first = _letters(with_fingers(measures, hand)[0])[0]
    events = list(measures[2].events)
    note = replace(events[-1].notes[0], finger=Finger(first), inferred_finger=False)
    events[-1] = replace(events[-1], notes=(note,))
    measures[2] = replace(measures[2], events=tuple(events))
    found = [_letters(m) for m in with_fingers(measures, hand)]
    assert all(a != b for a, b in itertools.pairwise("".join(found))), found
    others = [f for number, f in enumerate(found) if number not in (2, 3)]
    assert len(set(others)) == 1, found


def test_letters_that_are_written_once_are_those_of_all_places() -> None:
    from rollstave.score.records import Finger

    rows = ["32153215", "21212121", "32153215"]
    measures = list(_hidden(rows))
    written = "ITMTITMT"
    measures[0] = replace(
        measures[0],
        events=tuple(
            replace(e, notes=(replace(e.notes[0], finger=Finger(f), inferred_finger=False),))
            for e, f in zip(measures[0].events, written, strict=True)
        ),
    )
    found = with_fingers(measures, FIXED_HAND)
    assert _letters(found[2]) == written
    assert all(e.notes[0].inferred_finger for e in found[2].events)


@pytest.mark.parametrize("hand", [FIXED_HAND, BLUEGRASS, TWO_FINGER], ids=lambda hand: hand.name)
def test_the_fifth_string_is_the_thumbs(hand: Hand) -> None:
    # Common practice, no source. At the speed of sixteenths the index finger helps, never another.
    for rows in (["51535152"], ["55535551"], ["15152535"]):
        for length in ("1/2", "1/4"):
            (measure,) = with_fingers(_hidden(rows, length), hand)
            short = [
                n.finger.value
                for e in measure.events
                for n in e.notes
                if n.string == 5 and n.finger is not None
            ]
            apart = "55" not in rows[0]
            assert set(short) == {"T"} if length == "1/2" or apart else "M" not in short


@pytest.mark.parametrize("sample", [p.stem for p in (*tunes.SAMPLES, *tunes.STRESS)])
def test_like_measures_of_the_samples_are_fingered_alike(sample: str) -> None:
    measures = tunes.case(sample).measures
    fingers: dict[object, set[str]] = {}
    for measure in measures:
        picked = [n for e in measure.events for n in e.notes if n.finger is not None]
        if all(n.inferred_finger for n in picked):
            struck = tuple(
                (e.onset, tuple(n.string for n in e.notes if n.finger is not None), e.brush)
                for e in measure.events
                if any(n.finger is not None for n in e.notes)
            )
            fingers.setdefault(struck, set()).add(_letters(measure))
    assert all(len(found) == 1 for found in fingers.values()), fingers


def test_a_written_finger_bends_the_path() -> None:
    measures = list(_measures("33333333"))
    events = list(measures[0].events)
    from rollstave.score.records import Finger

    for index in (0, 2, 4, 6):
        note = replace(events[index].notes[0], finger=Finger.INDEX, inferred_finger=False)
        events[index] = replace(events[index], notes=(note,))
    (measure,) = with_fingers([replace(measures[0], events=tuple(events))], BLUEGRASS)
    found = "".join(n.finger.value for e in measure.events for n in e.notes if n.finger)
    assert found == "ITITITIT"
    assert [e.notes[0].inferred_finger for e in measure.events] == [False, True] * 4


@pytest.mark.parametrize("sample", ["lantern-stairs", "ferry-landing"])
def test_hidden_letters_are_found_again(sample: str) -> None:
    # The letters that the samples' teacher wrote (invented) are hidden and inferred.
    measures = tunes.case(sample).measures
    written = [n for m in measures for e in m.events for n in e.notes if n.finger]
    hidden = tuple(
        replace(
            m,
            events=tuple(
                replace(
                    e,
                    notes=tuple(replace(n, inferred_finger=n.finger is not None) for n in e.notes),
                )
                for e in m.events
            ),
        )
        for m in measures
    )
    found = [
        n for m in with_fingers(hidden, FIXED_HAND) for e in m.events for n in e.notes if n.finger
    ]
    pairs = [
        (a.finger, b.finger) for a, b in zip(written, found, strict=True) if not a.inferred_finger
    ]
    assert len(pairs) > 50
    assert sum(a is b for a, b in pairs) / len(pairs) >= 0.95


def test_every_hand_reaches_every_string() -> None:
    for hand in HANDS.values():
        assert {hand.finger(s) for s in range(1, 6)} <= set(hand.costs)
        assert all(len(row) == 5 for row in hand.costs.values())


# Finger orders of rolls: common practice, from memory.
NAMED = {
    "TIMTIMTM": "forward roll",
    "MITMITMT": "backward roll",
    "TIMTMITM": "forward-reverse roll",
    "TITMTITM": "alternating thumb roll",
}


@pytest.mark.parametrize("fingers", NAMED)
def test_rolls_have_their_names(fingers: str) -> None:
    strings = "".join({"T": "3", "I": "2", "M": "1"}[f] for f in fingers)
    from rollstave.score.records import Finger

    (measure,) = _measures(strings)
    events = tuple(
        replace(e, notes=(replace(e.notes[0], finger=Finger(f)),))
        for e, f in zip(measure.events, fingers, strict=True)
    )
    use = roll_of(replace(measure, events=events))
    assert use is not None
    assert use.name == NAMED[fingers]
    assert (use.start, use.last) == (0, Fraction(7, 2))


def test_uneven_notes_are_no_roll() -> None:
    row = [("1", [(3, 0)])] + [("1/2", [(s, 0)]) for s in (2, 5, 1, 3, 2)] + [("1/4", [(1, 0)])] * 2
    (measure,) = with_fingers(tunes.score([row]).measures, FIXED_HAND)
    assert roll_of(measure) is None


def test_first_uses_come_once() -> None:
    measures = tunes.case("ferry-landing").measures
    names = [use.name for use in first_uses(measures)]
    assert len(names) == len(set(names))
    assert set(names) <= set(ROLLS.values())
    assert names


@pytest.mark.parametrize("hand", [FIXED_HAND, BLUEGRASS, TWO_FINGER])
def test_a_hand_is_known_by_its_letters(hand: Hand) -> None:
    # Strings that the hands share out differently (common practice: the tables of hands).
    rows = [
        [(Fraction(1, 2), [(int(s), 0)]) for s in strings]
        for strings in ("53153153", "21521521", "32132132", "52352352")
    ]
    hidden = tuple(
        replace(
            m,
            events=tuple(
                replace(e, notes=tuple(replace(n, inferred_finger=True) for n in e.notes))
                for e in m.events
            ),
        )
        for m in tunes.score(rows).measures
    )
    lettered = tuple(
        replace(
            m,
            events=tuple(
                replace(e, notes=tuple(replace(n, inferred_finger=False) for n in e.notes))
                for e in m.events
            ),
        )
        for m in with_fingers(hidden, hand)
    )
    assert hand_of_letters(lettered, FIXED_HAND) is hand
    assert hand_of_letters(hidden, TWO_FINGER) is TWO_FINGER


@pytest.mark.parametrize(
    ("strings", "fingers"),
    [((1, 2), "MI"), ((1, 4), "MT"), ((2, 4), "IT"), ((1, 2, 3), "MIT"), ((1, 2, 4), "MIT")],
)
def test_a_pinch_has_the_thumb_lowest_whatever_was_struck_before(
    strings: tuple[int, ...], fingers: str
) -> None:
    # Common practice, no source: the thumb takes the lowest long string, the middle finger
    # string 1, the index what lies between; the top two strings alone are index and middle. The
    # same pinch again has the same fingers.
    half, pinch = Fraction(1, 2), [(string, 0) for string in strings]
    for before in (1, 2, 3, 5):
        row = [(half, [(before, 0)]), (half, pinch), (half, pinch), (half, [(before, 0)])]
        hidden = tunes.score([[*row, *row]]).measures
        bare = tuple(
            replace(
                m,
                events=tuple(
                    replace(
                        e,
                        notes=tuple(replace(n, finger=None, inferred_finger=True) for n in e.notes),
                    )
                    for e in m.events
                ),
            )
            for m in hidden
        )
        for measure in with_fingers(bare, FIXED_HAND):
            for event in measure.events:
                if len(event.notes) > 1:
                    found = {n.string: n.finger.value for n in event.notes if n.finger}
                    assert "".join(found[string] for string in strings) == fingers


@pytest.mark.parametrize("strings", ["3432153", "5345321", "43215432", "2345"])
def test_the_index_finger_is_never_lower_than_the_thumb_beside_it(strings: str) -> None:
    # Common practice, no source: thumb below index below middle on a fixed hand.
    found = _fingers(strings, FIXED_HAND)
    order = {"M": 0, "I": 1, "T": 2}
    for (a, finger), (b, other) in itertools.pairwise(zip(strings, found, strict=True)):
        if order[finger] < order[other]:
            assert a <= b, (strings, found)


LED_IN = """Title: Twice In
Tuning: gDGBD
Time: 2/4

D|-----|---0-----|---0-----|
B|-----|---------|---------|
G|-----|-0-------|-0-------|
D|-0-2-|-----0-2-|-----0-2-|
g|-----|---------|---------|
   T T

"""


def test_a_lead_in_has_the_fingers_of_the_pickup() -> None:
    # The same two strokes before the bar line as the pickup, whose letters are typed.
    (tune,) = rollstave.read(LED_IN)
    measures = tune.score.measures
    assert measures[0].length < measures[1].length
    for measure in measures[1:]:
        letters = [n.finger.value for e in measure.events[-2:] for n in e.notes if n.finger]
        assert letters == ["T", "T"]
