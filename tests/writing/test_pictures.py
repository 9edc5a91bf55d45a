"""The sheets of the samples and of the stress set look as they did when somebody last looked at
them. A change on purpose: ``python -m tests.writing.pictures FOLDER``, then look at what it draws.
"""

from __future__ import annotations

import pytest

from tests.writing import pictures


@pytest.mark.parametrize("case", pictures.CASES)
def test_a_sheet_looks_as_it_did(case: str) -> None:
    kept = (pictures.FOLDER / f"{case}.txt").read_text(encoding="utf-8")
    assert pictures.summary(case) == kept, (
        "the look of a sheet changed; if that was meant, run "
        "python -m tests.writing.pictures FOLDER and look at the drawings in FOLDER"
    )


def test_every_picture_has_a_tune() -> None:
    assert {p.stem for p in pictures.FOLDER.glob("*.txt")} == set(pictures.CASES)
