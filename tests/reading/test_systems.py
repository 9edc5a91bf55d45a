"""Systems, bars, endings, and what stands over and under the rows."""

from __future__ import annotations

import re

import pytest

import rollstave
from rollstave.grid.typed import Bar, GridMeasure, LineKind, Link, SlideEdge, Stroke

ROLL = (
    "-------0-------0-",
    "---0-------0-----",
    "-0---------------",
    "---------0-------",
    "-----0-------0---",
)


def tune(text: str) -> rollstave.Tune:
    (found,) = rollstave.read(text)
    return found


def system(*measures: tuple[str, ...], labels: str = "DBGDg", bar: str = "|") -> str:
    """Rows of measures with labels."""
    return "\n".join(
        (labels[row] if labels else "") + bar + bar.join(m[row] for m in measures) + bar
        for row in range(5)
    )


@pytest.mark.parametrize(
    "labels",
    [
        ["D|", "B|", "G|", "D|", "g|"],
        ["d|", "b|", "g|", "d|", "g|"],
        ["D:|", "B:|", "G:|", "D:|", "g:|"],
        ["d:", "b:", "g:", "d:", "g:"],
        ["D ", "B ", "G ", "D ", "g "],
        ["D |", "B |", "G |", "D |", "g |"],
        ["|", "|", "|", "|", "|"],
        ["", "", "", "", ""],
    ],
)
def test_labels(labels: list[str]) -> None:
    text = "\n".join(label + row + "|" for label, row in zip(labels, ROLL, strict=True))
    found = tune(f"Tuning: gDGBD\n\n{text}\n")
    (measure,) = found.grid.measures
    # Strings are numbered from the top line (common practice).
    assert [c.strings for c in measure.columns] == [(3,), (2,), (5,), (1,), (4,), (2,), (5,), (1,)]


def _bars(text: str) -> list[tuple[Bar, Bar]]:
    return [(m.left, m.right) for m in tune(text).grid.measures]


def test_bars() -> None:
    rows = [f"{label}|:{r}|{r}:|{r}||" for label, r in zip("DBGDg", ROLL, strict=True)]
    found = _bars("\n".join(rows))
    assert found[0][0] is Bar.REPEAT_START
    assert found[1][1] is Bar.REPEAT_END
    assert found[2][1] is Bar.DOUBLE
    assert found[0][1] is Bar.SINGLE


def test_repeat_dots_on_two_rows_only() -> None:
    # Typists often put the dots where a printer does: on the second and fourth rows.
    rows = []
    for index, (label, r) in enumerate(zip("DBGDg", ROLL, strict=True)):
        rows.append(f"{label}|:{r}:|" if index in (1, 3) else f"{label}|-{r}-|")
    ((left, right),) = _bars("\n".join(rows))
    assert (left, right) == (Bar.REPEAT_START, Bar.REPEAT_END)
    (measure,) = tune("\n".join(rows)).grid.measures
    assert len(measure.columns) == 8


