"""``rollstave rework``: what it writes, what it says, and what it leaves alone."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

import rollstave
from rollstave.cli.main import main
from rollstave.contract.manager import Contract
from tests.plugins.arranging import use_arranging
from tests.tunes import SAMPLES

FERRY = next(path for path in SAMPLES if path.stem == "ferry-landing")


@pytest.fixture(autouse=True)
def arranging(monkeypatch: pytest.MonkeyPatch) -> Contract:
    return use_arranging(monkeypatch)


@pytest.fixture
def tune(tmp_path: Path) -> Path:
    return Path(shutil.copy(FERRY, tmp_path))


def test_clean_text_beside_the_tune_says_what_it_is(tune: Path) -> None:
    before = tune.read_bytes()
    result = CliRunner().invoke(main, ["rework", str(tune), "--tuning", "gCGBD"])
    assert result.exit_code == 0, result.output
    made = tune.with_name("ferry-landing-tuning.txt")
    assert f"wrote {made}" in result.output
    assert "Reworked from Ferry Landing: in C tuning (gCGBD)" in made.read_text()
    assert "Tuning: gCGBD" in made.read_text()
    assert tune.read_bytes() == before


def test_any_format(tune: Path) -> None:
    wanted = ["rework", str(tune), "--tuning", "gCGBD", "--to", "musicxml,midi"]
    assert CliRunner().invoke(main, wanted).exit_code == 0
    made = {path.name for path in tune.parent.iterdir() if not path.name.startswith(".")}
    assert made == {tune.name, "ferry-landing-tuning.musicxml", "ferry-landing-tuning.mid"}


def test_standard_input_to_standard_output() -> None:
    text = FERRY.read_bytes()
    result = CliRunner().invoke(main, ["rework", "-", "--tuning", "gCGBD"], input=text)
    assert result.exit_code == 0
    (tune,) = rollstave.read(result.stdout)
    assert tune.score.setup.tuning.written == "gCGBD"


def test_a_refusal_writes_nothing(tune: Path) -> None:
    result = CliRunner().invoke(main, ["rework", str(tune), "--tuning", "gXYZ"])
    assert result.exit_code == 2
    assert "error: 'gXYZ' is no tuning" in result.output
    assert [p.name for p in tune.parent.iterdir()] == [tune.name]


def test_something_has_to_be_asked_for(tune: Path) -> None:
    result = CliRunner().invoke(main, ["rework", str(tune)])
    assert result.exit_code == 2
    assert "say what to change: --" in result.output


def test_what_was_changed_as_data(tune: Path) -> None:
    result = CliRunner().invoke(main, ["rework", str(tune), "--tuning", "aEAC#E", "--json"])
    report = json.loads(result.stdout)
    assert not report["failed"]
    (told,) = report["tunes"]
    assert told["title"] == "Ferry Landing"
    assert {change["code"] for change in told["changes"]} == {"reworked"}


def test_the_api_says_what_is_wrong_with_its_arguments() -> None:
    (tune,) = rollstave.read(FERRY)
    with pytest.raises(TypeError, match="there is no rework 'twirl'; there are: "):
        rollstave.rework(tune, "twirl", speed=2)
    with pytest.raises(TypeError, match="has no option 'strings'; it has tuning"):
        rollstave.rework(tune, "tuning", strings="gCGBD")
    with pytest.raises(TypeError, match="is a text"):
        rollstave.rework(tune, "tuning", tuning=3)
    made = rollstave.rework(tune, "tuning", tuning="gCGBD")
    assert made.score.notes[0].startswith("Reworked from Ferry Landing: ")
