"""The filter, run by pandoc itself."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from lxml import html

from tests.plugins.tabs import ROLL, WRONG

pytest.importorskip("panflute", reason="panflute is not installed")
pypandoc = pytest.importorskip("pypandoc", reason="pandoc (pypandoc_binary) is not installed")


def _run(folder: Path, text: str, to: str, *more: str) -> subprocess.CompletedProcess[str]:
    """Run pandoc on a text with the filter, as a user would."""
    script = folder / "rollstave-filter"
    script.write_text(
        f"#!{sys.executable}\nfrom rollstave_pandoc import main\nmain()\n", encoding="utf-8"
    )
    script.chmod(0o755)
    (folder / "in.md").write_text(text)
    command = [pypandoc.get_pandoc_path(), "in.md", "--filter", str(script), "-t", to, *more]
    return subprocess.run(command, cwd=folder, capture_output=True, text=True, env=os.environ)


def _block(tab: str, words: str = "") -> str:
    return f"Before\n\n```{{.rollstave {words}}}\n{tab}```\n\nAfter\n"


def test_html(tmp_path: Path) -> None:
    done = _run(tmp_path, _block(ROLL, '#roll view=tab measures=1 caption="One"'), "html")
    assert done.returncode == 0, done.stderr
    root = html.fromstring(f"<div>{done.stdout}</div>")
    (figure,) = root.xpath("//figure[@id='roll']")
    assert figure.xpath("count(.//g[@class='measure'])") == 1
    assert len(root.xpath("//style")) == 1


def test_latex_twice(tmp_path: Path) -> None:
    done = _run(tmp_path, _block(ROLL, 'caption="One"'), "latex")
    assert done.returncode == 0, done.stderr
    folder = tmp_path / "rollstave-figures"
    (pdf,) = folder.glob("*.pdf")
    assert f"rollstave-figures/{pdf.name}" in done.stdout
    times = {p.name: p.stat().st_mtime_ns for p in folder.iterdir()}
    again = _run(tmp_path, _block(ROLL, 'caption="One"'), "latex")
    assert again.stdout == done.stdout
    assert {p.name: p.stat().st_mtime_ns for p in folder.iterdir()} == times


def test_word(tmp_path: Path) -> None:
    done = _run(tmp_path, _block(ROLL), "docx", "-o", "out.docx")
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "out.docx").stat().st_size > 5000


def test_errors(tmp_path: Path) -> None:
    done = _run(tmp_path, _block(WRONG), "html")
    assert done.returncode == 0
    assert "line 8, column 9: fret 3" in done.stdout
    assert "line 8, column 9: fret 3" in done.stderr
    strict = _run(tmp_path, _block(WRONG), "html", "-M", "rollstave-strict=true")
    assert strict.returncode != 0
    assert "Traceback" not in strict.stderr
