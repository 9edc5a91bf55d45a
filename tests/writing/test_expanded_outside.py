"""Repeats, endings and jumps of what is written, played out by music21 10 and partitura 1.

The order of measures is worked out by hand (common practice: after a jump, repeats are not made
again and last endings are taken; a repeat without a sign where it begins goes back to the end of
the repeat before). Each measure of these invented tunes has a pitch of its own, so that what is
heard says which measure it is.

Three things these libraries do not do, read in their source: music21 does not take the endings of
a tune that also has a jump; partitura does not look at ``times``, and goes on past a D.C. or D.S.
after which a coda stands.
"""

from __future__ import annotations

import warnings
from pathlib import Path

import pytest
from music21 import converter

import rollstave

FRETS = (0, 2, 3, 5, 7, 9, 10, 12, 14)
ORDERS: dict[str, tuple[str, list[int]]] = {
    "D.C.": ("|a|b|c|| D.C.", [1, 2, 3, 1, 2, 3]),
    "D.C. al Fine": ("|a|b| Fine\n|c|d|| D.C. al Fine", [1, 2, 3, 4, 1, 2]),
    "D.S. al Fine": ("|a|\nSegno\n|b|c| Fine\n|d|e|| D.S. al Fine", [1, 2, 3, 4, 5, 2, 3]),
    "D.C. al Coda": (
        "|a|b| To Coda\n|c|d|| D.C. al Coda\nCoda\n|e|f||",
        [1, 2, 3, 4, 1, 2, 5, 6],
    ),
    "D.S. al Coda": (
        "|a|\nSegno\n|b|c| To Coda\n|d|e|| D.S. al Coda\nCoda\n|f|g||",
        [1, 2, 3, 4, 5, 2, 3, 6, 7],
    ),
    "repeats and D.C.": ("|:a|b:|\n|:c|d:| D.C.", [1, 2, 1, 2, 3, 4, 3, 4, 1, 2, 3, 4]),
    "repeats and Fine": (
        "|:a|b:| Fine\n|:c|d:| D.C. al Fine",
        [1, 2, 1, 2, 3, 4, 3, 4, 1, 2],
    ),
    "endings": ("|:a|1b:|2c||", [1, 2, 1, 3]),
    "three endings": ("|:a|1b:|2c:|3d||", [1, 2, 1, 3, 1, 4]),
    "endings of many turns": ("|:a|1,2b:|3c||", [1, 2, 1, 2, 1, 3]),
    "endings twice": ("|:a|1b:|2c||\n|:d|1e:|2f||", [1, 2, 1, 3, 4, 5, 4, 6]),
    "long endings": ("|:a|1b|c:|2d|e||", [1, 2, 3, 1, 4, 5]),
    "endings and Fine": (
        "|:a|1b:|2c|| Fine\n|d|e|| D.C. al Fine",
        [1, 2, 1, 3, 4, 5, 1, 3],
    ),
    "three times": ("|:a|b:| Play 3 times\n|c|d||", [1, 2, 1, 2, 1, 2, 3, 4]),
    "without signs": ("|a|b:|c|\n|d|e:|", [1, 2, 1, 2, 3, 4, 5, 3, 4, 5]),
    "begins later": ("|a|b|:c|d:|", [1, 2, 3, 4, 3, 4]),
}
NOT_BY_MUSIC21 = ("endings and Fine",)
NOT_BY_PARTITURA = ("D.C. al Coda", "D.S. al Coda", "three times")


def typed(form: str) -> str:
    """Rows of a tune from its form: a letter for each measure, after it the bar, before it the
    number of an ending; words behind the last bar stand under the rows, others over them."""
    lines = ["Tuning: gDGBD", "Time: 4/4", ""]
    number = 0
    for system in form.split("\n"):
        if "|" not in system:
            lines += ["", system]
            continue
        bars, _, words = system.partition(" ")
        rows, over = [f"{label}" for label in "DBGDg"], ""
        text = bars
        while text:
            bar = text[: len(text) - len(text.lstrip("|:"))]
            text = text[len(bar) :]
            rows = [row + bar for row in rows]
            cell = text[: len(text) - len(text.lstrip("0123456789,")) + 1] if text else ""
            text = text[len(cell) :]
            if cell:
                over = over.ljust(len(rows[0])) + (f"{cell[:-1]}." if cell[:-1] else "")
                notes = "".join(f"-{FRETS[number]}".ljust(4, "-") for _ in range(4)) + "-"
                rows = [row + (notes if n == 0 else "-" * 17) for n, row in enumerate(rows)]
                number += 1
        lines += [over] * bool(over.strip()) + rows + [""] + ([words, ""] if words else [])
    return "\n".join(lines) + "\n"


def written(name: str) -> bytes:
    (tune,) = rollstave.read(typed(ORDERS[name][0]))
    return rollstave.write(tune, "musicxml")[0]


def measures_of(pitches: list[int]) -> list[int]:
    """The measures that sound these pitches, four notes each; string 1 is D4, number 62."""
    return [FRETS.index(pitch - 62) + 1 for pitch in pitches[::4]]


@pytest.mark.parametrize("name", [n for n in ORDERS if n not in NOT_BY_MUSIC21])
def test_music21_plays_the_measures_in_their_order(name: str) -> None:
    part = converter.parseData(written(name)).parts[0].expandRepeats()
    assert measures_of([n.pitch.midi for n in part.flatten().notes]) == ORDERS[name][1]


@pytest.mark.parametrize("name", [n for n in ORDERS if n not in NOT_BY_PARTITURA])
def test_partitura_plays_the_measures_in_their_order(name: str, tmp_path: Path) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import partitura

        file = tmp_path / "tune.musicxml"
        file.write_bytes(written(name))
        (part,) = partitura.load_musicxml(str(file)).parts
        played = partitura.score.unfold_part_maximal(part, ignore_leaps=False)
    notes = sorted((n for n in played.notes_tied if n.staff == 1), key=lambda n: n.start.t)
    assert measures_of([n.midi_pitch for n in notes]) == ORDERS[name][1]


@pytest.mark.parametrize("name", ORDERS)
def test_what_was_written_is_read_again_with_its_signs(name: str) -> None:
    (tune,) = rollstave.read(typed(ORDERS[name][0]))
    (again,) = rollstave.read(rollstave.write(tune, "musicxml")[0])
    assert [m.left for m in again.score.measures][1:] == [
        rollstave.Bar.REPEAT_START if m.left is rollstave.Bar.REPEAT_START else found.left
        for m, found in zip(tune.score.measures, again.score.measures, strict=True)
    ][1:]
    assert rollstave.write(again, "musicxml") == rollstave.write(tune, "musicxml")
