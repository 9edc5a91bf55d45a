"""Small tabs for the tests of the archive."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any

from click.testing import CliRunner, Result

from rollstave.cli.main import main

ROOT = Path(__file__).parents[2]

TAB = """Title: {title}
Tuning: gDGBD
Key: G
Time: 4/4

D|-------0-------0-|
B|---0-------0-----|
G|-{fret}---------------|
D|---------0-------|
g|-----0-------0---|
"""


def tab(title: str = "The Two Oars", fret: int = 0) -> str:
    """A tab of one measure; ``fret`` (one digit) is that of its first note."""
    return TAB.format(title=title, fret=fret)


def long_tab(systems: int) -> str:
    """A tab of so many systems; 80 make two pages or more."""
    head, system = tab("Long Reach").split("\n\n")
    return head + "\n\n" + "\n".join([system] * systems)


def fill(folder: Path, count: int) -> list[Path]:
    """So many tunes in a folder, each with a title of its own."""
    folder.mkdir(parents=True, exist_ok=True)
    paths = [folder / f"tune-{n:03}.txt" for n in range(count)]
    for number, path in enumerate(paths):
        path.write_text(tab(f"Tune {number}", number % 10), encoding="utf-8")
    return paths


def convert(*arguments: object, typed: bytes | None = None) -> Result:
    """``rollstave convert`` in this process; the engraver is in workers all the same."""
    return CliRunner().invoke(main, ["convert", *map(str, arguments)], input=typed)


def process(*arguments: object, **environment: str) -> subprocess.Popen[str]:
    """``rollstave convert`` in a process group of its own."""
    return subprocess.Popen(
        [sys.executable, "-m", "rollstave", "convert", *map(str, arguments)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, **environment},
        start_new_session=True,
        # A test run in the background has children that ignore Ctrl-C.
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
    )


def tree(folder: Path) -> dict[str, bytes]:
    """Every output below a folder: no reports, nothing hidden."""
    return {
        str(p.relative_to(folder)): p.read_bytes()
        for p in sorted(folder.rglob("*"))
        if p.is_file() and not p.name.startswith("report.") and ".rollstave" not in p.parts
    }


def hidden(folder: Path) -> list[str]:
    """What is left in the state folder and half written anywhere."""
    return sorted(str(p.relative_to(folder)) for p in folder.rglob(".*"))


def report(folder: Path) -> dict[str, Any]:
    data: dict[str, Any] = json.loads((folder / "report.json").read_text(encoding="utf-8"))
    return data
