"""Heads whose headings are letters, and names behind a title.

The letters are those of abc notation 2.1, section 3 (information fields; from memory). The rest is
common practice, no source.
"""

from __future__ import annotations

import pytest

import rollstave

ROWS = "E|-0---2---0---|\nA|-------------|\nD|-------------|\nG|-------------|\n"
HEAD = "X: 4\nT: The Ferry Cat\nC: T. Quill\nM: 6/8\nL: 1/8\nQ: 90\nK: Em\nmandolin, GDAE\n\n"


def _score(head: str) -> rollstave.Score:
    (tune,) = rollstave.read(head + ROWS)
    assert not [p for p in tune.problems if p.severity is rollstave.Severity.WARNING]
    return tune.score


def test_letters_for_headings() -> None:
    score = _score(HEAD)
    assert score.title == "The Ferry Cat"
    assert score.composer == "T. Quill"
    assert str(score.meter) == "6/8"
    assert score.tempo is not None
    assert str(score.key) == "E minor"
    assert "L: 1/8" in score.notes
    assert "X: 4" in score.notes


@pytest.mark.parametrize("gone", ["T: The Ferry Cat\n", "M: 6/8\n"])
def test_without_a_title_or_a_time_letters_are_letters(gone: str) -> None:
    head = HEAD.replace(gone, "").replace("K: Em\n", "")
    (tune,) = rollstave.read(head + ROWS)
    assert "L: 1/8" not in tune.score.notes


def test_letters_of_fingers_are_no_headings() -> None:
    head = "The Ferry Cat\nT: thumb\nM: middle\nI: index\n\n"
    rows = "D|-0---|\nB|---0-|\nG|-----|\nD|-----|\ng|-----|\n"
    (tune,) = rollstave.read(head + rows)
    assert tune.score.title == "The Ferry Cat"


@pytest.mark.parametrize(
    ("line", "composer", "arranger"),
    [
        ("The Ferry Cat   /  T. Quill-Marsh", "T. Quill-Marsh", ""),
        ("The Ferry Cat / T. A. Quill", "T. A. Quill", ""),
        ("The Ferry Cat - Mrs. A. Quill", "Mrs. A. Quill", ""),
        ("The Ferry Cat by Tilda Quill", "Tilda Quill", ""),
        ("The Ferry Cat arr. Tilda Quill", "", "Tilda Quill"),
        ("The Ferry Cat / arr. T. Quill", "", "T. Quill"),
    ],
)
def test_names_behind_a_title(line: str, composer: str, arranger: str) -> None:
    score = _score(f"{line}\nTime: 3/4\n\n")
    assert score.title == "The Ferry Cat"
    assert score.composer == composer
    assert dict(score.headings).get("arranger", "") == arranger


@pytest.mark.parametrize(
    "line", ["The Ferry Cat / The Otter", "Cats - Otters", "The A. B. See Rag"]
)
def test_titles_of_two_halves(line: str) -> None:
    (tune,) = rollstave.read(f"{line}\n\n{ROWS}")
    assert tune.score.title == line
