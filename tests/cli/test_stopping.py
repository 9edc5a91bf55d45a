"""Ctrl-C at any moment, and output that cannot be printed: a line at most, and an exit code."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from rollstave.cli.main import main
from tests.archive.tabs import tab

# Sends itself Ctrl-C when a module is about to be imported: the same moment every time.
STOPPED = """
import os, signal, sys
signal.signal(signal.SIGINT, signal.default_int_handler)
module = sys.argv.pop(1)
class Stop:
    def find_spec(self, name, path=None, target=None):
        if name == module:
            os.kill(os.getpid(), signal.SIGINT)
sys.meta_path.insert(0, Stop())
from rollstave.__main__ import run
run()
"""
MOMENTS = ["click", "rollstave.cli.main", "rollstave.cli.convert", "rollstave.archive.making",
           "rollstave.cli.few", "rollstave.reading", "rollstave.outputs.place"]  # fmt: skip


@pytest.mark.parametrize("module", MOMENTS)
def test_ctrl_c_in_the_first_moments_is_quiet(tmp_path: Path, module: str) -> None:
    path = tmp_path / "tune.txt"
    path.write_text(tab(), encoding="utf-8")
    end = subprocess.run(
        [sys.executable, "-c", STOPPED, module, "convert", str(path), "--to", "midi"],
        capture_output=True, text=True, check=False, timeout=60,
    )  # fmt: skip
    assert (end.returncode, end.stderr, end.stdout) == (130, "", "")
    assert [p.name for p in tmp_path.iterdir()] == ["tune.txt"]


def test_ctrl_c_while_files_are_written_leaves_nothing_half_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "tune.txt"
    path.write_text(tab(), encoding="utf-8")

    def stop(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("os.fsync", stop)
    result = CliRunner().invoke(main, ["convert", str(path), "--to", "midi"])
    assert result.exit_code == 130
    assert result.output == ""
    assert [p.name for p in tmp_path.iterdir()] == ["tune.txt"]


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full here")
@pytest.mark.parametrize("arguments", [["tunings"], ["plugins"], ["shapes", "C"], ["--help"]])
def test_what_cannot_be_printed_is_said(arguments: list[str]) -> None:
    """full(4): every write says that no space is left."""
    with open("/dev/full", "wb") as full:
        end = subprocess.run(
            [sys.executable, "-m", "rollstave", *arguments],
            stdout=full, stderr=subprocess.PIPE, text=True, check=False, timeout=60,
        )  # fmt: skip
    assert end.returncode == 2
    assert end.stderr == f"error: {os.strerror(errno.ENOSPC)}\n"


def test_a_run_that_ignores_ctrl_c_goes_on(tmp_path: Path) -> None:
    """As a shell starts it in the background."""
    path = tmp_path / "tune.txt"
    path.write_text(tab(), encoding="utf-8")
    code = STOPPED.replace("signal.default_int_handler", "signal.SIG_IGN")
    end = subprocess.run(
        [sys.executable, "-c", code, "rollstave.cli.few", "convert", str(path), "--to", "midi"],
        capture_output=True, text=True, check=False, timeout=60,
    )  # fmt: skip
    assert end.returncode == 0, end.stderr
    assert path.with_suffix(".mid").exists()
