"""Fingers of the picking hand that a sentence asks for.

The sentences are invented; what each asks for is in its own words. Without any, the hand plays the
strings by the usual rule (common practice, no source: thumb on 5 and 3, index on 2, middle on 1).
"""

from __future__ import annotations

import pytest

import rollstave

ROWS = """\
D|-------0-------0-|-------2-------2-|
B|---0-------0-----|---1-------1-----|
G|-0-------2-------|-0-------0-------|
D|-----------------|-----------------|
g|-----0-------0---|-----0-------0---|
"""
USUAL = "TITMTITM"


def fingers(*said: str) -> list[str]:
    """The first letters of the fingers of each measure, with each sentence before its system."""
    blocks = "\n\n".join(f"{words}\n\n{ROWS}" for words in said)
    (tune,) = rollstave.read(f"Title: Nettle Hill\nTuning: gDGBD\nKey: G\n\n{blocks}")
    return [
        "".join(n.finger.name[0] for e in m.events for n in e.notes if n.finger is not None)
        for m in tune.score.measures
    ]


@pytest.mark.parametrize(
    ("sentence", "measure"),
    [
        ("Play the first string with your index finger.", "TITITITI"),
        ("Use the middle finger on the third string.", "MITMMITM"),
        ("The thumb takes the Second String all the way through.", "TTTMTTTM"),
        ("Where the measure starts on the third string, let the middle finger sing.", "MITMTITM"),
        ("Softly! Use the middle finger on the third string; the rest as ever.", "MITMMITM"),
    ],
)
def test_a_sentence_asks_for_a_finger(sentence: str, measure: str) -> None:
    assert fingers(sentence) == [measure] * 2


@pytest.mark.parametrize(
    "sentence",
    [
        "",
        "Do not use the index on the first string.",
        "Hold the first string down with the index.",  # of the left hand
        "Use the index or the middle on the third string.",
        "The index plays the first string and the third string.",
        "Rest the thumb. Let the third string ring.",  # two sentences
    ],
)
def test_another_sentence_asks_for_none(sentence: str) -> None:
    assert fingers(sentence) == [USUAL] * 2


def test_at_the_head_it_is_asked_for_in_the_whole_tune() -> None:
    asked = "Play the first string with your index finger."
    assert fingers(asked, "[Part B]", "[Part C]") == ["TITITITI"] * 6
