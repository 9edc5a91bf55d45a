"""The letter of a rest among dashes: the note before it ends there, in the score and in text again.

The tab is invented; that ``r`` is a rest is common practice, no source.
"""

from __future__ import annotations

import pytest

import rollstave

COUNTED = """Time: 4/4

D|-0---r---2-------|
B|-----------------|
G|-----------------|
D|-----------------|
g|-----------------|
   1   2   3   4
"""
LETTERED = COUNTED.replace("1   2   3   4", "q   q   h")
BARE = COUNTED.replace("   1   2   3   4\n", "")


def times(text: str) -> list[tuple[int, int, bool]]:
    (tune,) = rollstave.read(text)
    (measure,) = tune.score.measures
    return [(int(e.onset), int(e.duration), bool(e.notes)) for e in measure.events]


@pytest.mark.parametrize("text", [COUNTED, LETTERED, BARE], ids=["counts", "letters", "nothing"])
def test_a_note_ends_at_the_letter(text: str) -> None:
    assert times(text) == [(0, 1, True), (1, 1, False), (2, 2, True)]


def test_a_rest_after_the_last_note() -> None:
    assert times(COUNTED.replace("r---2", "----2").replace("2-------", "2---r---")) == [
        (0, 2, True), (2, 1, True), (3, 1, False)
    ]  # fmt: skip


@pytest.mark.parametrize("text", [COUNTED, LETTERED])
def test_it_is_typed_again(text: str) -> None:
    (tune,) = rollstave.read(text)
    again = rollstave.write(tune, "text")[0].decode()
    assert "r" in again.split("\n\n")[1].splitlines()[0]
    assert times(again) == times(text)


def test_a_bent_string_does_not_hold_the_letter() -> None:
    """``7b--r`` says that the bend is released."""
    (tune,) = rollstave.read(COUNTED.replace("-0---r", "-7b--r").replace("B|-----", "B|-----r"))
    (again,) = rollstave.read(rollstave.write(tune, "text")[0].decode())
    assert [bool(e.notes) for e in again.score.measures[0].events] == [
        bool(e.notes) for e in tune.score.measures[0].events
    ]
