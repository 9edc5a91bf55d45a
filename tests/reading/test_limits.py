"""Reading grows with the length of the text and no faster, whatever stands in it.

Work is counted, not timed (``tests/work.py``). The project's limit of two seconds for 100 kB is
measured in ``tests/benchmarks/growth.py``.
"""

from __future__ import annotations

import cProfile
import random
from collections.abc import Callable
from functools import cache
from types import CodeType

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import rollstave
from rollstave.reading.page.decode import (
    LARGEST,
    MOST_BARS,
    MOST_DIGITS,
    MOST_IN_A_CELL,
    MOST_LINES,
    MOST_NOTES,
    MOST_TABS,
    MOST_WORDS,
    refuse_long,
)
from tests.amount import some
from tests.work import LINEAR, calls, growth, patience

SYSTEM = """\
D|-----0-------0---|-----2-------2---|
B|---0-------1-----|---0-------1-----|
G|-0-------2-----0-|-0-------2h4-----|
D|-----------------|-----------------|
g|-------0-------0-|-------0-------0-|

"""
CALLS_FOR_A_CHARACTER = 150  # the most are for an empty line, a hundred
CALLS_AT_LEAST = 5_000  # for a text of any length


def several_systems(size: int) -> str:
    return "Title: Tide\n\n" + SYSTEM * size


def one_system(size: int) -> str:
    rows = [line for line in SYSTEM.split("\n") if line]
    return "\n".join(row[:2] + row[2:] * size for row in rows)


def one_measure(size: int) -> str:
    return "\n".join(f"{label}|{'-0--' * 4 * size}|" for label in "DBGD") + (
        "\ng|" + "----" * 4 * size + "|"
    )


def one_measure_by_the_eye(size: int) -> str:
    """Gaps of two to five characters, as no grid has them, on one string after the other."""
    rows = ["", "", "", ""]
    for note in range(size):
        cell = "0" + "-" * (1 + note * note % 7 % 4)
        rows = [row + (cell if at == note % 4 else "-" * len(cell)) for at, row in enumerate(rows)]
    return "Time: 4/4\n\n" + "\n".join(
        f"{label}|{row}|" for label, row in zip("DBGDg", (*rows, "-" * len(rows[0])), strict=True)
    )


def words_over(size: int) -> str:
    return "   " + "G " * size + "\n" + SYSTEM + "la la-la  " * size + "\n"


def prose(size: int) -> str:
    return SYSTEM + "play in the key of G with a capo and count four\n" * size


def short_tunes(size: int) -> str:
    return "".join(f"Song {n}\nKey: G\n\n{SYSTEM}" for n in range(size))


def many_tunes(size: int) -> str:
    return "".join(f"Title: Tide {n}\nKey: G\n\n{SYSTEM}" for n in range(size))


def named_parts(size: int) -> str:
    return "".join(f"[Part {n}]\n{SYSTEM}" for n in range(size))


def by_chance(size: int) -> str:
    """Lines of any characters over a system."""
    choose = random.Random(7)
    signs = [chr(code) for code in range(32, 127)]
    lines = ("".join(choose.choices(signs, k=79)) for _ in range(size))
    return "\n".join((*lines, "", SYSTEM))


def parts_again(size: int) -> str:
    return "A part\n" + SYSTEM + "A part again\n\n" * size


