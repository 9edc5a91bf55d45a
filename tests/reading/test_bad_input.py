"""What is wrong is said with its place and with what would be right; warnings still convert."""

from __future__ import annotations

import contextlib

import pytest

import rollstave
from rollstave.problems import Problem, Severity

GOOD = """Title: Two Oars
Tuning: gDGBD
Key: G
Time: 4/4

D|-------0-------0-|
B|---0-------0-----|
G|-0---------------|
D|---------0-------|
g|-----0-------0---|
"""


def errors(text: str | bytes) -> list[Problem]:
    with pytest.raises(rollstave.TabError) as caught:
        rollstave.read(text)
    return [p for p in caught.value.problems if p.severity is Severity.ERROR]


def warnings(text: str) -> list[Problem]:
    (tune,) = rollstave.read(text)
    for form in ("musicxml", "svg", "midi"):
        assert all(rollstave.write(tune, form))
    return [p for p in tune.problems if p.severity is Severity.WARNING]


def place(problem: Problem) -> tuple[int, int]:
    assert problem.place is not None
    return problem.place.line, problem.place.column


def test_the_good_one_has_no_problems() -> None:
    (tune,) = rollstave.read(GOOD)
    assert [p for p in tune.problems if p.severity is not Severity.NOTICE] == []


@pytest.mark.parametrize("text", ["", "\n\n", "   \n\t\n", b"", b"\xef\xbb\xbf"])
def test_empty(text: str | bytes) -> None:
    (problem,) = errors(text)
    assert "empty" in problem.message
    assert place(problem) == (1, 1)


@pytest.mark.parametrize("text", ["The ferry leaves at nine.\n", "Title: Oars\nKey: G\n", "-\n"])
def test_no_tab(text: str) -> None:
    (problem,) = errors(text)
    assert "no tab" in problem.message
    assert "5 rows" in problem.message
    assert place(problem)[0] == 1


