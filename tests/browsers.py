"""One real browser for all tests of a process, because Playwright can be started only once in it.

Pictures are for somebody to look at: they are taken only where ROLLSTAVE_ARTEFACTS names a folder.
"""

from __future__ import annotations

import atexit
import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from typing import Any

import pytest

api = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")

from playwright.sync_api import Browser, BrowserContext, Page  # noqa: E402

# Drawn by one core without a graphics card that is only pretended: a sixth less work.
_PLAINLY = ("--disable-gpu", "--disable-gpu-compositing", "--num-raster-threads=1")
PATIENCE = 60_000  # milliseconds until a browser that hangs is given up
NAMES = ("chromium", "chromium-browser", "google-chrome")


@cache
def _start(program: str) -> Browser:
    playwright = api.sync_playwright().start()
    browser: Browser = playwright.chromium.launch(
        executable_path=program,
        args=["--no-sandbox", "--autoplay-policy=no-user-gesture-required", *_PLAINLY],
    )
    atexit.register(playwright.stop)
    return browser


def chromium() -> Browser:
    """The system's Chromium, headless; skips the test, saying why, where there is none."""
    program = next((found for name in NAMES if (found := shutil.which(name))), None)
    if program is None:
        pytest.skip(f"no browser here: none of {', '.join(NAMES)} is found")
    return _start(program)


@cache
def _profile(**how: Any) -> BrowserContext:
    return chromium().new_context(**how)


_EMULATED = ("color_scheme", "reduced_motion")  # what a page can be told by itself


@contextmanager
def a_page(width: int = 1280, height: int = 900, **how: Any) -> Iterator[Page]:
    """A page that knows nothing of those before it, closed at the end without a question.

    To make a profile costs the browser more than to load a page in it, so that there is one for
    all pages, and one for those that want it made otherwise (``how``) in the same way.
    """
    emulated = {name: how.pop(name) for name in _EMULATED if name in how}
    profile = _profile(**how)
    page = profile.new_page()
    page.set_viewport_size({"width": width, "height": height})
    page.set_default_timeout(PATIENCE)
    if emulated:
        page.emulate_media(**emulated)
    try:
        yield page
    finally:
        page.close()
        profile.clear_cookies()


def picture(page: Page, name: str, **how: Any) -> None:
    """Keep a picture of a page, where somebody wants pictures: to take one costs as much as a
    test, and no test looks at it."""
    if wanted := os.environ.get("ROLLSTAVE_ARTEFACTS"):
        Path(wanted).mkdir(parents=True, exist_ok=True)
        page.screenshot(path=Path(wanted) / f"{name}.png", **how)
