"""Which tuning is read where none is named: the evidence, how sure it is, and what else was close.

The tabs have no labels. What their notes sound in each tuning is arithmetic on the table of
tunings; that a chord holds its own tones is common practice, no source.
"""

from __future__ import annotations

import pytest

import rollstave
from rollstave.score.finding import Finding, How

OPEN_G = """
   G               C               G               D
|--0---0---0---0--|--2---2---2---2--|--0---0---0---0--|--0---0---0---0--|
|--0---0---0---0--|--1---1---1---1--|--0---0---0---0--|--3---3---3---3--|
|--0---0---0---0--|--0---0---0---0--|--0---0---0---0--|--2---2---2---2--|
|--0---0---0---0--|--2---2---2---2--|--0---0---0---0--|--0---0---0---0--|
|----0---0---0----|----0---0---0----|----0---0---0----|----0---0---0----|
"""
DOUBLE_C = """
   C               F               C               G
|--2---2---2---2--|--3---3---3---3--|--2---2---2---2--|--0---0---0---0--|
|--0---0---0---0--|--0---0---0---0--|--0---0---0---0--|--2---2---2---2--|
|--0---0---0---0--|--2---2---2---2--|--0---0---0---0--|--0---0---0---0--|
|--0---0---0---0--|--0---0---0---0--|--0---0---0---0--|--2---2---2---2--|
|----0---0---0----|----0---0---0----|----0---0---0----|----0---0---0----|
"""
OPEN_D = """
   D               G               D               A
|--0---0---0---0--|--5---5---5---5--|--0---0---0---0--|--7---7---7---7--|
|--0---0---0---0--|--5---5---5---5--|--0---0---0---0--|--4---4---4---4--|
|--0---0---0---0--|--5---5---5---5--|--0---0---0---0--|--3---3---3---3--|
|--0---0---0---0--|--5---5---5---5--|--0---0---0---0--|--7---7---7---7--|
|----0---0---0----|-----------------|----0---0---0----|-----------------|
"""


def finding(text: str) -> tuple[Finding, str, list[str]]:
    """What is said of the tuning, its short form, and the notices about it."""
    (tune,) = rollstave.read(text)
    found = next(f for f in tune.findings if f.subject == "tuning")
    said = [p.message for p in tune.problems if p.code.startswith("tuning")]
    return found, tune.score.setup.tuning.written, said


@pytest.mark.parametrize(
    ("tab", "written"), [(OPEN_G, "gDGBD"), (DOUBLE_C, "gCGCD"), (OPEN_D, "f#DF#AD")]
)
def test_by_chord_names_against_the_notes(tab: str, written: str) -> None:
    found, chosen, said = finding("Title: Gull Street\n" + tab)
    assert chosen == written
    assert found.how is How.INFERRED
    assert "chord names" in found.reason
    assert "% sure" in found.reason
    assert bool(said) == (written != "gDGBD")  # the usual one needs no notice


@pytest.mark.parametrize(
    ("head", "written"),
    [
        ("Title: Gull Street\n\nThe old singers had it in double C, they say.\n", "gCGCD"),
        ("Title: Gull Street in sawmill tuning\n", "gDGCD"),
    ],
)
def test_by_words_of_the_tune(head: str, written: str) -> None:
    """Words win over notes: the tab fits open G."""
    found, chosen, said = finding(head + OPEN_G)
    assert chosen == written
    assert found.how is How.INFERRED
    assert "words" in found.reason
    assert said
    assert "Tuning:" in said[0]


def test_a_tuning_that_a_sentence_spells_is_declared() -> None:
    found, chosen, _ = finding("Title: Gull Street\n\nPlayed in gCGCD by the harbour.\n" + OPEN_G)
    assert chosen == "gCGCD"
    assert found.how is How.DECLARED


def test_a_mood_is_no_tuning() -> None:
    _, chosen, _ = finding("Title: Gull Street\n\nA modal tune; G is its home.\n" + OPEN_G)
    assert chosen == "gDGBD"


def test_without_any_evidence_the_usual_tuning_is_assumed_and_said() -> None:
    rows = "\n".join(line for line in OPEN_G.split("\n") if "|" in line)
    found, chosen, _ = finding("Title: Gull Street\n\n" + rows + "\n")
    assert chosen == "gDGBD"
    assert found.how is How.ASSUMED


def test_what_else_was_close_is_said() -> None:
    """Only open strings 1, 3 and 4 are struck under G: they sound D and G in open G, C tuning has
    another string 4; sawmill and G minor differ in string 2 alone, which is not struck."""
    tab = """
   G                 G                 G
|--0-------0-------|--0-------0-------|--0-------0-------|
|------------------|------------------|------------------|
|------0-------0---|------0-------0---|------0-------0---|
|----0-------0-----|----0-------0-----|----0-------0-----|
|------------------|------------------|------------------|
"""
    found, chosen, _ = finding("Title: Gull Street\n" + tab)
    assert chosen == "gDGBD"
    assert "sawmill" in found.reason or "G minor" in found.reason


def test_labels_win() -> None:
    rows = DOUBLE_C.strip("\n").split("\n")
    labelled = [rows[0], *(label + row for label, row in zip("DBGDg", rows[1:], strict=True))]
    found, chosen, _ = finding("Title: Gull Street\n\n" + "\n".join(labelled) + "\n")
    assert chosen == "gDGBD"
    assert "label" in found.reason
