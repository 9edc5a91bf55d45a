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
        ("Play both parts twice", TWICE),
        ("Play A twice, B twice", TWICE),
        ("A twice and B once", FIRST_TWICE),
        ("Form: AAB", FIRST_TWICE),
        ("A x2, B x2", TWICE),
        ("Play the first two bars twice", FIRST_TWICE),
        ("There are four bars; the first two you play twice.", FIRST_TWICE),
        # Words that ask for nothing that repeats can say.
        ("ABAB", (0, 1, 2, 3)),
        ("AABBCC", (0, 1, 2, 3)),
        ("I played this twice at the fair", (0, 1, 2, 3)),
        ("A dance for four, twice a year", (0, 1, 2, 3)),
        ("The first two times I heard it I played the bars wrong", (0, 1, 2, 3)),
    ],
)
def test_words_for_several_parts(words: str, order: tuple[int, ...], where: str) -> None:
    assert _order(where.format(head=HEAD, words=words, parts=PARTS)) == order


def test_repeats_that_are_typed_are_not_doubled() -> None:
    typed = ROWS.replace("|\n", ":|\n")
    text = f"{HEAD}\nAABB\n\nA part\n{typed}\nB part\n{typed}\n"
    assert _order(text) == TWICE


def test_what_words_asked_for_is_written_and_read_again() -> None:
    (tune,) = rollstave.read(f"{HEAD}AABB\n{PARTS}")
    (text,) = rollstave.write(tune, "text")
    assert _order(text.decode()) == TWICE
