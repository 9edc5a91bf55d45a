"""Counts that have drifted from their notes, as typists leave them.

That 6/8 may be counted ``1 & a 2 & a`` is common practice, no source; the rest is arithmetic on
where the words stand.
"""

from __future__ import annotations

import pytest

from rollstave.grid.typed import Attachment, GridMeasure, LineKind
from rollstave.problems import Place
from rollstave.rhythm.count_words import sort_counts
from rollstave.rhythm.uncounted import Words
from tests.rhythm.test_columns import EVEN, read, times, typed


def counted(bars: list[list[int]], width: int, time: str, counts: str) -> str:
    return typed([(places, width) for places in bars], time) + counts + "\n"


@pytest.mark.quick
def test_six_eight_counted_in_two() -> None:
    places = [1, 3, 5, 7, 9, 11]
    text = counted([places] * 2, 13, "6/8", "   1 & a 2 & a   1 & a 2 & a")
    expected = times("0 1/2 1 3/2 2 5/2")
    assert [m.onsets for m in read(text, "6/8").measures] == [expected, expected]


@pytest.mark.quick
@pytest.mark.parametrize("drift", [0, 1, 2])
def test_a_line_of_counts_that_stands_to_the_right(drift: int) -> None:
    places = [1, 3, 5, 7, 9, 11, 13, 15]
    words = "1 & 2 & 3 & 4 &"
    text = counted([places] * 3, 17, "4/4", " " * (3 + drift) + f"{words}   {words}   {words}")
    assert [m.onsets for m in read(text, "4/4").measures] == [EVEN] * 3


@pytest.mark.quick
def test_two_counts_that_touch_are_two() -> None:
    places = [1, 5, 6, 10]
    text = counted([places] * 2, 13, "6/8", "   1   34   6    1   34   6")
    assert [m.onsets for m in read(text, "6/8").measures] == [times("0 1 3/2 5/2")] * 2


@pytest.mark.quick
def test_one_and_two_that_touch_are_no_twelve() -> None:
    places = [1, 2, 6, 7, 11, 12]
    text = counted([places] * 2, 14, "6/8", "   12   34   56   12   34   56")
    assert [m.onsets for m in read(text, "6/8").measures] == [times("0 1/2 1 3/2 2 5/2")] * 2


@pytest.mark.quick
def test_one_and_a_may_be_thirds_so_it_is_not_sure() -> None:
    places = [1, 4, 7, 10, 13, 16]
    found = read(counted([places] * 3, 18, "4/4", "   1  &  a  2  3  4   " * 3), "4/4").measures
    assert not any(m.sure for m in found)
    with_e = read(counted([places] * 3, 18, "4/4", "   1  e  &  2  3  4   " * 3), "4/4").measures
    assert all(m.sure and m.onsets == times("0 1/4 1/2 1 2 3") for m in with_e)


@pytest.mark.quick
def test_a_pickup_that_is_counted_from_one() -> None:
    bars = [([1, 4], 7), *[([1, 4, 7, 10, 13, 16, 19, 22], 25)] * 2, ([1, 4, 7, 10, 13, 16], 19)]
    words = "1  &  2  &  3  &  4  &"
    text = typed(bars, "4/4") + f"   1  &    {words}    {words}    1  &  2  &  3  &\n"
    first, *inner, last = read(text, "4/4").measures
    assert (first.length, first.sure) == (1, False)
    assert [m.onsets for m in inner] == [EVEN, EVEN]
    assert (last.length, last.sure) == (3, False)


@pytest.mark.quick
def test_counts_that_do_not_stand_under_their_notes_are_not_sure() -> None:
    places = [1, 5, 9, 13]
    found = read(counted([places] * 2, 17, "4/4", "   1 2     3   4   1 2     3   4"), "4/4")
    assert not any(m.sure for m in found.measures)


@pytest.mark.quick
def test_a_between_the_beats_is_their_last_quarter() -> None:
    # "1 e & a" names the quarters of a beat: common practice, no source. Half the way to the next
    # beat it would be its second half.
    places = [1, 4, 5, 8, 9, 12]
    found = read(counted([places] * 2, 14, "3/4", "   1  a2  a3  a  " + " 1  a2  a3  a"), "3/4")
    assert [m.onsets for m in found.measures] == [times("0 3/4 1 7/4 2 11/4")] * 2


