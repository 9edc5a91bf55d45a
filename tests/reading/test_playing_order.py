"""How often parts are played, in words for several at once. Common practice, no source."""

from __future__ import annotations

import pytest

import rollstave
from rollstave.deciding.playback import play_order

ROWS = """|---0---0|---0---0|
|-0---0--|-0---0--|
|0---0---|0---2---|
|--------|--------|
|--0---0-|--0---0-|
"""
HEAD = "Ferry Bell\nTuning: gDGBD\nTime: 4/4\n"
PARTS = f"\nA part\n{ROWS}\nB part\n{ROWS}\n"
TWICE = (0, 1, 0, 1, 2, 3, 2, 3)
FIRST_TWICE = (0, 1, 0, 1, 2, 3)


def _order(text: str) -> tuple[int, ...]:
    (tune,) = rollstave.read(text)
    assert not [p for p in tune.problems if p.severity is rollstave.Severity.WARNING]
    return play_order(tune.score.measures)


@pytest.mark.parametrize("where", ["{head}{words}\n{parts}", "{head}{parts}{words}\n"])
@pytest.mark.parametrize(
    ("words", "order"),
    [
        ("AABB", TWICE),
        ("A A B B", TWICE),
        ("play A A B B", TWICE),
        ("Played AABB.", TWICE),
        ("each part twice", TWICE),
        ("Each part is played two times", TWICE),
        ("Each part goes twice.", TWICE),
        ("Play both parts twice", TWICE),
        ("Play A twice, B twice", TWICE),
        ("A twice and B once", FIRST_TWICE),
        ("Form: AAB", FIRST_TWICE),
        ("Play A, then A again, then B", FIRST_TWICE),
        ("A, A, B, then B again and stop.", TWICE),
        ("A x2, B x2", TWICE),
        ("Play the first two bars twice", FIRST_TWICE),
        ("Play each bit twice, I forgot to say", TWICE),
        ("Play the whole thing twice", (0, 1, 2, 3, 0, 1, 2, 3)),
        ("There are four bars; the first two you play twice.", FIRST_TWICE),
        # Words that ask for nothing that repeats can say.
        ("ABAB", (0, 1, 2, 3)),
        ("Play A, B, then back to A and stop.", (0, 1, 2, 3)),
        ("AABBCC", (0, 1, 2, 3)),
        ("I played this twice at the fair", (0, 1, 2, 3)),
        ("A dance for four, twice a year", (0, 1, 2, 3)),
        ("The first two times I heard it I played the bars wrong", (0, 1, 2, 3)),
    ],
)
def test_words_for_several_parts(words: str, order: tuple[int, ...], where: str) -> None:
    assert _order(where.format(head=HEAD, words=words, parts=PARTS)) == order


def test_parts_that_have_names_and_a_first_one_that_has_none() -> None:
    parts = f"\nLow\n{ROWS}\nHigh\n{ROWS}\n"
    assert _order(f"{HEAD}How often: Low twice, High twice\n{parts}") == TWICE
    assert _order(f"{HEAD}Low x2 and high once\n{parts}") == FIRST_TWICE
    assert _order(f"{HEAD}\n{ROWS}\nHigh part\n\n{ROWS}\nEach part twice.\n") == TWICE
    assert _order(f"{HEAD}Down at the ferry I like it low twice over\n{parts}") == (0, 1, 2, 3)


def test_repeats_that_are_typed_are_not_doubled() -> None:
    typed = ROWS.replace("|\n", ":|\n")
    text = f"{HEAD}\nAABB\n\nA part\n{typed}\nB part\n{typed}\n"
    assert _order(text) == TWICE


def test_what_words_asked_for_is_written_and_read_again() -> None:
    (tune,) = rollstave.read(f"{HEAD}AABB\n{PARTS}")
    (text,) = rollstave.write(tune, "text")
    assert _order(text.decode()) == TWICE


@pytest.mark.parametrize(
    "lead", ["second part is", "and then the second part", "Now the B part is"]
)
def test_words_that_lead_on_to_a_part(lead: str) -> None:
    (tune,) = rollstave.read(f"{HEAD}\n{ROWS}\n{lead}\n\n{ROWS}\nEach part goes twice.\n")
    assert [m.index for m in tune.score.measures if m.section] == [2]
    assert play_order(tune.score.measures) == TWICE
    assert lead in tune.score.notes


@pytest.mark.parametrize(
    "words",
    [
        "go back up and do it again, then this:",
        "<-- and play it once more",
        "this also twice",
        "(that part goes twice)",
    ],
)
def test_words_under_a_part_have_it_played_again(words: str) -> None:
    assert _order(f"{HEAD}\n{ROWS}\n{words}\n\nB part\n\n{ROWS}") == FIRST_TWICE


def test_words_behind_a_row_have_it_played_again() -> None:
    rows = ROWS.replace("--0---0-|--0---0-|", "--0---0-|--0---0-|  (this also twice)")
    assert _order(f"{HEAD}\n{rows}\n{ROWS}") == FIRST_TWICE


@pytest.mark.parametrize(
    ("words", "like"),
    [
        ("bars 5, 6 and 7 are the same as 1, 2 and 3. then comes", (0, 1, 2)),
        ("Measures 5-6 as 2-3.", (1, 2)),
        ("(bar 5 = bar 4)", (3,)),
        ("fifth bar: just the same as the first bar", (0,)),
        ("Bars five and six are like bars one and two.", (0, 1)),
        ("The 5th measure is the same as the 3rd.", (2,)),
    ],
)
def test_measures_that_are_as_others_are_added(words: str, like: tuple[int, ...]) -> None:
    (tune,) = rollstave.read(f"{HEAD}\n{ROWS}\n{ROWS}\n{words}\n\n{ROWS}")
    bars = [[e.notes for e in m.events] for m in tune.score.measures]
    assert bars[4:-2] == [bars[i] for i in like]
    assert len(bars) == 4 + len(like) + 2


def test_measures_that_are_typed_are_not_added() -> None:
    for words in ("Bars 3 and 4 are the same as 1 and 2.", "Bar 9 is like bar 1."):
        (tune,) = rollstave.read(f"{HEAD}\n{ROWS}\n{ROWS}\n{words}\n")
        assert len(tune.score.measures) == 4
