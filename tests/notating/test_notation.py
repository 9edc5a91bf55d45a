"""Note values, ties, beams, accidentals: worked by hand from common practice of engraving."""

from __future__ import annotations

from fractions import Fraction

import pytest
from msgspec.structs import replace

from rollstave.notating.notation import NotatedMeasure, notate, signature
from rollstave.notating.values import written
from rollstave.pitch import Key, Pitch
from rollstave.problems import Place
from rollstave.rhythm.meter import Meter, parse_meter
from rollstave.score.records import GraceNote
from tests.tunes import Timed, score, setup

E8, Q, H, W = "1/2", 1, 2, 4


def _first(timed: list[Timed], meter: Meter = Meter(4, 4)) -> NotatedMeasure:  # noqa: B008
    return notate(score([timed], meter, Key("C"), setup("gCGBD")))[0]


def _values(measure: NotatedMeasure) -> list[str]:
    """Value with a dot for each dot, ``r`` for a rest, ``~`` for a tie to what follows."""
    return [
        ("r " if s.is_rest else "")
        + s.value
        + "." * s.dots
        + ("~" if any(h.tie_to for h in s.heads) else "")
        for s in measure.symbols
    ]


def _beams(measure: NotatedMeasure) -> list[int]:
    """How many symbols each beam holds, in order."""
    groups: dict[int, int] = {}
    for symbol in measure.symbols:
        if symbol.beam is not None:
            groups[symbol.beam] = groups.get(symbol.beam, 0) + 1
    return [groups[key] for key in sorted(groups)]


ROLL = [3, 2, 5, 1, 3, 2, 5, 1]


def _eighths(number: int) -> list[Timed]:
    return [(E8, [(s, 0)]) for s in (ROLL * 2)[:number]]


@pytest.mark.parametrize(
    ("meter", "number", "length", "beams"),
    [
        # Common practice: eighths by half measures in 4/4 and 2/2, by the beat elsewhere.
        ("4/4", 8, E8, [4, 4]),
        ("2/2", 8, E8, [4, 4]),
        ("2/4", 4, E8, [4]),
        ("3/4", 6, E8, [2, 2, 2]),
        ("6/8", 6, E8, [3, 3]),
        ("9/8", 9, E8, [3, 3, 3]),
        ("12/8", 12, E8, [3, 3, 3, 3]),
        ("2/4", 8, "1/4", [4, 4]),
        ("4/4", 16, "1/4", [4, 4, 4, 4]),
    ],
)
def test_beams_by_the_beat(meter: str, number: int, length: str, beams: list[int]) -> None:
    read = parse_meter(meter)
    assert read is not None
    timed: list[Timed] = [(length, [(s, 0)]) for s in (ROLL * 2)[:number]]
    found = _first(timed, read)
    assert set(_values(found)) == {"eighth" if length == E8 else "16th"}
    assert _beams(found) == beams


def test_a_quarter_parts_beams() -> None:
    # Common practice: two eighths, a quarter, two eighths, a quarter: two beams of two.
    found = _first([*_eighths(2), (Q, [(1, 0)]), *_eighths(2), (Q, [(1, 0)])])
    assert _values(found) == ["eighth", "eighth", "quarter"] * 2
    assert _beams(found) == [2, 2]


def test_a_lone_eighth_has_a_flag() -> None:
    # Common practice: a dotted quarter and an eighth.
    found = _first([("3/2", [(3, 0)]), (E8, [(2, 0)]), (H, [(1, 0)])])
    assert _values(found) == ["quarter.", "eighth", "half"]
    assert _beams(found) == []


def test_no_beam_over_a_rest() -> None:
    found = _first([(E8, [(3, 0)]), (E8, []), *_eighths(2), (H, [(1, 0)])])
    assert _values(found) == ["eighth", "r eighth", "eighth", "eighth", "half"]
    assert _beams(found) == [2]


