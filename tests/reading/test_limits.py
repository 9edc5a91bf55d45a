"""Time and memory: reading grows with the length of the text and no faster, whatever stands in it.

The limits are the project's own: two seconds for 100 kB, measured on one core of an old machine.
"""

from __future__ import annotations

import contextlib
import gc
import time
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import rollstave
from rollstave.reading.page.decode import LARGEST
from tests.pace import slowness

SYSTEM = """\
D|-----0-------0---|-----2-------2---|
B|---0-------1-----|---0-------1-----|
G|-0-------2-----0-|-0-------2h4-----|
D|-----------------|-----------------|
g|-------0-------0-|-------0-------0-|

"""
SECONDS_FOR_100_KB = 2.0


def seconds(text: str | bytes, tries: int = 2) -> float:
    """The time of a whole reading, score and all; the best of some tries.

    What other tests hold on to is frozen meanwhile: the collector would walk through all of it
    once a long text has made enough objects, and not for a short one.
    """
    best = float("inf")
    gc.collect()
    gc.freeze()
    for _ in range(tries):
        start = time.process_time()
        with contextlib.suppress(rollstave.TabError):
            rollstave.read(text)
        best = min(best, time.process_time() - start)
    gc.unfreeze()
    return best


def several_systems(size: int) -> str:
    return "Title: Tide\n\n" + SYSTEM * size


def one_system(size: int) -> str:
    rows = [line for line in SYSTEM.split("\n") if line]
    return "\n".join(row[:2] + row[2:] * size for row in rows)


def one_measure(size: int) -> str:
    return "\n".join(f"{label}|{'-0--' * 4 * size}|" for label in "DBGD") + (
        "\ng|" + "----" * 4 * size + "|"
    )


def words_over(size: int) -> str:
    return "   " + "G " * size + "\n" + SYSTEM + "la la-la  " * size + "\n"


def many_tunes(size: int) -> str:
    return "".join(f"Title: Tide {n}\nKey: G\n\n{SYSTEM}" for n in range(size))


def parts_again(size: int) -> str:
    return "A part\n" + SYSTEM + "A part again\n\n" * size


GROWING: dict[str, tuple[Callable[[int], str], int]] = {
    "several systems": (several_systems, 100),
    "one system": (one_system, 100),
    "one measure": (one_measure, 150),
    "words over and under": (words_over, 2000),
    "many tunes": (many_tunes, 60),
    "parts again": (parts_again, 2000),
    "empty lines": (lambda size: "\n" * size, 20000),
    "tab characters": (lambda size: "\t" * size + "a", 20000),
    "quote marks": (lambda size: "> " * size, 20000),
    "brackets": (lambda size: "D|" + "(" * size + "---|\n", 20000),
    "digits": (lambda size: f"D|{'1' * size}---|\n" * 5, 10000),
    "markup": (lambda size: "<b>" + "&lt" * size, 20000),
    "spaces between": (lambda size: (" " * size + "x\n") * 5, 10000),
    "combining marks": (lambda size: ("D|" + "-0\u0301--" * size + "|\n") * 5, 2000),
    "right to left": (lambda size: "\u202eD|-0--\u200f-2--|\u2066\n" * size, 500),
}


@pytest.mark.parametrize("name", GROWING)
def test_four_times_as_much_takes_about_four_times_as_long(name: str) -> None:
    """A ratio in one run, so that the machine does not matter; 4 is linear and 16 quadratic."""
    make, size = GROWING[name]
    seconds(make(max(1, size // 10)))  # imports and caches
    short, long = seconds(make(size)), seconds(make(4 * size))
    assert long < 8 * short + 0.1


@pytest.mark.parametrize("name", GROWING)
def test_two_seconds_for_100_kilobytes(name: str) -> None:
    make, size = GROWING[name]
    text = make(size)
    text = make(max(1, size * 100_000 // max(1, len(text.encode()))))
    limit = SECONDS_FOR_100_KB * max(1.0, len(text.encode()) / 100_000)
    # Once more if need be: a machine that is shared is slow for a moment now and then.
    assert any(seconds(text, tries=1) < limit * slowness() for _ in range(3))


def test_a_file_of_many_megabytes_is_refused_at_once() -> None:
    for text in (b"-" * (LARGEST + 1), "-" * (LARGEST + 1)):
        with pytest.raises(rollstave.TabError, match="divide it"):
            rollstave.read(text)
        assert seconds(text) < 0.5


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


@settings(max_examples=150)
@given(PIECES, st.integers(1, 40))
def test_any_text_is_read_or_refused_in_time(pieces: list[str], times: int) -> None:
    """A score or a clear error, never anything else, within the limit for its length."""
    text = "".join(pieces) * times
    start = time.process_time()
    assert all(p.message for p in problems_of(text))
    limit = SECONDS_FOR_100_KB * max(0.5, len(text.encode("utf-8", "replace")) / 100_000)
    assert time.process_time() - start < limit