@pytest.mark.parametrize(
    "data",
    [b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", bytes(range(256)) * 4, b"\0" * 100, b"PK\x03\x04\0"],
)
def test_binary(data: bytes) -> None:
    (problem,) = errors(data)
    assert "not a text file" in problem.message
    assert "plain text" in problem.message
    assert place(problem) == (1, 1)


@pytest.mark.parametrize("seed", range(20))
def test_noise_is_refused_and_nothing_else(seed: int) -> None:
    """Bytes at random end in TabError or a tune, never in another exception."""
    import random

    noise = random.Random(seed)
    data = bytes(noise.choice(b"-0123456789|hps/()<>x~^b*:.\n DBGg") for _ in range(600))
    with contextlib.suppress(rollstave.TabError):
        assert rollstave.read(data)


def test_a_fret_beyond_the_neck() -> None:
    (problem,) = errors(GOOD.replace("B|---0", "B|---45").replace("45-------0", "45------0"))
    assert "45" in problem.message
    assert "beyond the neck" in problem.message
    assert "22" in problem.message
    assert place(problem) == (7, 6)


def test_a_huge_fret_reaches_nobody() -> None:
    # Verovio 6.4 would abort the process.
    (problem,) = errors(GOOD.replace("G|-0---", "G|-999-"))
    assert "999" in problem.message
    assert place(problem) == (8, 4)


def test_a_sixth_row() -> None:
    problems = errors(GOOD + "E|-----------------|\n")
    assert any("6 rows" in p.message and "5" in p.message for p in problems)
    assert place(problems[0])[0] == 11


def test_four_rows() -> None:
    problems = errors("\n".join(GOOD.splitlines()[:-1]) + "\n")
    assert any("4 rows" in p.message for p in problems)
    assert "needs its row" in problems[0].message
    assert place(problems[0])[0] in range(6, 10)


@pytest.mark.parametrize("fret", [1, 2, 3, 4, 5])
def test_frets_1_to_5_of_the_fifth_string_are_questioned(fret: int) -> None:
    # Common practice: the fifth string has no such frets; some count from the peg, so both
    # readings are named.
    problems = errors(GOOD.replace("g|-----0", f"g|-----{fret}"))
    assert any(str(fret + 5) in p.message and "peg" in p.message for p in problems)
    assert place(problems[0]) == (10, 8)


def test_a_file_can_say_that_the_fifth_string_counts_from_its_peg() -> None:
    text = GOOD.replace("g|-----0", "g|-----2")
    text = text.replace("Key: G", "Key: G\nFifth string: counted from its peg")
    (tune,) = rollstave.read(text)
    found = [n for e in tune.score.measures[0].events for n in e.notes if n.string == 5]
    assert found[0].pitch.midi == 69  # A4, General MIDI


def test_an_unknown_tuning_without_labels() -> None:
    text = "\n".join(line.lstrip("DBGg") if "|" in line else line for line in GOOD.splitlines())
    (problem,) = errors(text.replace("gDGBD", "sawmil"))
    assert "'sawmil'" in problem.message
    assert "did you mean 'sawmill'" in problem.message
    assert place(problem) == (2, 9)


def test_an_unknown_tuning_with_labels_is_a_warning() -> None:
    (problem,) = warnings(GOOD.replace("gDGBD", "harbour special"))
    assert "harbour special" in problem.message
    assert "labels" in problem.message
    assert place(problem) == (2, 9)


def test_labels_that_say_otherwise() -> None:
    """Labels of the usual tuning are typed by habit (common practice, no source), others not."""
    (told,) = [
        p for p in rollstave.read(GOOD.replace("gDGBD", "gCGBD"))[0].problems if p.code == "labels"
    ]
    assert told.severity is rollstave.Severity.NOTICE
    assert "gCGBD" in told.message
    assert "gDGBD" in told.message
    (problem,) = warnings(GOOD.replace("gDGBD", "gCGBD").replace("B|", "C|"))
    assert "gDGCD" in problem.message


@pytest.mark.parametrize(
    ("old", "new", "line"),
    [
        ("B|---0-------0-----|", "B|---0-------0------|", 7),
        ("B|---0-------0-----|", "B|---0-------0---|", 7),
        ("g|-----0-------0---|", "g|-----0-------0----|", 10),
    ],
)
def test_rows_of_unequal_length(old: str, new: str, line: int) -> None:
    problems = warnings(GOOD.replace(old, new))
    assert any(place(p)[0] == line for p in problems)


@pytest.mark.parametrize(
    ("typed", "column", "what"),
    [
        ("Time: 5/3", 7, "4/4"),
        ("Time: soon", 7, "4/4"),
        ("Tempo: 5000", 8, "100"),
        ("Key: H", 6, "dorian"),
        ("Capo: 40", 7, "fret"),
        ("Fifth string: sideways", 15, "raised to A"),
    ],
)
def test_headings_that_say_nothing(typed: str, column: int, what: str) -> None:
    text = GOOD.replace("Key: G\nTime: 4/4", typed + "\n")
    problems = warnings(text)
    found = [p for p in problems if what in p.message]
    assert found
    assert place(found[0]) == (3, column)


def test_what_is_not_understood_is_kept_in_the_report() -> None:
    problems = warnings(GOOD.replace("D|-------0-------0-|", "D|-----q-0-------0-|", 1))
    assert any("'q'" in p.message and place(p) == (6, 8) for p in problems)


def test_a_bracket_that_is_not_closed() -> None:
    problems = warnings(GOOD.replace("D|-------0-------0-|", "D|------(2-------0-|", 1))
    assert any("(" in p.message and place(p)[0] == 6 for p in problems)


@pytest.mark.parametrize("typed", ["x", "<x>", "(x)", "X"])
def test_strange_frets_are_written(typed: str) -> None:
    # Verovio 6.4 aborts on a tab.fret that is no number; nothing typed may reach it raw.
    rest = "-" * (9 - len(typed))
    row = f"D|-------{typed}{rest}-|"
    text = GOOD.replace("D|-------0-------0-|", row, 1)
    assert warnings(text) == []
    (tune,) = rollstave.read(text)
    found = [n for e in tune.score.measures[0].events for n in e.notes if n.string == 1]
    assert [(n.muted, n.fret) for n in found] == [(True, None)]


@pytest.mark.parametrize("title", ["<&>\"'", "\u0007\u0001bell", "]]>", "🪕 " * 40, "a" * 3000])
def test_strange_titles_are_written(title: str) -> None:
    from lxml import etree

    (tune,) = rollstave.read(GOOD.replace("Two Oars", title))
    for form in ("musicxml", "mei", "svg"):
        for page in rollstave.write(tune, form):
            etree.fromstring(page)


FULL = (
    "-------0-------0-",
    "---0-------0-----",
    "-0---------------",
    "---------0-------",
    "-----0-------0---",
)


@pytest.mark.parametrize(
    ("measure", "count"),
    [
        # Six eighths and ten eighths, counted out, where 4/4 has eight.
        (tuple(row[:13] for row in FULL), "1 & 2 & 3 &  "),
        (tuple(row + row[-4:] for row in FULL), "1 & 2 & 3 & 4 & 5 &  "),
    ],
    ids=["too short", "too long"],
)
def test_a_measure_that_cannot_add_up_is_told(measure: tuple[str, ...], count: str) -> None:
    rows = "\n".join(
        f"{label}|{a}|{b}|{a}|{a}|" for label, a, b in zip("DBGDg", FULL, measure, strict=True)
    )
    full = "1 & 2 & 3 & 4 &  "
    counts = f"   {full} {count} {full} {full}"
    (tune,) = rollstave.read(f"Title: Two Oars\nKey: G\nTime: 4/4\n\n{rows}\n{counts}\n")
    told = [p for p in tune.problems if "measure 2" in p.message]
    assert told
    assert place(told[0]) == (5, 21)
    assert not any(f"measure {n}" in p.message for n in (1, 3, 4) for p in tune.problems)
    for form in ("musicxml", "svg", "midi"):
        assert all(rollstave.write(tune, form))


def test_all_errors_of_a_file_are_told() -> None:
    text = GOOD.replace("G|-0--", "G|-77-").replace("g|-----0", "g|-----3")
    problems = errors(text)
    assert len(problems) == 2
    assert [place(p)[0] for p in problems] == [8, 10]