GROWING: dict[str, tuple[Callable[[int], str], int]] = {
    "several systems": (several_systems, 100),
    "one system": (one_system, 100),
    "one measure": (one_measure, 150),
    "one measure by the eye": (one_measure_by_the_eye, 600),
    "words over and under": (words_over, 2000),
    "many tunes": (many_tunes, 60),
    "titles without a heading": (short_tunes, 60),
    "prose": (prose, 2000),
    "rows without a gap": (lambda size: "D|--0-----0-|\n" * 5 * size, 100),
    "one title again and again": (lambda size: f"Title: Tide\n\n{SYSTEM}" * size, 60),
    "parts again": (parts_again, 2000),
    "parts with names": (named_parts, 60),
    "characters by chance": (by_chance, 640),
    "empty lines": (lambda size: "\n" * size, 20000),
    "tab characters": (lambda size: "\t" * size + "a", 20000),
    "quote marks": (lambda size: "> " * size, 20000),
    "brackets": (lambda size: "D|" + "(" * size + "---|\n", 20000),
    "digits": (lambda size: f"D|{'1' * 900}---|\n" * size, 50),
    "spaces in words": (lambda size: SYSTEM + "play" + " " * size + "tuning\n", 2400),
    "spaces in long words": (lambda size: SYSTEM + "play" + " " * size + "tuning\n", 20000),
    "spaces under a system": (lambda size: SYSTEM.rstrip() + "\n" + " " * size + "x\n", 20000),
    "brackets in words": (lambda size: SYSTEM + "a" + "(" * size + "b\n", 2400),
    "markup": (lambda size: "<b>" + "&lt" * size, 20000),
    "spaces between": (lambda size: (" " * size + "x\n") * 5, 10000),
    "combining marks": (lambda size: ("D|" + "-0\u0301--" * size + "|\n") * 5, 2000),
    "right to left": (lambda size: "\u202eD|-0--\u200f-2--|\u2066\n" * size, 480),
}


# What is all in one pattern: the count of calls is the same for any length.
IN_A_PATTERN = (
    *("brackets", "digits", "markup", "spaces between", "quote marks", "tab characters"),
    *("spaces in words", "spaces in long words", "brackets in words", "spaces under a system"),
)


