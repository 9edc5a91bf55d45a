"""Folders of generated tunes for the benchmarks of the archive."""

from __future__ import annotations

import re
from functools import lru_cache
from pathlib import Path

from tests.benchmarks.rhythm.model import Style
from tests.benchmarks.rhythm.rolls import roll_tune
from tests.benchmarks.rhythm.typist import type_tune

STYLES = (Style.EVEN, Style.PUSHED, Style.COUNTED)


def text(number: int, seed: int = 0) -> str:
    """The tab of that number: a roll tune typed in one of three styles, with a title of its own."""
    typed = _typed(number % 1000, STYLES[number % len(STYLES)], seed)
    return re.sub("^Title:.*$", f"Title: Ferry Tune {number}", typed, count=1, flags=re.MULTILINE)


@lru_cache(maxsize=3000)
def _typed(number: int, style: Style, seed: int) -> str:
    return type_tune(roll_tune(number, seed), style, seed).text


def fill(folder: Path, count: int, seed: int = 0) -> list[Path]:
    """Write so many tunes into folders of a hundred; their paths."""
    paths = []
    for number in range(count):
        path = folder / f"{number // 100:03}" / f"tune-{number:05}.txt"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text(number, seed), encoding="utf-8")
        paths.append(path)
    return paths
