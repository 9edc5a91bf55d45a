"""The bench as a program of its own, and its page in a real browser."""

from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from tests.bench.asking import ASKING
from tests.bench.entering import enter, learn

if TYPE_CHECKING:
    from playwright.sync_api import Page


@contextmanager
def running(path: Path) -> Iterator[tuple[str, int]]:
    """``rollstave bench`` for a file: its address and its process id."""
    program = subprocess.Popen(
        [sys.executable, "-m", "rollstave", "bench", str(path), "--no-browser"],
        stdout=subprocess.PIPE,
        text=True,
    )
    try:
        assert program.stdout is not None
        said = program.stdout.readline()
        address = re.search(r"http://127\.0\.0\.1:\d+/", said)
        assert address, said
        learn(address[0], program.stdout.readline())
        yield address[0], program.pid
    finally:
        program.terminate()
        program.wait(60)


@dataclass
class Bench:
    """A page of the bench, the file it is for, and what the browser complained of."""

    page: Page
    path: Path
    pid: int
    complaints: list[str] = field(default_factory=list)

    @property
    def text(self) -> str:
        return str(self.page.input_value("#text"))

    @property
    def selected(self) -> str:
        found = self.page.evaluate(
            "(() => { const t = document.getElementById('text');"
            " return t.value.slice(t.selectionStart, t.selectionEnd); })()"
        )
        return str(found)

    def type_at(self, line: int, column: int, words: str, over: int = 0) -> None:
        """Type as a person does: the caret at a place, ``over`` characters selected."""
        lines = self.text.split("\n")
        start = sum(len(one) + 1 for one in lines[: line - 1]) + column - 1
        self.page.focus("#text")
        self.page.evaluate(
            "([a, b]) => document.getElementById('text').setSelectionRange(a, b)",
            [start, start + over],
        )
        self.page.keyboard.type(words)

    def touch(self, note: str) -> None:
        """Touch the middle of a note, given by its id on the sheet."""
        self.page.locator(f"#{note}").scroll_into_view_if_needed()
        box = self.page.locator(f"#{note}").bounding_box()
        assert box
        self.page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)


OpenBench = Callable[..., Bench]


@pytest.fixture(scope="module")
def program(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Path, str, int]]:
    """One bench for the tests of a module: its file, its address and its process id."""
    path = tmp_path_factory.mktemp("bench") / "ferry.txt"
    path.write_text(ASKING)
    with running(path) as (address, pid):
        yield path, address, pid


@pytest.fixture
def bench(program: tuple[Path, str, int]) -> Iterator[OpenBench]:
    """Open the bench of a text; at the end the browser must not have complained."""
    from tests.browsers import a_page

    path, address, pid = program
    opened: list[Bench] = []
    pages = ExitStack()

    def open_it(text: str = ASKING, width: int = 1440, height: int = 900, **how: Any) -> Bench:
        path.write_bytes(text.encode())
        found = Bench(pages.enter_context(a_page(width, height, **how)), path, pid)
        found.page.on("pageerror", lambda error: found.complaints.append(str(error)))
        found.page.on(
            "console",
            lambda message: (
                found.complaints.append(message.text) if message.type == "error" else None
            ),
        )
        enter(found.page, address)
        found.page.wait_for_selector("#sheet svg, #list .error")
        opened.append(found)
        return found

    with pages:
        yield open_it
    for each in opened:
        assert each.complaints == []
