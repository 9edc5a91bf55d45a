"""A system whose notes all stand a column farther right. Common practice, no source."""

from __future__ import annotations

from fractions import Fraction

import pytest

import rollstave

HEAD = "Title: The Otter\nTuning: gDGBD\nTime: 4/4\n\n"
USUAL = (
    "-----0-------0---",
    "---0-------0-----",
    "-0-------0-------",
    "-----------------",
    "-------0-------0-",
)


def _system(rows: tuple[str, ...], by: int = 0) -> str:
    moved = [("-" * by + row)[: len(row)] for row in rows]
    return "".join(f"|{row}|{row}|\n" for row in moved) + "\n"


def _onsets(text: str) -> tuple[list[list[Fraction]], rollstave.Tune]:
    (tune,) = rollstave.read(HEAD + text)
    return [[e.onset for e in m.events if e.notes] for m in tune.score.measures], tune


@pytest.mark.parametrize("after", [0, 1, 2])
def test_notes_that_stand_between_the_places(after: int) -> None:
    systems = [_system(USUAL)] * 3
    systems[after] = _system(USUAL, 1)
    found, tune = _onsets("".join(systems))
    assert found == [[Fraction(i, 2) for i in range(8)]] * 6
    (said,) = [p for p in tune.problems if p.code == "leads"]
    assert said.place is not None
    assert said.place.line == 5 + 6 * after


def test_the_second_half_of_every_beat_is_meant() -> None:
    beats = ("-0---0---0---0---", *["-" * 17] * 4)
    found, tune = _onsets(_system(beats) * 2 + _system(beats, 2))
    assert found[-1] == [Fraction(2 * i + 1, 2) for i in range(4)]
    assert not [p for p in tune.problems if p.code == "leads"]


def test_dense_typing_of_the_second_half_is_meant() -> None:
    beats = ("0-0-0-0-", *["--------"] * 4)
    found, _ = _onsets(_system(beats) * 2 + _system(beats, 1))
    assert found[-1] == [Fraction(2 * i + 1, 2) for i in range(4)]


def test_a_system_that_begins_with_a_rest() -> None:
    late = tuple(row[:1] + "--" + row[3:] if row[1] == "0" else row for row in USUAL)
    found, tune = _onsets(_system(USUAL) * 2 + _system(late))
    assert found[-1] == [Fraction(i, 2) for i in range(1, 8)]
    assert not [p for p in tune.problems if p.code == "leads"]
