"""Repeats told in a teacher's own words, and other last measures. Common practice, no source: the
sentences are those of invented teachers who had not seen this project."""

from __future__ import annotations

import pytest

import rollstave

HEAD = "Gull Ladder\nTuning: gDGBD\nTime: 4/4\n\n"
ROWS = """\
D|-----0-----0---0-|-----0-----0---0-|
B|---0-----0-------|---0-----0-------|
G|-0---------------|-0---------------|
D|-----------------|-----------------|
g|-------0-----0---|-------0-----0---|
"""
ONE = "\n".join(row[: row.index("|", 2) + 1] for row in ROWS.splitlines()) + "\n"


def _order(text: str) -> list[int]:
    """The measures as they are played, from 1."""
    (tune,) = rollstave.read(HEAD + text)
    return [index + 1 for index in rollstave.play_order(tune.score.measures)]


@pytest.mark.parametrize(
    "words",
    [
        "do all that again then the high bit",
        "all of it 2x",
        "(the whole thing 2x)",
        "Now all that again, from the first measure.",
        "Both those lines, twice through.",
    ],
)
def test_what_stands_above_is_played_again(words: str) -> None:
    assert _order(f"{ROWS}\n{ROWS}\n{words}\n\n{ROWS}") == [1, 2, 3, 4, 1, 2, 3, 4, 5, 6]


@pytest.mark.parametrize("words", ["(2x too)", "this one 2x as well", "that bit is twice too."])
def test_what_stands_between_two_such_lines(words: str) -> None:
    text = f"{ROWS}\nall of it 2x\n\n{ROWS}\n{words}\n"
    assert _order(text) == [1, 2, 1, 2, 3, 4, 3, 4]


def test_words_over_the_rows_that_they_speak_of() -> None:
    text = f"{ROWS}\nall of it 2x\nsecond part now, this one 2x as well\n\n{ROWS}"
    assert _order(text) == [1, 2, 1, 2, 3, 4, 3, 4]


@pytest.mark.parametrize(
    ("words", "order"),
    [
        ("Each part is to be repeated.", [1, 2, 1, 2, 3, 4, 3, 4]),
        ("The chorus is sung and played two times.", [1, 2, 3, 4, 3, 4]),
        ("The first part goes round twice.", [1, 2, 1, 2, 3, 4]),
        ("Play the whole thing round again!!", [1, 2, 3, 4, 1, 2, 3, 4]),
        ("Line one is played by itself twice, then the other line once.", [1, 2, 1, 2, 3, 4]),
        ("First line twice, second line twice.", [1, 2, 1, 2, 3, 4, 3, 4]),
        ("Lines 1 to 2 twice.", [1, 2, 3, 4, 1, 2, 3, 4]),
    ],
)
def test_parts_and_lines_by_their_names(words: str, order: list[int]) -> None:
    assert _order(f"Verse\n\n{ROWS}\nChorus\n\n{ROWS}\n{words}\n") == order


def test_go_back_under_the_part() -> None:
    text = f"A:\n{ROWS}\n(go back and play A again)\n\nB:\n{ROWS}"
    assert _order(text) == [1, 2, 1, 2, 3, 4]


@pytest.mark.parametrize(
    "words",
    [
        "Play it three times a day.",
        "She went round it all, every bit of it, three times before her tea.",
        "play each note twice as loud",
        "If you like, play the whole thing again.",
        "play the lot over again, up high",
        "the bar before it once more",
    ],
)
def test_other_words_repeat_nothing(words: str) -> None:
    assert _order(f"{ROWS}\n{ROWS}\n{words}\n") == [1, 2, 3, 4]


@pytest.mark.parametrize(
    "words",
    [
        "then once more from the top, but the last bar of the second go is this:",
        "all of it 2x but second time dont do that last measure do this instead",
    ],
)
def test_another_last_measure(words: str) -> None:
    text = f"{ROWS}\n{words}\n\n{ONE}"
    (tune,) = rollstave.read(HEAD + text)
    assert [m.ending for m in tune.score.measures] == [None, "1", "2"]
    assert _order(text) == [1, 2, 1, 3]
    assert any(p.code == "times" for p in tune.problems)


def test_words_at_the_ends_of_a_repeat() -> None:
    bars = [
        f"Bar {n} (G)  {words}\n{ONE}\n" for n, words in enumerate(("", "start of the repeat"), 1)
    ]
    bars += [f"Bar 3 (D7)  end of the repeat, go back\n{ONE}\n", f"Bar 4 (G)\n{ONE}\n"]
    assert _order("".join(bars)) == [1, 2, 3, 2, 3, 4]


