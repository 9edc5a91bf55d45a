"""Two headings of a kind: those that agree are no conflict, those that do not are said once.

That open G is gDGBD and double C gCGCD is common practice, no source.
"""

from __future__ import annotations

import pytest

import rollstave

ROWS = """
D|-----0-------0---|
B|---0-------0-----|
G|-0-------0-----0-|
D|-----------------|
g|-------0-------0-|
"""


def _said(*headings: str) -> list[str]:
    (tune,) = rollstave.read("\n".join(("Title: Twice", *headings)) + "\n" + ROWS)
    return [p.message for p in tune.problems if p.code in ("heading-twice", "tuning")]


@pytest.mark.parametrize(
    "headings",
    [
        ("Tuning: open G", "Tuning: gDGBD"),
        ("Tuning: gDGBD", "Tuned to open G (g D G B D)"),
        ("Key: G", "Key: G major"),
        ("Time: 4/4", "Time: common time"),
        ("Source: book 2", "Source: book 2, page 14"),
    ],
)
def test_two_headings_that_agree_are_no_conflict(headings: tuple[str, str]) -> None:
    assert _said(*headings) == []


@pytest.mark.parametrize(
    "headings",
    [
        ("Tuning: open G", "Tuning: gCGBD"),
        ("Key: G", "Key: G minor"),
        ("Time: 4/4", "Time: 3/4"),
    ],
)
def test_two_that_differ_are_said_with_the_one_that_counts(headings: tuple[str, str]) -> None:
    (said,) = _said(*headings)
    first = headings[0].partition(": ")[2]
    assert f"the first one ({first!r}, line 2) counts" in said


def test_a_tuning_that_is_understood_counts_before_a_word_that_is_not() -> None:
    (tune,) = rollstave.read("Title: Twice\nTuning: mountain\nTuning: gDGBD\n" + ROWS)
    assert tune.score.setup.tuning.written == "gDGBD"
    assert [p for p in tune.problems if p.code in ("heading-twice", "tuning")] == []


def test_a_second_source_is_kept_as_a_remark() -> None:
    (tune,) = rollstave.read("Title: Twice\nSource: Hob\nSource: the archive\n" + ROWS)
    assert dict(tune.score.said)["source"] == "Hob"
    assert "Source: the archive" in tune.score.notes


def test_letters_of_strings_behind_tune_are_the_tuning() -> None:
    rows = "\n".join(f"{name}|-0---0---0-------|" for name in "DBGCg")
    (tune,) = rollstave.read(f"Title: Pitch and Tow\ntune: gCGBD\n\n{rows}\n")
    assert tune.score.title == "Pitch and Tow"
    assert tune.score.setup.tuning.written == "gCGBD"
    assert "heading-twice" not in {p.code for p in tune.problems}
