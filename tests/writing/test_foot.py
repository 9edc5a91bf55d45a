"""The typist's words under the music: sentences run on, lines that stand alone stay alone."""

from __future__ import annotations

from pathlib import Path

import rollstave
from rollstave.writing.sheet.foot import paragraphs

SAMPLES = Path(__file__).parents[2] / "samples"


def test_sentences_are_joined_and_headed_by_their_section() -> None:
    (tune,) = rollstave.read(SAMPLES / "nettle-hill.txt")
    assert paragraphs(tune.score) == [
        "NETTLE HILL -- Larkspur Ferry school, book 2, page 14",
        "Sing it once before you play it.",
        "Up the neck: The thumb frets the short string at 7, counted along the long neck, and once "
        "at 10. This strain is ten measures long, not eight. Count it.",
    ]