@pytest.mark.quick
def test_a_note_without_a_count_is_where_there_is_no_word_for_it() -> None:
    """In 6/8 counted in two there is no word between "&" and "a" (common practice, no source)."""
    even, dotted = [1, 3, 5, 7, 9, 11], [1, 4, 5, 7, 9, 11]
    words = "   1 & a 2 & a   1   a 2 & a   1 & a 2 & a"
    found = read(counted([even, dotted, even], 13, "6/8", words), "6/8").measures
    assert found[1].onsets == times("0 3/4 1 3/2 2 5/2")
    assert not found[1].sure
    assert [m.onsets for m in (found[0], found[2])] == [times("0 1/2 1 3/2 2 5/2")] * 2


@pytest.mark.quick
def test_a_note_without_a_count_has_the_room_of_its_columns() -> None:
    """Quarters are counted, four columns each; of four notes the second alone has no count."""
    places = [1, 4, 5, 9, 13]
    words = "   1   2   3   4"
    found = read(counted([places] * 4, 16, "4/4", words + f" {words}" * 3), "4/4").measures
    assert {m.onsets for m in found} == {times("0 3/4 1 2 3")}


@pytest.mark.quick
def test_a_pickup_that_ends_within_a_beat_ends_with_the_beat() -> None:
    bars = [([1, 4], 6), *[([1, 4, 7, 10, 13, 16], 19)] * 2]
    text = typed(bars, "3/4") + "   1  a   " + "  1  &  2  &  3  &  " * 2 + "\n"
    assert read(text, "3/4").measures[0].length == 1


@pytest.mark.quick
def test_as_many_counts_as_notes_are_theirs_in_order() -> None:
    """The line slips three characters in the middle of a measure, and is put right after it."""
    places = [1, 3, 5, 7, 9, 11, 13, 15]
    words = "   1 & 2 &    3 & 4 &"
    text = counted([places] * 2, 20, "4/4", f"{words}   1 & 2 & 3 & 4 &")
    assert [m.onsets for m in read(text, "4/4").measures] == [EVEN, EVEN]


@pytest.mark.quick
def test_numbers_that_count_on_belong_to_the_measure_before() -> None:
    places = [1, 3, 5, 7, 9, 11, 13, 15]
    words = "   1 & 2 &       3 & 4 & 1 & 2 & 3 & 4 &"
    found = read(counted([places] * 2, 17, "4/4", words), "4/4").measures
    assert [m.onsets for m in found] == [EVEN, EVEN]


@pytest.mark.quick
def test_the_one_of_a_pickup_that_slid_over_its_bar_moves_no_other_counts() -> None:
    def measure(index: int, width: int, counts: list[tuple[int, str]]) -> GridMeasure:
        return GridMeasure(
            index=index,
            system=0,
            width=width,
            columns=(),
            attachments=tuple(
                Attachment(
                    kind=LineKind.COUNTS, text=text, position=at, column=None, place=Place(7, 1)
                )
                for at, text in counts
            ),
        )

    words = [(3, "1"), (5, "e"), (6, "&"), (7, "a"), (9, "2")]
    measures = [measure(0, 3, []), measure(1, 17, [(-1, "1"), *words]), measure(2, 17, words)]
    assert sort_counts(measures, [True, False, False]) == [[(3, "1")], words, words]


@pytest.mark.quick
@pytest.mark.parametrize(("words", "sure"), [("& a", False), ("e &", True), ("2 &", True)])
def test_and_a_of_a_beat_that_a_pickup_begins_in_may_be_thirds(words: str, sure: bool) -> None:
    first, second = words.split()
    full = [([1, 4, 7, 10, 13, 16, 19, 22], 25)] * 3
    counts = "1  e  &  a  2  e  &  a"
    text = (
        typed([([1, 4], 7), *full], "2/4")
        + f"   {first}  {second}    {counts}    {counts}    {counts}\n"
    )
    assert read(text, "2/4").measures[0].sure is sure


@pytest.mark.quick
def test_a_measure_counted_to_six_in_four_is_as_long_as_it_is_counted() -> None:
    six = " ".join(f"{n} &" for n in range(1, 7))
    four = " ".join(f"{n} &" for n in range(1, 5))
    bars = [([1 + 2 * n for n in range(count)], 1 + 2 * count) for count in (8, 12, *[8] * 10)]
    counts = "   " + "   ".join((four, six, *[four] * 10))
    measures = read(typed(bars, "4/4") + counts + "\n", "4/4").measures
    assert [m.length for m in measures] == [4, 6, *[4] * 10]
    assert measures[1].onsets == tuple(n / 2 for n in range(12))
    assert not measures[1].sure  # it comes once


