"""Cold start: a whole ``rollstave convert`` beside a bare process that only engraves.

Run by hand: ``python tests/benchmarks/cold_start.py [ROUNDS]``. For a tune of 32 measures it
times, from outside and by turns,

- ``bare``: python that imports verovio and renders the same MEI to SVG, same width;
- ``libraries``: the same process, which also imports the libraries that a conversion stands on
  (click, lxml, msgspec, pluggy) and uses none: what is left of the aim for our own code;
- ``rollstave``: ``rollstave convert`` to MusicXML and SVG, the key being named in the file;
- ``no key``: the same without the key heading, so that music21 has to find the key.

It prints the median of each and their ratio to the bare process. The aim is 1.5 times or less.
Bytecode is kept for all of them, as pip makes it when it installs a package.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import rollstave

TUNE = Path(__file__).parents[2] / "samples" / "lantern-stairs.txt"
BARE = """
import sys
import verovio
toolkit = verovio.toolkit()
toolkit.setOptions({"pageWidth": 1860, "pageHeight": 60000, "adjustPageHeight": True,
                    "breaks": "encoded", "scale": 100, "unit": 9})
with open(sys.argv[1], encoding="utf-8") as file:
    assert toolkit.loadData(file.read())
with open(sys.argv[2], "w", encoding="utf-8") as out:
    for page in range(1, toolkit.getPageCount() + 1):
        out.write(toolkit.renderToSVG(page))
"""

LIBRARIES = "import click, lxml.etree, msgspec, pluggy\n" + BARE


def seconds(command: list[str]) -> float:
    """Wall-clock time of one process from start to end."""
    started = time.perf_counter()
    subprocess.run(command, check=True, capture_output=True, env=_environment())
    return time.perf_counter() - started


def _environment() -> dict[str, str]:
    return {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}


def main() -> None:
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 15
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (tune,) = rollstave.read(TUNE)
        mei = folder / "tune.mei"
        mei.write_bytes(rollstave.write(tune, "mei")[0])
        no_key = folder / "no-key.txt"
        text = TUNE.read_text(encoding="utf-8")
        no_key.write_text(text.replace("Key: C\n", ""), encoding="utf-8")
        assert no_key.read_text(encoding="utf-8") != text
        script = Path(sys.executable).with_name("rollstave")
        convert = [str(script), "convert", "--out", str(folder / "out"), "--to", "musicxml,svg"]
        commands = {
            "bare": [sys.executable, "-c", BARE, str(mei), str(folder / "bare.svg")],
            "libraries": [sys.executable, "-c", LIBRARIES, str(mei), str(folder / "bare.svg")],
            "rollstave": [*convert, str(TUNE)],
            "no key": [*convert, str(no_key)],
        }
        for command in commands.values():  # once each, so that files are in the disk cache
            seconds(command)
        times: dict[str, list[float]] = {label: [] for label in commands}
        for _ in range(rounds):
            for label, command in commands.items():
                times[label].append(seconds(command))
    medians = {label: statistics.median(values) for label, values in times.items()}
    print(f"{len(tune.score.measures)} measures, median of {rounds}, {os.cpu_count()} cores")
    for label, median in medians.items():
        spread = f"{min(times[label]):.3f} to {max(times[label]):.3f}"
        print(f"{label:10} {median:.3f} s ({spread})   {median / medians['bare']:.2f} × bare")


if __name__ == "__main__":
    main()
