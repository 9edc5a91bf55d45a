"""One real browser for all tests of a process, because Playwright can be started only once in it.

Pictures go to the folder that ROLLSTAVE_ARTEFACTS names, or to a temporary one.
"""

from __future__ import annotations

import atexit
import os
import shutil
import tempfile
from functools import cache
from pathlib import Path

import pytest

api = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")

from playwright.sync_api import Browser  # noqa: E402

PATIENCE = 60_000  # milliseconds until a browser that hangs is given up
NAMES = ("chromium", "chromium-browser", "google-chrome")


@cache
def _start(program: str) -> Browser:
    playwright = api.sync_playwright().start()
    browser: Browser = playwright.chromium.launch(
        executable_path=program,
        args=["--no-sandbox", "--autoplay-policy=no-user-gesture-required"],
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
def pictures() -> Path:
    """Where pictures are kept: outside the repository."""
    folder = Path(os.environ.get("ROLLSTAVE_ARTEFACTS") or tempfile.mkdtemp(prefix="pictures-"))
    folder.mkdir(parents=True, exist_ok=True)
    return folder