@pytest.mark.quick
def test_counts_that_say_a_rest_where_there_is_no_room_for_one_are_not_sure() -> None:
    """A whole line that slid by two characters, an eighth note here, says a rest at the beginning
    of a measure whose first note stands where those of all others do."""
    bars = [([1, 3, 5, 7, 9, 11], 13), ([1, 3, 5, 7], 13), ([1, 3, 5, 7, 9, 11], 13)]
    text = typed(bars, "6/8") + " " + "   ".join(["1 2 3 4 5 6"] * 3) + "\n"
    second = read(text, "6/8").measures[1]
    assert not (second.sure and second.onsets[0] > 0)


@pytest.mark.quick
def test_two_measures_of_ten_counted_to_six_do_not_make_the_numbers_eighths() -> None:
    six = " ".join(f"{n} &" for n in range(1, 7))
    four = " ".join(f"{n} &" for n in range(1, 5))
    long = {2, 7}
    bars = [([1 + 2 * n for n in range(count)], 1 + 2 * count) for count in (8, 12)]
    text = typed([bars[n in long] for n in range(10)], "4/4")
    counts = "   " + "   ".join(six if n in long else four for n in range(10))
    measures = read(text + counts + "\n", "4/4").measures
    assert [m.length for m in measures] == [6 if n in long else 4 for n in range(10)]


@pytest.mark.quick
def test_a_count_that_slid_over_the_bar_of_a_pickup_moves_no_other_counts() -> None:
    """The 4 of the last note before a repeat sign stands before the pickup, which is counted 1."""
    eight = [1, 3, 5, 7, 9, 11, 13, 15]
    bars = [(eight, 17), (eight[:7], 15), ([0], 3), (eight, 17), (eight, 17)]
    rows = typed(bars, "4/4").splitlines()
    end = len("d|") + 17 + 1 + 15
    rows = [f"{row[: end - 1]}:{row[end:]}" if row[1:2] == "|" else row for row in rows]
    full = "1 & 2 & 3 & 4 &"
    counts = f"   {full}     1 & 2 & 3 & 4  1 {full}   {full}"
    found = read("\n".join([*rows, counts, ""]), "4/4").measures
    assert [m.onsets for m in (found[0], found[3], found[4])] == [EVEN] * 3
    assert found[1].onsets == EVEN[:7]


@pytest.mark.quick
@pytest.mark.parametrize(
    ("gaps", "onsets"), [((4, 4, 4), "0 1/3 2/3"), ((6, 3, 3), "0 1/2 3/4")], ids=["thirds", "e"]
)
def test_one_and_a_in_a_tune_typed_in_time_is_what_its_columns_say(
    gaps: tuple[int, int, int], onsets: str
) -> None:
    """Twelve characters a quarter note, as the measures show that are counted in one way."""
    plain = [1 + 6 * n for n in range(7)]
    quarters = [1, 13, 25, 37]
    beats = "".join(str(n).ljust(12) for n in (1, 2, 3, 4))
    open_one = [1, 1 + gaps[0], 1 + gaps[0] + gaps[1], *plain[2:]]
    counts = "".join(word.ljust(6) for word in ("1", "&", "2", "&", "3", "&", "4", ""))
    first = "".join(word.ljust(gap) for word, gap in zip("1&a", gaps, strict=True))
    line = f"   {counts}  {beats}  {first}{counts[12:]}  {beats}  {counts}\n"
    bars = [(plain, 49), (quarters, 49), (open_one, 49), (quarters, 49), (plain, 49)]
    found = read(typed(bars, "4/4") + line, "4/4").measures
    assert found[2].onsets == times(f"{onsets} 1 3/2 2 5/2 3")


@pytest.mark.parametrize(
    ("words", "in_fours", "places"),
    [
        (("1", "e", "&", "a"), True, {0, 6, 12, 18}),
        (("1", "E", "&", "A"), True, {0, 6, 12, 18}),
        (("1", "&"), False, {0, 12}),
        (("1", "trip", "let"), True, {0, 8, 16}),
    ],
)
def test_the_words_of_a_tune_say_where_in_a_beat_it_counts(
    words: tuple[str, ...], in_fours: bool, places: set[int]
) -> None:
    """A beat of 24 ticks in four or three parts, by arithmetic; capitals are the same words."""
    known = Words([[(3 * at, word) for at, word in enumerate(words)]] * 3, 24)
    assert known.in_fours is in_fours
    assert set(known.places) == places
