"""Start-up with all plugins and with none, by turns in one run.

Run by hand: ``python tests/benchmarks/start_up.py [ROUNDS]``. Two folders are made that have every
package of this environment; in one rollstave has its plugins and their entry points, in the other
it is alone. Each command is run in both by turns. Printed is the processor time that a process
takes, user and system, the mean of the fastest third, which what else the machine does disturbs
least; and the ratio of the two. The bound is 1.10.
"""

from __future__ import annotations

import os
import resource
import shutil
import statistics
import subprocess
import sys
import sysconfig
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[2]
BOUND = 1.10
RUN = """
import sys
sys.path.insert(0, sys.argv[1])
sys.argv[1:2] = []
from rollstave.cli.main import main
main(prog_name="rollstave")
"""
BRIDGES = (
    "markdown = rollstave_markdown.for_python_markdown",
    "music21 = rollstave_music21.convert",
    "notebook = rollstave_notebook.showing",
    "pandoc = rollstave_pandoc",
    "sphinx = rollstave_sphinx.directive",
)


def environment(folder: Path, plugins: bool) -> Path:
    """A folder with all packages that are installed here, and a copy of rollstave."""
    folder.mkdir()
    for path in Path(sysconfig.get_paths()["purelib"]).iterdir():
        ours = path.name.startswith(("rollstave", "__editable__", "__pycache__"))
        if not ours and not path.name.endswith(".pth"):
            (folder / path.name).symlink_to(path)
    ignored = shutil.ignore_patterns("__pycache__")
    shutil.copytree(ROOT / "convert" / "rollstave", folder / "rollstave", ignore=ignored)
    info = folder / "rollstave-0.1.0.dist-info"
    info.mkdir()
    (info / "METADATA").write_text("Metadata-Version: 2.1\nName: rollstave\nVersion: 0.1.0\n")
    lines = ["[console_scripts]", "rollstave = rollstave.__main__:run"]
    if plugins:
        for path in (ROOT / "plugins").iterdir():
            if path.is_dir():
                shutil.copytree(path, folder / path.name, ignore=ignored)
        lines += ["[rollstave]", "fretted = rollstave_fretted", "[rollstave.bridges]", *BRIDGES]
    (info / "entry_points.txt").write_text("\n".join(lines) + "\n")
    subprocess.run(
        [sys.executable, "-m", "compileall", "-q", str(folder / "rollstave")], check=True
    )
    return folder


def seconds(folder: Path, words: list[str]) -> tuple[float, str]:
    """Processor time of one process from start to end, and what it printed."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    done = subprocess.run(
        [sys.executable, "-I", "-S", "-c", RUN, str(folder), *words],
        check=True,
        capture_output=True,
        text=True,
        env={k: v for k, v in os.environ.items() if k != "ROLLSTAVE_PLUGINS"},
    )
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime, done.stdout


def main() -> None:
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 21
    with tempfile.TemporaryDirectory() as name:
        work = Path(name)
        folders = {
            "none": environment(work / "none", plugins=False),
            "all": environment(work / "all", plugins=True),
        }
        tune = str(ROOT / "samples" / "nettle-hill.txt")
        out = ["--out", str(work / "out")]
        commands = {
            "--help": ["--help"],
            "tunings": ["tunings"],
            "convert to text": ["convert", tune, "--to", "text", *out],
            "convert to svg": ["convert", tune, "--to", "svg", *out],
        }
        worst = 0.0
        for label, words in commands.items():
            times: dict[str, list[float]] = {which: [] for which in folders}
            turns = rounds * (3 if label in ("--help", "tunings") else 1)  # short ones need more
            for turn in range(turns + 1):
                order = list(folders) if turn % 2 else list(folders)[::-1]
                for which in order:
                    spent, said = seconds(folders[which], words)
                    # The two are what they are called: only one knows the fretted instruments.
                    assert label != "tunings" or ("dulcimer" in said) == (which == "all")
                    if turn:  # the first round fills the disk cache
                        times[which].append(spent)
            third = max(1, turns // 3)
            fast = {which: statistics.mean(sorted(t)[:third]) for which, t in times.items()}
            ratio = fast["all"] / fast["none"]
            worst = max(worst, ratio)
            print(
                f"{label:15} none {fast['none'] * 1000:6.0f} ms   "
                f"all {fast['all'] * 1000:6.0f} ms   ratio {ratio:.3f}"
            )
        print(f"the worst ratio is {worst:.3f}; the bound is {BOUND}")
        if worst > BOUND:
            sys.exit(1)


if __name__ == "__main__":
    main()
