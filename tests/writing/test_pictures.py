"""The sheets of the samples and of the stress set look as they did when somebody last looked at
them. A change on purpose: ``python -m tests.writing.pictures FOLDER``, then look at what it draws.
"""

from __future__ import annotations

from pathlib import Path

import pytest

import rollstave
from tests.writing import pictures

SAMPLES = Path(__file__).parents[2] / "samples"
SHEETS = sorted((SAMPLES / "sheets").glob("*.svg"))
OTHERS = sorted(p for p in (SAMPLES / "plugins").glob("*.svg") if p.with_suffix(".txt").exists())
# The drawings that the README shows, by the tune that each is of.
SHOWN = {p: SAMPLES / f"{p.stem.rstrip('-0123456789')}.txt" for p in SHEETS}
SHOWN |= {p: p.with_suffix(".txt") for p in OTHERS}


@pytest.mark.parametrize("case", pictures.CASES)
def test_a_sheet_looks_as_it_did(case: str) -> None:
    kept = (pictures.FOLDER / f"{case}.txt").read_text(encoding="utf-8")
    assert pictures.summary(case) == kept, (
        "the look of a sheet changed; if that was meant, run "
        "python -m tests.writing.pictures FOLDER and look at the drawings in FOLDER"
    )


def test_every_picture_has_a_tune() -> None:
    assert {p.stem for p in pictures.FOLDER.glob("*.txt")} == set(pictures.CASES)


@pytest.mark.parametrize("drawing", SHOWN, ids=lambda path: f"{path.parent.name}-{path.stem}")
def test_the_drawings_of_the_samples_are_what_is_drawn(drawing: Path) -> None:
    (tune,) = rollstave.read(SHOWN[drawing])
    assert drawing.read_bytes() in rollstave.write(tune, "svg"), (
        "draw it anew: rollstave convert TUNE --to svg --out FOLDER"
    )
