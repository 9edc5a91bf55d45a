"""Files in and out: reading an argument or standard input, names of outputs."""

from __future__ import annotations

import re
import sys
from pathlib import Path

STANDARD_INPUT = "-"


def read_bytes(name: str) -> bytes:
    """The bytes of a file, or of standard input for ``-``. Raises OSError."""
    if name == STANDARD_INPUT:
        return sys.stdin.buffer.read()
    return Path(name).read_bytes()


def stem_of(name: str) -> str:
    """What the outputs of a file are named after."""
    return "tab" if name == STANDARD_INPUT else Path(name).stem


def slug(title: str) -> str:
    """A title as part of a file name: letters and digits, hyphens between words."""
    return re.sub(r"[^\w]+", "-", title.lower()).strip("-_")[:60] or "tune"


def output_paths(folder: Path, stem: str, extension: str, pages: int) -> list[Path]:
    """``NAME.svg`` for one page, ``NAME-1.svg``, ``NAME-2.svg`` … for several."""
    if pages == 1:
        return [folder / f"{stem}{extension}"]
    return [folder / f"{stem}-{number}{extension}" for number in range(1, pages + 1)]