def test_going_on_after_the_second_time_is_no_ending() -> None:
    text = (
        f"{ROWS}\nNow all that again, from the first measure. When you come out of it\n"
        f"the second time go on here:\n\n{ROWS}"
    )
    (tune,) = rollstave.read(HEAD + text)
    assert not any(m.ending for m in tune.score.measures)
    assert _order(text) == [1, 2, 1, 2, 3, 4]


def test_a_part_again_over_its_own_rows_is_written_out() -> None:
    text = f"VERSE\n  G\n{ROWS}\nCHORUS\n  C\n{ROWS}\nVERSE AGAIN\n  G\n{ROWS}"
    (tune,) = rollstave.read(HEAD + text)
    assert len(tune.score.measures) == 6
    assert [m.section for m in tune.score.measures if m.section] == [
        "VERSE",
        "CHORUS",
        "VERSE AGAIN",
    ]


@pytest.mark.parametrize(
    ("words", "order"),
    [
        ("Each of the two lines is played twice before you go on.", [1, 2, 1, 2, 3, 4, 3, 4]),
        ("first line once, but the other line you do two times in a row", [1, 2, 3, 4]),
        ("first two lines once, but the other two lines you do two times in a row", [1, 2, 3, 4]),
        ("(these two bars twice)", [1, 2, 3, 4, 3, 4]),
        ("That strain comes round a second time.", [1, 2, 3, 4, 3, 4]),
        ("Go back to the start once from the end of the first row.", [1, 2, 1, 2, 3, 4]),
    ],
)
def test_lines_counted(words: str, order: list[int]) -> None:
    assert _order(f"First strain\n\n{ROWS}\nSecond strain\n\n{ROWS}{words}\n") == order


def test_the_last_lines_of_several() -> None:
    words = "first two lines once, but the other two lines you do two times in a row"
    text = "\n".join([ROWS] * 4) + f"\n{words}\n"
    assert _order(text) == [1, 2, 3, 4, 5, 6, 7, 8, 5, 6, 7, 8]


def test_endings_by_the_numbers_of_their_measures() -> None:
    text = (
        f"{ROWS}\nSecond part\n\n{ROWS}\n"
        "The second part is repeated; its second bar is for the first time only, the\n"
        "third bar takes its place the second time.\n"
    )
    three = "".join(
        a + b[2:19] + "\n" for a, b in zip(ROWS.splitlines(), ROWS.splitlines(), strict=True)
    )
    (tune,) = rollstave.read(HEAD + text.replace(ROWS, three))
    measures = tune.score.measures
    assert [m.ending for m in measures] == [None, None, None, None, "1", "2"]
    assert [i + 1 for i in rollstave.play_order(measures)] == [1, 2, 3, 4, 5, 4, 6]


def test_a_repeat_in_words_that_nobody_understands_is_said_though_another_is_there() -> None:
    signed = "\n".join(f"{row[0]}|:{row[2:-1]}:|" for row in ROWS.splitlines()) + "\n"
    text = f"{signed}\n{ROWS}\nthat strain two times as in my village\n"
    (tune,) = rollstave.read(HEAD + text)
    (said,) = [p for p in tune.problems if p.code == "not-followed"]
    assert said.place is not None
    assert said.severity is rollstave.Severity.WARNING


def test_another_end_whose_rows_stand_above_the_words() -> None:
    words = (
        "Play the first line, then go back to the start, and the second time leave out\n"
        "the last two measures of that line and take the two on the second line instead."
    )
    two = "".join(f"{a}{a[2:]}\n" for a in ROWS.splitlines())
    (tune,) = rollstave.read(f"{HEAD}{two}\n{ROWS}\n{words}\n")
    measures = tune.score.measures
    assert [i + 1 for i in rollstave.play_order(measures)] == [1, 2, 3, 4, 1, 2, 5, 6]


def test_a_sentence_that_goes_on_in_the_next_line() -> None:
    words = (
        "When you come to the end you go back to the beginning and play all of it once\n"
        "more, and then you stop."
    )
    assert _order(f"{ROWS}\n{ROWS}\n{words}\n") == [1, 2, 3, 4, 1, 2, 3, 4]


def test_how_often_the_whole_is_played_said_before_it_is_no_repeat_and_no_doubt() -> None:
    (tune,) = rollstave.read(f"{HEAD}Three times through for the dancers.\n\n{ROWS}")
    assert len(rollstave.play_order(tune.score.measures)) == 2
    assert not [p for p in tune.problems if p.severity is rollstave.Severity.WARNING]
