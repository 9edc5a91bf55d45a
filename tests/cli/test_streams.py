"""What a command prints where: what was asked for on standard output, errors beside it.

Common practice, no source: what is piped into another program has no talk in it, and an error is
seen although standard output goes to a file.
"""

from __future__ import annotations

import json
from importlib.metadata import entry_points
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

import rollstave
from rollstave.cli.main import main
from tests.archive.tabs import tab


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(a) for a in arguments])


@pytest.fixture
def tune(tmp_path: Path) -> Path:
    path = tmp_path / "tune.txt"
    path.write_text(tab(), encoding="utf-8")
    return path


TO_A_FILE = {
    "book": (["book", "{tune}"], "pdf"),
    "shapes": (["shapes", "C"], "svg"),
    "lesson": (["lesson", "{tune}"], "txt"),
}


@pytest.mark.parametrize(("command", "ending"), TO_A_FILE.values(), ids=TO_A_FILE)
def test_what_was_written_and_replaced_is_told_on_standard_output(
    tune: Path, command: list[str], ending: str
) -> None:
    out = tune.parent / f"mine.{ending}"
    out.write_text("mine", encoding="utf-8")
    arguments = [part.format(tune=tune) for part in command]
    result = run(*arguments, "--out", out, "--overwrite")
    assert result.exit_code == 0, result.output
    assert f"{out} was replaced" in result.stdout
    assert f"wrote {out}" in result.stdout
    assert result.stderr.strip() == ""  # the end of a line that told how far a book was


def test_help_lists_the_commands_of_all_packages() -> None:
    """What importlib finds is there (Python Packaging User Guide, Entry points specification)."""
    names = {entry.name for entry in entry_points(group="rollstave.commands")}
    listed = {line.split()[0] for line in run("--help").stdout.splitlines() if line[:2] == "  "}
    assert names >= {"drill", "lesson"}
    assert names <= listed


def test_beside_json_it_is_told_on_standard_error(tmp_path: Path) -> None:
    out = tmp_path / "mine.svg"
    out.write_text("mine", encoding="utf-8")
    result = run("shapes", "C", "--json", "--out", out, "--overwrite")
    assert json.loads(result.stdout)
    assert f"{out} was replaced" in result.stderr
    assert f"wrote {out}" in result.stderr


AS_JSON = {
    "check": ["check", "{tune}"],
    "compare": ["compare", "{tune}", "{tune}"],
    "convert": ["convert", "{tune}", "--to", "midi"],
    "plugins": ["plugins"],
    "rework": ["rework", "{tune}", "--tuning", "gCGBD"],
    "shapes": ["shapes", "C"],
    "tunings": ["tunings"],
}


@pytest.mark.parametrize("command", AS_JSON.values(), ids=AS_JSON)
def test_json_has_standard_output_for_itself(tune: Path, command: list[str]) -> None:
    result = run(*(part.format(tune=tune) for part in command), "--json")
    assert result.exit_code == 0, result.output
    assert json.loads(result.stdout)
    assert result.stderr == ""


@pytest.mark.parametrize(
    "command",
    [["rework", "-", "--tuning", "gCGBD"], ["lesson", "-"]],
    ids=["rework", "lesson"],
)
def test_a_text_that_is_printed_has_no_talk_in_it(command: list[str]) -> None:
    result = CliRunner().invoke(main, command, input=tab())
    assert result.exit_code == 0, result.output
    first = result.stdout.splitlines()[0]
    assert "The Two Oars" in first
    assert ":" not in first.removeprefix("Title:")
    assert rollstave.read(result.stdout)


MISSING = {
    "book": ["book", "{none}", "--out", "{none}.pdf"],
    "check": ["check", "{none}"],
    "compare": ["compare", "{none}", "{none}"],
    "convert": ["convert", "{none}"],
    "lesson": ["lesson", "{none}"],
    "rework": ["rework", "{none}", "--tuning", "gCGBD"],
    "tidy": ["tidy", "{none}"],
}


@pytest.mark.parametrize("command", MISSING.values(), ids=MISSING)
def test_an_error_is_told_on_standard_error_alone(tmp_path: Path, command: list[str]) -> None:
    none = tmp_path / "none.txt"
    result = run(*(part.format(none=none) for part in command))
    assert result.exit_code != 0
    assert result.stdout == ""
    assert "none.txt" in result.stderr
    assert "No such file" in result.stderr or "does not exist" in result.stderr
