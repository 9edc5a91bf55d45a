"""Ten threads that read and write at once get what one gets."""

from __future__ import annotations

import json
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from functools import cache
from pathlib import Path
from typing import Any

import pytest

import rollstave
from rollstave.assembly.plugins import contract_of
from rollstave.contract.discovery import Found
from rollstave.score.memo import once_for_a_score
from rollstave.score.records import Score
from tests import tunes
from tests.amount import some

THREADS = 10
# The signs and a few short tunes in several meters: the engraver must not mix them up.
TEXTS = (
    tunes.SIGNS,
    *(
        f"Title: Bell Number {n}\nTuning: gDGBD\nKey: G\nTime: {meter}\n\n"
        f"D|-{n}---2-{row}|\nB|-----0-{rest}|\nG|---0---{rest}|\nD|-------{rest}|\ng|-------{rest}|\n"
        for n, (meter, row, rest) in enumerate(
            (
                ("4/4", "3-0---2-", "--------"),
                ("2/4", "", ""),
                ("3/4", "3-5-", "----"),
                ("4/4", "0-2-3-5-", "--------"),
            ),
            start=1,
        )
    ),
)


@pytest.fixture(autouse=True)
def _hasty() -> Iterator[None]:
    """Change threads a thousand times as often as usual."""
    usual = sys.getswitchinterval()
    sys.setswitchinterval(usual / 1000)
    yield
    sys.setswitchinterval(usual)


def at_once(work: Callable[[int], Any]) -> list[Any]:
    """What ten threads make of 0 to 9, begun at the same moment."""
    start = threading.Barrier(THREADS)

    def begin(number: int) -> Any:
        start.wait()
        return work(number)

    with ThreadPoolExecutor(THREADS) as pool:
        return list(pool.map(begin, range(THREADS)))


@cache
def alone(to: str) -> list[list[bytes]]:
    """What one thread writes of each text."""
    return [rollstave.write(tune, to) for tune in map(_tune, TEXTS)]


def _tune(text: str) -> rollstave.Tune:
    (tune,) = rollstave.read(text)
    return tune


@pytest.mark.parametrize("to", rollstave.format_names())
def test_a_format_gives_the_same_bytes(to: str) -> None:
    expected = alone(to)
    shared = [_tune(text) for text in TEXTS]

    def work(number: int) -> bool:
        # Half of the threads have tunes of their own, and each begins with another.
        order = [(number + step) % len(TEXTS) for step in range(some(2, 3))]
        mine = {n: shared[n] if number % 2 else _tune(TEXTS[n]) for n in order}
        return all(rollstave.write(mine[n], to) == expected[n] for n in order)

    assert at_once(work) == [True] * THREADS


def test_a_process_that_begins_with_ten_threads() -> None:
    """Nothing is imported, found or remembered yet when they all begin."""
    formats = [f for f in rollstave.format_names() if f != "html"]  # as svg, four times as long
    told = subprocess.run(
        [sys.executable, "-c", _BEGIN, json.dumps([tunes.SIGNS, formats])],
        capture_output=True,
        text=True,
        check=True,
    ).stdout
    expected = {to: [page.hex() for page in alone(to)[0]] for to in formats}
    assert [json.loads(line) == expected for line in told.splitlines()] == [True] * THREADS


_BEGIN = """
import json, sys, threading
from concurrent.futures import ThreadPoolExecutor
sys.setswitchinterval(5e-6)
start = threading.Barrier(10)
text, formats = json.loads(sys.argv[1])

def work(number):
    start.wait()
    import rollstave
    (tune,) = rollstave.read(text)
    order = formats[number % len(formats) :] + formats[: number % len(formats)]
    return {to: [page.hex() for page in rollstave.write(tune, to)] for to in order}

with ThreadPoolExecutor(10) as pool:
    for made in pool.map(work, range(10)):
        print(json.dumps(made))
"""


def test_reading_gives_the_same_tunes() -> None:
    texts = [*TEXTS, *(path.read_text(encoding="utf-8") for path in tunes.SAMPLES)]
    files = [b for of_text in alone("musicxml") for b in of_text]
    expected = [rollstave.read(source) for source in (*texts, *files)]

    def work(number: int) -> bool:
        order = [(number + step) % len(expected) for step in range(len(expected) // some(4, 2))]
        sources = [*texts, *files]
        return all(rollstave.read(sources[n]) == expected[n] for n in order)

    assert at_once(work) == [True] * THREADS


def test_an_answer_about_a_score_is_its_own() -> None:
    """The memory for the last few scores is shared by all threads."""
    scores = [_tune(text).score for text in TEXTS] * 2

    @once_for_a_score
    def title(score: Score) -> str:
        return score.title

    def work(number: int) -> bool:
        return all(title(s) == s.title for _ in range(200) for s in scores[number % 5 :])

    assert at_once(work) == [True] * THREADS


def test_plugins_are_all_there_for_every_thread(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A thread that asks while another still loads the plugins waits for them."""
    monkeypatch.syspath_prepend(str(tmp_path))
    (tmp_path / "slow_bells.py").write_text(
        "import time, rollstave\n"
        "time.sleep(0.2)\n"
        "ASKED = []\n"
        "@rollstave.hookimpl\n"
        "def rollstave_writers():\n"
        "    ASKED.append(1)\n"
        "    return [rollstave.Writer('bells', '.bells', lambda score: b'')]\n",
        encoding="utf-8",
    )
    contract = contract_of([Found("slow", "slow_bells", "slow-bells", "1.0")])
    found = at_once(lambda _: contract.find("writers", "bells"))
    assert [offer is not None for offer in found] == [True] * THREADS
    assert sys.modules.pop("slow_bells").ASKED == [1]