@pytest.mark.parametrize(
    ("timed", "values"),
    [
        # Common practice: 4/4 shows its middle. A quarter over it is two tied eighths.
        (
            [("3/2", [(3, 0)]), (Q, [(2, 0)]), ("3/2", [(1, 0)])],
            ["quarter.", "eighth~", "eighth", "quarter."],
        ),
        # A half note from the second beat to the fourth is an accepted syncopation.
        ([(Q, [(3, 0)]), (H, [(2, 0)]), (Q, [(1, 0)])], ["quarter", "half", "quarter"]),
        # An eighth, a quarter, an eighth within half a measure: the usual syncopation.
        (
            [(E8, [(3, 0)]), (Q, [(2, 0)]), (E8, [(1, 0)]), (H, [(3, 0)])],
            ["eighth", "quarter", "eighth", "half"],
        ),
        # A dotted half from the first beat; a whole note.
        ([(3, [(3, 0)]), (Q, [(2, 0)])], ["half.", "quarter"]),
        ([(4, [(3, 0)])], ["whole"]),
        # Five eighths have no value of their own: a half tied to an eighth.
        ([("5/2", [(3, 0)]), ("3/2", [(1, 0)])], ["half~", "eighth", "quarter."]),
        # From the second eighth on for two quarters: tied at the middle of the measure.
        (
            [(E8, [(3, 0)]), (H, [(2, 0)]), ("3/2", [(1, 0)])],
            ["eighth", "quarter.~", "eighth", "quarter."],
        ),
    ],
)
def test_values_and_ties(timed: list[Timed], values: list[str]) -> None:
    assert _values(_first(timed)) == values


def test_a_dotted_half_fills_three_four() -> None:
    assert _values(_first([(3, [(3, 0)])], Meter(3, 4))) == ["half."]


def test_tied_parts_keep_their_notes_and_times() -> None:
    found = _first([("3/2", [(3, 0)]), (Q, [(2, 0), (1, 0)]), ("3/2", [(1, 0)])])
    first, second = found.symbols[1:3]
    assert [(h.tie_from, h.tie_to) for h in first.heads] == [(False, True)] * 2
    assert [(h.tie_from, h.tie_to) for h in second.heads] == [(True, False)] * 2
    assert (first.onset, second.onset) == (Fraction(3, 2), Fraction(2))


@pytest.mark.parametrize("name", ["triplets", "ties", "compound"])
def test_symbols_fill_their_measure(name: str) -> None:
    from tests.tunes import case

    for notated in notate(case(name)):
        now = Fraction(0)
        for symbol in notated.symbols:
            assert symbol.onset == now
            now += symbol.duration
        assert now == notated.measure.length


def test_triplets() -> None:
    # Common practice: three eighths in the time of two, one beam, one bracket for each beat.
    third = "1/3"
    found = _first([(third, [(3, 0)]), (third, [(2, 0)]), (third, [(1, 0)]), (3, [(5, 0)])])
    assert _values(found)[:3] == ["eighth"] * 3
    assert [s.tuplet for s in found.symbols[:3]] == [0, 0, 0]
    assert found.symbols[3].tuplet is None
    assert _beams(found)[0] == 3


