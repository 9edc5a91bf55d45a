"""How punctual the student's page is on this machine, and how soon it is ready.

``python -m tests.benchmarks.page_marks [PLAYS]`` plays a sample on the browser's own clocks and
prints how far marks are from what the browser says is at the loudspeaker (Web Audio API,
getOutputTimestamp; aim: 98 of 100 within 30 ms, half within 15), and the time of a page of 32
measures until it can be used (aim: a second). It asserts nothing; what does not depend on the
machine is in ``tests/writing/page``.
"""

from __future__ import annotations

import sys
import tempfile
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec.structs import replace
from tests import tunes
from tests.browsers import chromium

import rollstave

if TYPE_CHECKING:
    from playwright.sync_api import Page

SCREENS = {"desk": (1280, 900), "tablet": (820, 1180), "phone": (375, 720)}
NOTE = """window.late = [];
document.addEventListener("rollstave:sounding", ({ detail }) =>
  window.late.push(rollstave.output - detail.planned));"""


def _open(html: bytes, screen: str) -> Page:
    file = Path(tempfile.mkdtemp(prefix="page-marks-")) / "page.html"
    file.write_bytes(html)
    width, height = SCREENS[screen]
    page: Page = chromium().new_page(viewport={"width": width, "height": height})
    page.goto(file.as_uri())
    page.wait_for_selector("html[data-ready]")
    return page


def marks(plays: int) -> None:
    """How late the marks of a tune at 240 quarter notes a minute are, in milliseconds."""
    score = replace(tunes.sample("ferry-landing").score, tempo=Fraction(240))
    (html,) = rollstave.write(score, "html")
    for number in range(plays):
        page = _open(html, "desk")
        page.evaluate(NOTE)
        page.keyboard.press("b")
        page.keyboard.press(" ")
        page.wait_for_function("window.late.length && !rollstave.state.playing", timeout=120_000)
        off = sorted(abs(1000 * late) for late in page.evaluate("window.late"))
        page.close()
        half, most = off[len(off) // 2], off[len(off) * 98 // 100]
        print(f"play {number + 1}: {len(off)} marks, median {half:.1f} ms, 98 of 100 {most:.1f} ms")


def ready(loads: int) -> None:
    """Milliseconds from asking for the page until all of it works."""
    (html,) = rollstave.write(tunes.sample("lantern-stairs").score, "html")
    for screen in SCREENS:
        found = []
        for _ in range(loads):
            page = _open(html, screen)
            found.append(int(page.evaluate("document.documentElement.dataset.ready")))
            page.close()
        print(f"ready, {screen}: {', '.join(map(str, found))} ms")


if __name__ == "__main__":
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 3
    marks(rounds)
    ready(rounds)