@cache
def work_of(name: str, size: int) -> int:
    """The calls of a whole reading, score and all, when all that is made once has been made."""
    make, _ = GROWING[name]
    calls(lambda: rollstave.read(make(1 + size // 40)))
    text = make(size)
    return calls(lambda: rollstave.read(text))


@pytest.mark.parametrize("name", GROWING)
def test_four_times_as_much_is_about_four_times_the_work(name: str) -> None:
    """4 is linear and 16 quadratic."""
    size = GROWING[name][1] // some(8, 1)
    assert work_of(name, 4 * size) < 4.5 * work_of(name, size) + CALLS_AT_LEAST


@pytest.mark.parametrize("name", GROWING)
def test_the_work_for_each_character(name: str) -> None:
    make, size = GROWING[name]
    size = 4 * size // some(8, 1)
    length = len(make(size).encode())
    assert work_of(name, size) < CALLS_AT_LEAST + CALLS_FOR_A_CHARACTER * length


def test_nothing_is_done_for_each_measure_of_each_measure() -> None:
    """The growth of the whole does not show what is quadratic and quick, until a tune is long: no
    function of ours is called as often for a measure as there are measures."""
    systems = 200
    text = several_systems(systems)
    profile = cProfile.Profile()
    profile.runcall(rollstave.read, text)
    most = 2 * systems * 2 * systems // 2
    often = [
        (entry.code.co_filename, entry.code.co_name, entry.callcount)
        for entry in profile.getstats()
        if isinstance(entry.code, CodeType)
        and entry.callcount > most
        and "rollstave" in entry.code.co_filename
    ]
    assert often == []


@pytest.mark.parametrize("name", IN_A_PATTERN)
def test_a_pattern_over_four_times_as_much(name: str) -> None:
    make, size = GROWING[name]
    short, long = make(size), make(4 * size)
    assert growth(lambda: rollstave.read(short), lambda: rollstave.read(long)) < LINEAR


def test_a_file_of_many_megabytes_is_refused_at_once() -> None:
    """Without looking at it: the same few calls for any length."""
    for text in (b"-" * (LARGEST + 1), "-" * (LARGEST + 1)):
        with pytest.raises(rollstave.TabError, match="divide it"):
            rollstave.read(text)
        assert calls(lambda text=text: rollstave.read(text)) < 500


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("\n" * (MOST_LINES + 1), "lines"),
        ("\r" * (MOST_LINES + 1), "lines"),
        ("|" * (MOST_BARS + 1), "bar lines"),
        ("│" * (MOST_BARS + 1), "bar lines"),
        ("0" * (MOST_NOTES + 1), "figures"),
        ("la " * (MOST_WORDS + 1), "words"),
        ("\t" * (MOST_TABS + 1), "tab characters"),
        ("1" * (MOST_DIGITS + 1), "digits in one number"),
    ],
)
def test_a_text_with_too_much_in_it_is_refused_at_once(text: str, what: str) -> None:
    for source in (text, text.encode()):
        with pytest.raises(rollstave.TabError, match=f"{what}.*divide the file"):
            rollstave.read(source)
        assert calls(lambda source=source: rollstave.read(source)) < 500


def test_a_measure_with_too_many_frets_is_refused_in_words() -> None:
    """Bars are counted, however they are drawn, and frets in all of a file are not."""
    row = "0-" * MOST_IN_A_CELL
    with pytest.raises(rollstave.TabError, match=r"4,001 figures without a bar.*type bars") as info:
        rollstave.read(f"Title: Tide\n\nD|{row}1-|\n")
    assert info.value.problems[0].place == rollstave.Place(3, 1)
    refuse_long(f"D|{row}|1-|\n")
    refuse_long(f"D│{row}│1-│\n")


def test_a_text_with_too_much_together_is_refused_in_words() -> None:
    """None of its parts is too much by itself; the work that a text is counts, and it says so."""
    text = several_systems(3_000)
    assert sum(text.count(figure) for figure in "0123456789") < MOST_NOTES
    assert text.count("|") < MOST_BARS
    said = r"54,000 figures, 45,000 bar lines, .* together is 1\.\d times.*divide the file into 2"
    with pytest.raises(rollstave.TabError, match=said):
        rollstave.read(text)


def test_more_tunes_than_are_read_at_once_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("rollstave.reading.page.decode.MOST_TUNES", 2)
    assert len(rollstave.read(many_tunes(2))) == 2
    with pytest.raises(rollstave.TabError, match=r"has 3 tunes, and up to 2 are read at once"):
        rollstave.read(many_tunes(3))


@pytest.mark.parametrize("dimension", ["figures", "bar lines", "lines", "words"])
def test_figures_count_in_rows_only(dimension: str) -> None:
    """Half of what may be of each is let in by itself, and prose of many years is no tab."""
    most = {
        "figures": f"d|{'0-' * 40}|\n" * (MOST_NOTES // 80),
        "bar lines": "|-" * (MOST_BARS // 2),
        "lines": "the ferry\n" * (MOST_LINES // 2),
        "words": "was made " * (MOST_WORDS // 4),
    }
    refuse_long(most[dimension])


PIECES = st.lists(
    st.one_of(
        st.text(max_size=40),
        st.sampled_from(
            [*SYSTEM.splitlines(keepends=True), SYSTEM, "\n", "\n\n", "|", ":|", "-" * 30, "12"]
        ),
        st.sampled_from(
            [
                "\u202e",
                "\u0301",
                "\u200b",
                "\ufeff",
                "\0",
                "\ud800",
                "\t",
                "𝄋",
                "To Coda\n",
                "Coda\n",
            ]
        ),
    ),
    max_size=60,
)


def problems_of(text: str) -> tuple[rollstave.Problem, ...]:
    try:
        return tuple(p for tune in rollstave.read(text) for p in tune.problems)
    except rollstave.TabError as error:
        return error.problems or (rollstave.Problem(rollstave.Severity.ERROR, "none", ""),)


@settings(max_examples=some(12, 150))
@given(PIECES, st.integers(1, 40))
def test_any_text_is_read_or_refused_in_time(pieces: list[str], times: int) -> None:
    """A score or a clear error, never anything else, with no more work than its length allows."""
    text = "".join(pieces) * times
    found: list[rollstave.Problem] = []
    with patience():
        work = calls(lambda: found.extend(problems_of(text)))
    assert all(p.message for p in found)
    length = len(text.encode("utf-8", "replace"))
    assert work < 10 * CALLS_AT_LEAST + CALLS_FOR_A_CHARACTER * length