@pytest.mark.parametrize(
    ("third", "value"),
    [("1/12", "32nd"), ("1/6", "16th"), ("1/3", "eighth"), ("2/3", "quarter"), ("4/3", "half")],
)
def test_three_of_any_value_in_the_time_of_two(third: str, value: str) -> None:
    # Common practice: each is written as the value of which two last as long as the three.
    number = int(4 / Fraction(third))
    found = _first([(third, [(s, 0)]) for s in (ROLL * 6)[:number]])
    assert _values(found) == [value] * number
    assert [s.tuplet for s in found.symbols] == [i // 3 for i in range(number)]


def test_a_pickup_is_beamed_as_the_end_of_a_measure() -> None:
    # Common practice: three eighths before the bar: beats 3 and a half and 4, so 1 and 2 in 3/4.
    one = score([_eighths(3), [(3, [(3, 0)])]], Meter(3, 4), Key("C"), setup("gCGBD"), pickup=True)
    found = notate(one)[0]
    assert _beams(found) == [2]
    assert found.symbols[0].beam is None


# Accidentals ---------------------------------------------------------------------------------


def _accidentals(timed: list[Timed], key: Key, measures: int = 1) -> list[list[int | None]]:
    notated = notate(score([timed] * measures, Meter(4, 4), key, setup("gCGBD")))
    return [[s.heads[0].accidental for s in m.symbols] for m in notated]


def test_an_accidental_holds_for_its_measure() -> None:
    # Common practice: F#4 in C (string 1 fret 4) is shown once, F4 (fret 3) then needs a natural,
    # and the bar line ends both.
    timed: list[Timed] = [(Q, [(1, 4)]), (Q, [(1, 4)]), (Q, [(1, 3)]), (Q, [(1, 3)])]
    assert _accidentals(timed, Key("C"), 2) == [[1, None, 0, None]] * 2


def test_the_signature_needs_no_accidental() -> None:
    # Common practice: F# in G and D is in the signature; F natural is shown.
    timed: list[Timed] = [(Q, [(1, 4)]), (Q, [(1, 3)]), (Q, [(1, 4)]), (Q, [(1, 0)])]
    assert _accidentals(timed, Key("G")) == [[None, 0, 1, None]]


def test_another_octave_needs_its_own_accidental() -> None:
    # Common practice: an accidental holds for its own octave: F#3 (string 4 fret 6), F#4.
    timed: list[Timed] = [(H, [(4, 6)]), (H, [(1, 4)])]
    assert _accidentals(timed, Key("C")) == [[1, 1]]


def test_a_tied_note_repeats_no_accidental() -> None:
    timed: list[Timed] = [("3/2", [(3, 0)]), (Q, [(1, 4)]), ("3/2", [(1, 0)])]
    assert _accidentals(timed, Key("C")) == [[None, 1, None, None]]


def _warned(rows: list[list[Timed]], key: Key) -> list[list[tuple[int | None, bool]]]:
    notated = notate(score(rows, Meter(4, 4), key, setup("gCGBD")))
    return [[(s.heads[0].accidental, s.heads[0].cautionary) for s in m.symbols] for m in notated]


def test_a_note_that_was_altered_in_the_measure_before_has_a_cautionary_accidental() -> None:
    # Gould, Behind Bars (2011), from memory: the bar line cancels an accidental; the first note on
    # the same line or space in the next bar has a cautionary one. Only in the next, and only once.
    altered: list[Timed] = [(Q, [(1, 4)]), (Q, [(1, 0)]), (H, [(1, 2)])]  # F#4 D4 E4 in C
    plain: list[Timed] = [(H, [(1, 3)]), (H, [(1, 3)])]  # F4
    low: list[Timed] = [(H, [(4, 5)]), (H, [(1, 2)])]  # F3 E4
    found = _warned([altered, plain, plain, altered, low, plain], Key("C"))
    assert found[0] == [(1, False), (None, False), (None, False)]
    assert found[1] == [(0, True), (None, False)]
    assert found[2] == [(None, False)] * 2
    assert found[4] == [(0, True), (None, False)]  # another octave
    assert found[5] == [(None, False)] * 2  # two measures later


def test_what_was_cancelled_in_its_own_measure_needs_no_warning() -> None:
    both: list[Timed] = [(H, [(1, 4)]), (H, [(1, 3)])]  # F#4 F4
    plain: list[Timed] = [(W, [(1, 3)])]
    assert _warned([both, plain], Key("C"))[1] == [(None, False)]
    # In G the natural is what was altered.
    assert _warned([both, [(W, [(1, 4)])]], Key("G"))[1] == [(1, True)]


def test_another_octave_with_another_alteration_warns_in_its_measure_and_the_next() -> None:
    # Gould, Behind Bars (2011), from memory: a note whose letter was altered otherwise in another
    # octave has a cautionary accidental, in the same measure and in the one after.
    natural: list[Timed] = [(H, [(1, 3)]), (H, [(4, 6)])]  # F4, F#3 in G
    sharp: list[Timed] = [(H, [(4, 6)]), (H, [(4, 6)])]
    found = _warned([natural, sharp, sharp], Key("G"))
    assert found[0] == [(0, False), (1, True)]
    assert found[1] == [(None, False)] * 2  # it has been warned of
    alone: list[Timed] = [(H, [(1, 3)]), (H, [(1, 2)])]
    found = _warned([alone, sharp, sharp], Key("G"))
    assert found[1:] == [[(1, True), (None, False)], [(None, False)] * 2]
    assert _warned([sharp, natural], Key("G"))[1] == [(0, False), (1, True)]
    # One of two octaves that warns is enough.
    found = _warned([alone, [(H, [(1, 4)]), (H, [(4, 6)])]], Key("G"))
    assert found[1] == [(1, True), (None, False)]
    # The other way round the accidental stands there anyway, and other letters have none.
    assert _warned([sharp, alone], Key("G"))[1] == [(0, False), (None, False)]


def test_grace_notes_take_part_in_warning() -> None:
    rows: list[list[Timed]] = [[(W, [(1, 4)])], [(W, [(1, 3)])]]
    one = score(rows, Meter(4, 4), Key("C"), setup("gCGBD"))
    second = one.measures[1]
    small = GraceNote(string=1, fret=3, pitch=Pitch("F", 0, 4), place=Place(1, 1))
    event = replace(second.events[0], grace=((small,),))
    measures = (one.measures[0], replace(second, events=(event,)))
    (symbol,) = notate(replace(one, measures=measures))[1].symbols
    ((grace,),) = symbol.grace
    assert (grace.accidental, grace.cautionary) == (0, True)
    assert symbol.heads[0].accidental is None  # the warning stands before the grace note


@pytest.mark.parametrize("fifths", range(-7, 8))
def test_signatures(fifths: int) -> None:
    # music21 10, KeySignature.alteredPitches.
    import music21

    altered = music21.key.KeySignature(fifths).alteredPitches
    assert signature(fifths) == {p.step: int(p.alter) for p in altered}


def test_stems() -> None:
    # Common practice: stems of notes below the middle line go up, from it on down. The staff is
    # written an octave up, so its middle line, B4, is B3 as it sounds.
    found = _first([(Q, [(3, 0)]), (Q, [(2, 0)]), (Q, [(1, 2)]), (Q, [(4, 0)])])
    assert [s.stem_up for s in found.symbols] == [True, False, False, True]


def test_a_beam_has_one_stem_direction() -> None:
    found = _first(_eighths(8))
    for start in (0, 4):
        assert len({s.stem_up for s in found.symbols[start : start + 4]}) == 1


def test_an_empty_measure_is_one_whole_rest() -> None:
    one = score([[(4, [])], [(4, [(3, 0)])]])
    found = notate(one)
    assert found[0].whole_rest
    assert [s.is_rest for s in found[0].symbols] == [True]
    assert not found[1].whole_rest


def test_notating_is_pure() -> None:
    one = score([_eighths(8)])
    assert notate(one) == notate(replace(one))


def test_a_rest_hides_no_half_of_a_measure() -> None:
    """A note of three beats may begin on the second, a rest of three is two signs (Gould, Behind
    Bars, 2011, on rests, from memory)."""
    one, three = Fraction(1), Fraction(3)
    held, silent = (
        written(((Fraction(0), one, False), (one, three, rest)), Meter(4, 4), Fraction(0))
        for rest in (False, True)
    )
    assert [(p.value, p.dots) for p in held[1:]] == [("half", 1)]
    assert [(p.value, p.dots) for p in silent[1:]] == [("quarter", 0), ("half", 0)]