@pytest.mark.parametrize("number", [1, 2, 5])
def test_any_number_of_systems(number: int) -> None:
    text = "\n\n".join([system(ROLL, ROLL)] * number)
    found = tune(text)
    assert len(found.score.measures) == 2 * number
    assert [m.system for m in found.grid.measures] == [i // 2 for i in range(2 * number)]


@pytest.mark.parametrize(
    ("over", "first", "second"),
    [
        ("                    1.                2.", "1", "2"),
        ("                    [1                [2", "1", "2"),
        ("                    |1.---------------|2.--", "1", "2"),
        ("                    1st               2nd", "1", "2"),
        ("                    1,2.              3.", "1,2", "3"),
    ],
)
def test_endings(over: str, first: str, second: str) -> None:
    rows = [f"{label}|:{r}|{r}:|{r}||" for label, r in zip("DBGDg", ROLL, strict=True)]
    found = tune(over + "\n" + "\n".join(rows)).score.measures
    assert [m.in_ending for m in found] == [None, first, second]
    assert [m.ending_stop for m in found] == [False, True, True]


@pytest.mark.parametrize(
    ("typed", "name"),
    [
        ("A part", "A part"),
        ("Part B", "Part B"),
        ("[B]", "B"),
        ("Chorus", "Chorus"),
        ("CHORUS", "CHORUS"),
        ("Verse 2:", "Verse 2"),
        ("Second strain", "Second strain"),
        ("B", "B"),
    ],
)
def test_sections(typed: str, name: str) -> None:
    found = tune(f"Title: Two Oars\n\n{system(ROLL)}\n\n{typed}\n\n{system(ROLL)}\n")
    assert [m.section for m in found.score.measures] == [None, name]
    assert found.score.notes == ()


def _attached(measure: GridMeasure, kind: LineKind) -> list[tuple[str, int | None]]:
    return [(a.text, a.column) for a in measure.attached(kind)]


def test_chords_stand_at_columns() -> None:
    over = "   G       C       D7/F#   Em"
    first, second = tune(f"Key: G\n\n{over}\n{system(ROLL, ROLL)}\n").grid.measures
    assert _attached(first, LineKind.CHORDS) == [("G", 0), ("C", 4)]
    assert [a.text for a in second.attached(LineKind.CHORDS)] == ["D7/F#", "Em"]
    # Columns of the second measure start at index 20 of the line: 27 is under the last but four.
    assert second.attached(LineKind.CHORDS)[1].column == 3


def test_picking_letters_stand_at_columns() -> None:
    under = "   T I T M T I T M   M I T I M I T I"
    first, second = tune(f"{system(ROLL, ROLL)}\n{under}\n").grid.measures
    assert _attached(first, LineKind.PICKING) == list(zip("TITMTITM", range(8), strict=True))
    assert [a.text for a in second.attached(LineKind.PICKING)] == list("MITIMITI")


def test_a_letter_under_nothing_is_reported() -> None:
    under = "   T   T   T   T T"
    rows = [r[:9] + "-" * 8 for r in ROLL]
    found = tune(f"{system(tuple(rows))}\n{under}\n")
    stray = [p for p in found.problems if p.code == "stray"]
    assert len(stray) == 3
    assert all(p.place and p.place.line == 6 for p in stray)
    assert [p.place.column for p in stray if p.place] == [12, 16, 18]


@pytest.mark.parametrize("where", ["over", "under"])
def test_counts_stand_at_columns(where: str) -> None:
    counts = "   1 & 2 & 3 & 4 &"
    lines = [counts, system(ROLL)] if where == "over" else [system(ROLL), counts]
    (measure,) = tune("Key: G\n\n" + "\n".join(lines) + "\n").grid.measures
    assert _attached(measure, LineKind.COUNTS) == list(zip("1&2&3&4&", range(8), strict=True))


def test_lyrics_stand_at_columns() -> None:
    under = "   Row    har- bour  boat"
    (measure, _) = tune(f"{system(ROLL, ROLL)}\n{under}\n").grid.measures
    found = _attached(measure, LineKind.LYRICS)
    assert [text for text, _ in found][:3] == ["Row", "har-", "bour"]
    assert found[0][1] == 0


# Frets and signs -------------------------------------------------------------------------------


def strokes(row: str, string: int = 1) -> list[Stroke]:
    """The strokes of one row that is typed among rows with a few open notes."""
    rows = ["-" * len(row)] * 5
    rows[string - 1] = row
    rows[2 if string != 3 else 1] = "-0" + "-" * (len(row) - 2)
    text = "\n".join(f"{label}|{r}|" for label, r in zip("DBGDg", rows, strict=True))
    (found,) = rollstave.read(f"Tuning: gDGBD\n{text}\n")
    return [
        s for m in found.grid.measures for c in m.columns for s in c.strokes if s.string == string
    ]


@pytest.mark.parametrize(
    ("row", "frets"),
    [
        ("-0---2---3---5---", [0, 2, 3, 5]),
        ("-10--12--9---22--", [10, 12, 9, 22]),
        ("-12--------------", [12]),
        ("-7---10--7---10--", [7, 10, 7, 10]),
    ],
)
def test_frets_of_one_or_two_digits(row: str, frets: list[int]) -> None:
    assert [s.fret for s in strokes(row)] == frets


@pytest.mark.parametrize(
    ("sign", "link"),
    [
        ("h", Link.HAMMER_ON),
        ("H", Link.HAMMER_ON),
        ("p", Link.PULL_OFF),
        ("P", Link.PULL_OFF),
        ("s", Link.SLIDE),
        ("/", Link.SLIDE),
        ("\\", Link.SLIDE),
    ],
)
@pytest.mark.parametrize("gap", ["", "-"])
def test_links(sign: str, link: Link, gap: str) -> None:
    # Common practice: h hammer-on, p pull-off, s, / and \ slides.
    first, second = strokes(f"-2{sign}{gap}4---------{'' if gap else '-'}")
    assert (first.fret, first.link, second.fret, second.link) == (2, None, 4, link)


def test_a_link_over_the_bar() -> None:
    rows = [list(ROLL), list(ROLL)]
    rows[0][0], rows[1][0] = "-------0-------0h", "-2---------------"
    found = tune(system(tuple(rows[0]), tuple(rows[1])))
    last = [s for c in found.grid.measures[1].columns for s in c.strokes if s.string == 1]
    assert [(s.fret, s.link) for s in last] == [(2, Link.HAMMER_ON)]


def test_signs_on_a_fret() -> None:
    # Common practice: b or ^ bend, ~ vibrato, <12> or 12* harmonic, () ghost, x muted.
    found = strokes("-5b--7^--3~--x---<12>--7*--(5)---")
    assert [s.fret for s in found] == [5, 7, 3, None, 12, 7, 5]
    assert [s.bend is not None for s in found] == [True, True, *[False] * 5]
    assert [s.vibrato for s in found] == [False, False, True, *[False] * 4]
    assert [s.muted for s in found] == [False] * 3 + [True] + [False] * 3
    assert [s.harmonic for s in found] == [False] * 4 + [True, True, False]
    assert [s.ghost for s in found] == [False] * 6 + [True]


def test_slides_from_and_to_nowhere() -> None:
    first, second = strokes("/5---------7--\\-----")
    assert first.slide_from is SlideEdge.UP
    assert second.slide_to is SlideEdge.DOWN


def test_several_strings_in_a_column() -> None:
    rows = (
        "-0-----10--------",
        "-1-----8---------",
        "-0-----9---------",
        "-2---------------",
        "-----0-----------",
    )
    (measure,) = tune(f"Tuning: gDGBD\n{system(rows)}\n").grid.measures
    assert [c.strings for c in measure.columns] == [(1, 2, 3, 4), (5,), (1, 2, 3)]


def test_one_digit_under_the_second_of_two() -> None:
    # Typists align a one-digit fret with either digit of a two-digit one.
    rows = (
        "-10--------------",
        "--8--------------",
        "-9---------------",
        "-----------------",
        "-----0-----------",
    )
    (measure,) = tune(f"Tuning: gDGBD\n{system(rows)}\n").grid.measures
    assert [c.strings for c in measure.columns] == [(1, 2, 3), (5,)]


def test_places_are_where_the_frets_are_typed(sample_name: str) -> None:
    from tests.tunes import SAMPLES, sample

    path = next(p for p in SAMPLES if p.stem == sample_name)
    lines = path.read_text(encoding="utf-8").splitlines()
    for measure in sample(sample_name).score.measures:
        for event in measure.events:
            for note in event.notes:
                typed = lines[note.place.line - 1][note.place.column - 1 :]
                shown = "x" if note.fret is None else str(note.fret)
                assert typed.lower().startswith(shown)


def test_no_fret_of_a_sample_is_lost(sample_name: str) -> None:
    """Every number in the rows of a sample is a note of the score; counted from the text."""
    from tests.tunes import SAMPLES, sample

    path = next(p for p in SAMPLES if p.stem == sample_name)
    typed = 0
    for line in path.read_text(encoding="utf-8").splitlines():
        if line.count("-") >= 3 and "|" in line and re.match(r"\s*[A-Ga-g]?\s*:?\|", line):
            typed += len(re.findall(r"\d+|x", line.split("|", 1)[1]))
    notes = [n for m in sample(sample_name).score.measures for e in m.events for n in e.notes]
    assert len(notes) == typed
