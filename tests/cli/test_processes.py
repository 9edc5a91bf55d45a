"""What only a process of its own can show: imports, and the same bytes every time."""

from __future__ import annotations

import errno
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.amount import some
from tests.tunes import SAMPLES, SIGNS

HEAVY = ("music21", "verovio", "lxml", "mido", "numpy", "typst")


def _run(code: str, *arguments: str, **environment: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", code, *arguments],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, **environment},
        timeout=120,
    )


@pytest.mark.parametrize("arguments", [["--help"], ["convert", "--help"], ["tunings"]])
def test_help_imports_nothing_heavy(arguments: list[str]) -> None:
    # Python's own sys.modules after the command has run.
    code = (
        "import sys\nfrom rollstave.cli.main import main\n"
        "try:\n    main(sys.argv[1:])\nexcept SystemExit as end:\n    assert not end.code\n"
        "print('LOADED', *[m for m in sys.modules if '.' not in m])"
    )
    result = _run(code, *arguments)
    assert result.returncode == 0, result.stderr
    loaded = set(result.stdout.rsplit("LOADED", 1)[1].split())
    assert "click" in loaded
    assert not loaded & set(HEAVY)


def test_import_of_the_package_is_light() -> None:
    result = _run("import sys, rollstave; print(*sys.modules)")
    assert not set(result.stdout.split()) & {*HEAVY, "click"}


def test_a_tune_with_its_key_needs_no_music21(tmp_path: Path) -> None:
    path = next(p for p in SAMPLES if p.stem == "lantern-stairs")
    code = (
        "import sys\nfrom rollstave.cli.main import main\n"
        "try:\n    main(sys.argv[1:])\nexcept SystemExit as end:\n    assert not end.code\n"
        "assert 'music21' not in sys.modules"
    )
    result = _run(code, "convert", str(path), "--out", str(tmp_path))
    assert result.returncode == 0, result.stderr


def test_same_input_same_bytes(tmp_path: Path) -> None:
    """All formats of all samples, written by two processes whose hashes differ."""
    signs = tmp_path / "signs.txt"
    signs.write_text(SIGNS, encoding="utf-8")
    no_key = tmp_path / "no-key.txt"
    no_key.write_text(SIGNS.replace("Key: D\n", ""), encoding="utf-8")
    files = [*map(str, SAMPLES), str(signs), str(no_key)]
    code = (
        "import sys\nfrom rollstave.cli.main import main\n"
        "try:\n    main(sys.argv[1:])\nexcept SystemExit as end:\n    assert not end.code"
    )
    found = []
    for seed in ("1", "2024"):
        out = tmp_path / f"seed-{seed}"
        arguments = ["convert", *files, "--to", "musicxml,svg,mei,midi", "--out", str(out)]
        result = _run(code, *arguments, PYTHONHASHSEED=seed)
        assert result.returncode == 0, result.stderr
        found.append({p.name: p.read_bytes() for p in out.iterdir() if p.is_file()})
    assert len(found[0]) >= 4 * len(files)
    assert found[0].keys() == found[1].keys()
    different = [name for name in found[0] if found[0][name] != found[1][name]]
    assert different == []


def test_python_m(tmp_path: Path) -> None:
    result = subprocess.run(
        [sys.executable, "-m", "rollstave", "convert", str(tmp_path / "gone.txt")],
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )
    assert result.returncode == 2
    assert "Traceback" not in result.stderr


# How much is asked of each: the process ends in the same code for all encodings.
@pytest.mark.parametrize(("encoding", "ways"), [("ascii", 4), ("latin-1", 1), ("utf-8", 1)])
def test_a_terminal_without_the_letters_of_a_title(
    tmp_path: Path, encoding: str, ways: int
) -> None:
    """What cannot be shown is escaped; JSON is UTF-8 all the same (RFC 8259, section 8.1)."""
    title = "Fährlied \N{BANJO} \N{MUSIC SHARP SIGN}"
    path = tmp_path / "\N{BANJO}.txt"
    path.write_text(SIGNS.replace(SIGNS.splitlines()[0], f"Title: {title}"), encoding="utf-8")
    one, many = ["--to", "midi"], ["--to", "midi", "--report"]
    every = ([*one, "--json"], one, many, [*many, "--json"])
    for number, more in enumerate(every[: some(ways, 4)]):
        result = subprocess.run(
            [sys.executable, "-m", "rollstave", "convert", path, "--out", tmp_path / "o", *more],
            capture_output=True,
            check=False,
            timeout=60,
            env={**os.environ, "PYTHONIOENCODING": encoding},
        )
        assert result.returncode == 0, result.stderr
        assert b"Traceback" not in result.stderr
        if "--json" in more:
            told = json.loads(result.stdout.decode("utf-8"))
            assert (told if number == 0 else told["tunes"][0])["title"] == title


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full here")
def test_a_summary_that_cannot_be_printed_is_not_blamed_on_the_outputs(tmp_path: Path) -> None:
    """full(4): every write says that no space is left."""
    (tmp_path / "tabs").mkdir()
    (tmp_path / "tabs" / "signs.txt").write_text(SIGNS, encoding="utf-8")
    command = [sys.executable, "-m", "rollstave", "convert", tmp_path / "tabs", "--to", "midi"]
    with open("/dev/full", "wb") as full:
        result = subprocess.run(
            [*command, "--out", tmp_path / "o"],
            stdout=full, stderr=subprocess.PIPE, text=True, check=False, timeout=60,
        )  # fmt: skip
    assert result.returncode == 2
    words = os.strerror(errno.ENOSPC)
    assert result.stderr == f"the summary cannot be printed: {words}\n"
    reading, writing = os.pipe()
    os.close(reading)  # as `| head` does when it has read enough
    with os.fdopen(writing, "wb") as closed:
        result = subprocess.run(
            [*command, "--out", tmp_path / "o"],
            stdout=closed, stderr=subprocess.PIPE, text=True, check=False, timeout=60,
        )  # fmt: skip
    assert result.stderr == ""
    assert (tmp_path / "o" / "signs.mid").exists()
