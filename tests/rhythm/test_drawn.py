"""Stems, beams, flags and dots drawn in characters win over what columns and hands say.

What a stem, a flag, a beam, a dot and a 3 in a beam mean: common practice, no source. The onsets
are counted by hand.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

import rollstave
from rollstave.instruments.table import FIVE_STRING_BANJO
from rollstave.problems import ProblemList
from rollstave.reading.beside.stems import stems_of
from rollstave.reading.reader import read_grid
from rollstave.rhythm import Meter, RhythmReading, Source, infer_rhythm


def read(text: str, meter: Meter | None = None) -> RhythmReading:
    problems = ProblemList()
    (tune,) = read_grid(text, FIVE_STRING_BANJO, problems)
    assert problems.sorted() == ()
    return infer_rhythm(tune.measures, meter or Meter(4, 4))


def measure(gap: int, count: int) -> str:
    strings = [(3, 2, 5, 1)[i % 4] for i in range(count)]
    rows = [["-"] * (1 + gap * count) for _ in range(5)]
    for i, string in enumerate(strings):
        rows[string - 1][1 + gap * i] = "0"
    return "\n".join(f"{n}|{''.join(r)}|" for n, r in zip("DBGDg", rows, strict=True)) + "\n"


# Four columns a note: the first stands at character 3 (after label and bar), then 7, 11, 15 ...
@pytest.mark.parametrize(
    ("count", "drawn", "wanted"),
    [
        (5, "   |   |___|   |   |", "0 1 3/2 2 3"),
        (5, "   |   |---|   |   |", "0 1 3/2 2 3"),
        (5, "   |   |   |   |   |\n   |   |___|   |   |", "0 1 3/2 2 3"),
        (5, "   |   |\\  |\\  |   |", "0 1 3/2 2 3"),
        (5, "   |   |'  |'  |   |", "0 1 3/2 2 3"),
        (4, "   |.  |\\  |   |", "0 3/2 2 3"),
        (7, "   |   |===|===|===|   |   |", "0 1 5/4 3/2 7/4 2 3"),
        (7, "   |   |___|___|___|   |   |\n   |   |___|___|___|   |   |", "0 1 5/4 3/2 7/4 2 3"),
        (6, "   |_3_|_3_|   |   |   |", "0 1/3 2/3 1 2 3"),
        # A dotted eighth and a sixteenth: the second beam is short.
        (5, "   |___|   |   |   |\n   |. _|   |   |   |", "0 3/4 1 2 3"),
        # No stem: a half note, what the others leave.
        (3, "   |   |", "0 1 2"),
    ],
)
def test_drawn_under_notes(count: int, drawn: str, wanted: str) -> None:
    for text in (measure(4, count) + drawn + "\n", drawn + "\n" + measure(4, count)):
        (read_measure,) = read(text).measures
        assert " ".join(str(o) for o in read_measure.onsets) == wanted
        assert read_measure.source is Source.WRITTEN
        assert read_measure.sure
        assert "the stems and beams say so" in read_measure.reasons


def test_squeezed_notes_get_what_is_drawn() -> None:
    """Two columns a note, where beams are one character long."""
    (read_measure,) = read(measure(2, 6) + "   | |_| |_| |\n").measures
    assert [str(o) for o in read_measure.onsets] == ["0", "1", "3/2", "2", "5/2", "3"]


def test_bars_drawn_on_under_a_system_are_no_stems() -> None:
    text = measure(4, 4) + " |" + " " * 17 + "|\n"
    (read_measure,) = read(text).measures
    assert read_measure.source is not Source.WRITTEN


def test_too_many_quarters_are_not_obeyed() -> None:
    """Eight bare stems in 4/4 are eight notes, not eight quarters."""
    (read_measure,) = read(measure(2, 8) + "   " + "| " * 8 + "\n").measures
    assert read_measure.source is not Source.WRITTEN
    assert read_measure.length == 4


def test_beams_of_dashes_are_no_row() -> None:
    text = measure(4, 8) + "   |---|   |---|   |---|   |---|\n"
    (tune,) = rollstave.read(f"Time: 4/4\n\n{text}")
    (only,) = tune.score.measures
    assert [e.onset for e in only.events] == [Fraction(n, 2) for n in range(8)]


def test_four_lines_of_stems_are_no_rows() -> None:
    """Lines of stems and beams, with a 3 in one of them, stand together like the rows of a tab
    that is typed with underscores."""
    drawn = [
        "   |  |  |  |  |  |  |  |",
        "   |__|  |__|  |_3|_3|  |\\",
        "     _|    _|  |__|__|",
        "   |.    |.",
    ]
    (read_measure,) = read(measure(3, 8) + "\n".join(drawn) + "\n", Meter(3, 4)).measures
    assert " ".join(str(o) for o in read_measure.onsets) == "0 3/4 1 7/4 2 13/6 7/3 5/2"
    assert read_measure.source is Source.WRITTEN


def test_lines_of_stems_that_end_as_the_rows_do_keep_their_last_stem() -> None:
    stems = "   |___|   |___|   |___|   |___|\n   |___|   |___|   |___|   |___|\n"
    text = "\n".join([measure(4, 8) + stems] * 3)
    found = read(text, Meter(2, 4)).measures
    expected = tuple(Fraction(n, 4) for n in range(8))
    assert [m.onsets for m in found] == [expected] * 3
    assert all(m.source is Source.WRITTEN for m in found)


def test_a_d_among_stems_is_a_half_note_and_says_the_time() -> None:
    typed = """D|-0----2--4--0--|-5--------0--|
B|---------------|-------------|
G|---------------|-------------|
D|---------------|-------------|
g|---------------|-------------|
   d    |__|  |    d.       |
"""
    (tune,) = rollstave.read(f"Title: Tar\n\n{typed}")
    assert [[e.onset for e in m.events] for m in tune.score.measures] == [
        [0, 2, Fraction(5, 2), 3],
        [0, 3],
    ]
    assert str(tune.score.meter) == "4/4"


def test_the_label_of_a_row_is_no_half_note() -> None:
    assert stems_of("   d   |   |") == [("d", 3), ("|", 7), ("|", 11)]
    for row in ("d |   |   |", "d|   |   |"):
        assert "d" not in [text for text, _ in stems_of(row) or ()]
