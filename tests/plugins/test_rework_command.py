"""``rollstave rework``: what it writes, what it says, and what it leaves alone."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

import rollstave
from rollstave.assembly import plugins
from rollstave.cli.main import main
from rollstave.contract.discovery import Found
from rollstave.contract.manager import Contract
from tests.plugins.arranging import ARRANGING, use_arranging
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


def test_each_change_is_told_in_its_file_and_at_its_place(tune: Path) -> None:
    """As compilers tell it: file, line and column, then what it is."""
    wanted = ["rework", str(tune), "--tuning", "aEAC#E"]
    told = json.loads(CliRunner().invoke(main, [*wanted, "--json"]).stdout)["tunes"][0]["changes"]
    output = CliRunner().invoke(main, [*wanted, "--overwrite"]).output
    assert told
    for change in told:
        where = f":{change['line']}:{change['column']}" if change["line"] else ""
        assert f"{tune}{where}: {change['severity']}: {change['message']}\n" in output


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
    assert result.output.startswith(f"{tune}: error: 'gXYZ' is no tuning")
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


def test_the_rework_of_the_guide_works_beside_ours(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    guide = (Path(__file__).parents[2] / "DEVELOPERS.md").read_text(encoding="utf-8")
    code = guide.partition("<!-- a rework -->\n```python\n")[2].partition("```")[0]
    (tmp_path / "slower_tunes.py").write_text(code)
    monkeypatch.syspath_prepend(str(tmp_path))
    slower = Found(name="slower", value="slower_tunes", package="slower", version="1")
    made = plugins.contract_of([ARRANGING, slower])
    monkeypatch.setattr(plugins, "contract", lambda: made)
    wanted = ["rework", str(FERRY), "--percent", "50", "--out", str(tmp_path)]
    result = CliRunner().invoke(main, wanted)
    assert result.exit_code == 0, result.output
    text = (tmp_path / "ferry-landing-slower.txt").read_text()
    assert "Tempo: 52" in text
    assert "Reworked from Ferry Landing: at 50% of its tempo" in text
    assert not made.faults


def test_the_readme_shows_what_is_made() -> None:
    readme = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
    _, before, _, after, *_ = (
        part.strip("\n")
        for part in readme.partition("Of these two\nmeasures in C tuning,")[2].split("```")
    )
    head = "Tuning: gCGBD\nKey: C\nTime: 2/2\n\n"
    (tune,) = rollstave.read(head + before + "\n")
    (shown,) = rollstave.read(head + after + "\n")
    made = rollstave.rework(tune, "position", position="5-9").score
    assert [[(n.string, n.fret) for e in m.events for n in e.notes] for m in made.measures] == [
        [(n.string, n.fret) for e in m.events for n in e.notes] for m in shown.score.measures
    ]


def test_an_option_that_another_rework_has_is_left_out_and_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "twice_tuned.py").write_text(
        "import rollstave\n"
        "@rollstave.hookimpl\n"
        "def rollstave_reworks():\n"
        "    option = rollstave.WriterOption('tuning', '')\n"
        "    return [rollstave.Rework(name='again', rework=print, options=(option,))]\n"
    )
    monkeypatch.syspath_prepend(str(tmp_path))
    twice = Found(name="twice", value="twice_tuned", package="twice", version="1")
    made = plugins.contract_of([ARRANGING, twice])
    monkeypatch.setattr(plugins, "contract", lambda: made)
    (tune,) = rollstave.read(FERRY)
    with pytest.raises(TypeError, match="no rework 'again'"):
        rollstave.rework(tune, "again", tuning="gCGBD")
    assert any("an option 'tuning' is there already" in str(fault) for fault in made.faults)


def test_a_rework_that_fails_is_named_and_nothing_is_written(
    tune: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "torn_tunes.py").write_text(
        "import rollstave\n"
        "def torn(score, tear): raise RuntimeError('the tide is out')\n"
        "@rollstave.hookimpl\n"
        "def rollstave_reworks():\n"
        "    option = rollstave.WriterOption('tear', 0)\n"
        "    return [rollstave.Rework(name='torn', rework=torn, options=(option,))]\n"
    )
    monkeypatch.syspath_prepend(str(tmp_path))
    torn = Found(name="torn", value="torn_tunes", package="torn", version="1")
    made = plugins.contract_of([torn])
    monkeypatch.setattr(plugins, "contract", lambda: made)
    result = CliRunner().invoke(main, ["rework", str(tune), "--tear", "1"])
    assert result.exit_code == 2
    assert "plugin torn (torn 1): the rework 'torn' failed: RuntimeError: the tide is out" in (
        result.output
    )
    assert not list(tune.parent.glob("*-torn*"))
