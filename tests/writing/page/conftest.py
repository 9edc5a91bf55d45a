"""A real browser for the student's page. Where there is none, these tests say so and are skipped.

The page's time is stepped (``stepped_time.js``): it goes on when a test says so, however slow the
machine is; ``real_time=True`` leaves the page the clocks of the browser.

Pictures of the page are kept in the folder that ROLLSTAVE_ARTEFACTS names, where it names one.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

import rollstave
from rollstave.score.records import Score
from tests import tunes

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page


@pytest.fixture(scope="session")
def browser() -> Browser:
    """Chromium of the system, headless, allowed to sound without a touch."""
    found: Browser = pytest.importorskip("tests.browsers").chromium()
    return found


@dataclass
class Opened:
    """A page opened from disk, and all that it asked for or complained of."""

    page: Page
    requests: list[str] = field(default_factory=list)
    complaints: list[str] = field(default_factory=list)

    def state(self) -> dict[str, Any]:
        """What the page says of itself."""
        found = self.page.evaluate("rollstave.state")
        assert isinstance(found, dict)
        return found

    def press(self, *keys: str) -> None:
        for key in keys:
            self.page.keyboard.press(key)

    def picture(self, name: str) -> None:
        """Keep a picture of what is seen, where somebody wants pictures."""
        from tests.browsers import picture

        picture(self.page, name)

    def wait_for(self, condition: str) -> None:
        """Wait until the browser itself has done something: scrolled, unpacked, engraved."""
        self.page.wait_for_function(condition, polling=20)

    def play_until(self, condition: str, most: float = 600) -> None:
        """Let the page's time go on until a condition holds; ``most`` in seconds of that time."""
        self.page.evaluate(f"steppedTime.until(() => {condition}, {most})")

    def play_on(self, seconds: float) -> None:
        """Let the page's time go on for so many seconds."""
        self.page.evaluate(f"steppedTime.pass({seconds})")


Open = Callable[..., Opened]
# Notes what is marked, with what is really lit in the drawing at that moment.
LISTEN = """
window.heard = [];
document.addEventListener("rollstave:sounding", ({ detail }) => {
  const lit = [...document.querySelectorAll(".engraving.shown .sounding")].map((n) => n.id);
  window.heard.push({ ...detail, lit, now: window.steppedTime?.now });
});
"""
STEPPED = (Path(__file__).parent / "stepped_time.js").read_text(encoding="utf-8")


@cache
def _written(score: Score, options: rollstave.SheetOptions | None) -> bytes:
    """The page of a score, written once."""
    return rollstave.write(score, "html", options)[0]


@pytest.fixture
def open_page(browser: Browser, tmp_path: Path) -> Iterator[Open]:
    """Open the page of a score from disk; at the end it must not have complained, nor have asked
    for anything but itself."""
    from tests.browsers import a_page

    opened: list[Opened] = []
    pages = ExitStack()

    def open_it(
        score: Score,
        width: int = 1280,
        height: int = 900,
        options: rollstave.SheetOptions | None = None,
        real_time: bool = False,
        **how: Any,
    ) -> Opened:
        file = tmp_path / f"page-{len(opened)}.html"
        file.write_bytes(_written(score, options))
        page = pages.enter_context(a_page(width, height, **how))
        if not real_time:
            page.add_init_script(STEPPED)
        found = Opened(page)
        page.on("request", lambda request: found.requests.append(request.url))
        page.on("pageerror", lambda error: found.complaints.append(str(error)))
        page.on(
            "console",
            lambda message: (
                found.complaints.append(message.text)
                if message.type in ("error", "warning")
                else None
            ),
        )
        page.goto(file.as_uri())
        page.wait_for_selector("html[data-ready]")
        page.evaluate(LISTEN)
        opened.append(found)
        return found

    with pages:
        yield open_it
    for found in opened:
        assert found.complaints == []
        asked = [url for url in found.requests if not url.startswith(("data:", "blob:"))]
        assert len(asked) == 1, asked
        assert asked[0].startswith("file:")


@pytest.fixture(scope="session")
def ferry() -> Score:
    return tunes.sample("ferry-landing").score


@pytest.fixture(scope="session")
def long_tune() -> Score:
    """A sample of 32 measures."""
    score = tunes.sample("lantern-stairs").score
    assert len(score.measures) == 32
    return score
