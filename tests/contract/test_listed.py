"""What ``rollstave plugins`` lists, and how the options of a writer are typed."""

from __future__ import annotations

import json
import time

import pytest
from click.testing import CliRunner

import rollstave
from rollstave.assembly import plugins
from rollstave.cli.main import main
from tests.contract.test_manager import GOOD, Folder, folder, use

__all__ = ["folder"]

BROKEN = """
import rollstave
rollstave_contract = "1.1"

@rollstave.hookimpl
def rollstave_writers():
    return [rollstave.Writer("late", ".late", "no_such_module_here:write")]
"""
EMPTY = 'rollstave_contract = "1.0"\n'


@pytest.fixture
def listed(folder: Folder, monkeypatch: pytest.MonkeyPatch) -> None:
    made = folder.contract(good=GOOD, broken=BROKEN, empty=EMPTY, torn="1 / 0\n")
    use(made, monkeypatch)
    monkeypatch.setattr(plugins, "contract", lambda: made)


@pytest.mark.usefixtures("listed")
def test_each_plugin_with_what_it_offers_and_what_is_left_out() -> None:
    result = CliRunner().invoke(main, ["plugins"])
    assert result.exit_code == 0
    lines = result.output.splitlines()
    assert lines[0] == "contract 1.2"
    at = next(i for i, line in enumerate(lines) if line.startswith("good (good-package 2.1"))
    assert lines[at + 1] == "  writers: count"
    at = next(i for i, line in enumerate(lines) if line.startswith("empty (empty-package 2.1"))
    assert lines[at + 1] == "  offers nothing"
    at = lines.index("left out:")
    rest = "\n".join(lines[at + 1 :])
    # A module that raises, with the kind of error; a function that is nowhere.
    assert "  torn (torn-package 2.1): " in rest
    assert "ZeroDivisionError" in rest
    assert "  broken (broken-package 2.1): " in rest
    assert "no_such_module_here" in rest


@pytest.mark.usefixtures("listed")
def test_the_list_as_data() -> None:
    result = CliRunner().invoke(main, ["plugins", "--json"])
    report = json.loads(result.output)
    assert report["contract"] == "1.2"
    plugins = {p["name"]: p for p in report["plugins"]}
    good = plugins["good"]
    assert (good["package"], good["version"], good["module"]) == ("good-package", "2.1", "good")
    assert good["offers"] == {"writers": ["count"]}
    assert plugins["empty"]["offers"] == {}
    assert {f["plugin"] for f in report["left_out"]} == {"torn", "broken"}
    assert all(b["name"] and b["package"] for b in report["bridges"])


@pytest.mark.parametrize(
    ("default", "typed", "value"),
    [
        (False, "yes", True),
        (False, "TRUE", True),
        (False, " 1 ", True),
        (True, "no", False),
        (True, "False", False),
        (True, "0", False),
        (4, "12", 12),
        (1.5, "2.25", 2.25),
        ("quarters", "beats", "beats"),
    ],
)
def test_options_have_the_type_of_their_default(
    default: bool | int | float | str, typed: str, value: object
) -> None:
    found = rollstave.WriterOption("unit", default).read(typed)
    assert found == value
    assert type(found) is type(default)


@pytest.mark.parametrize(
    ("default", "typed", "said"),
    [
        (True, "perhaps", "unit is yes or no, not 'perhaps'"),
        (4, "four", "unit is a whole number, not 'four'"),
        (4, "4.5", "unit is a whole number, not '4.5'"),
        (1.5, "much", "unit is a number, not 'much'"),
    ],
)
def test_options_that_are_typed_wrong(
    default: bool | int | float | str, typed: str, said: str
) -> None:
    with pytest.raises(ValueError, match="unit") as raised:
        rollstave.WriterOption("unit", default).read(typed)
    assert str(raised.value) == said


def test_the_words_of_severity() -> None:
    """They stand in what ``check --json`` and ``convert --json`` print, so they stay."""
    assert [s.value for s in rollstave.Severity] == ["notice", "warning", "error"]


def test_no_plugin_took_longer_than_all_of_them(folder: Folder) -> None:
    begun = time.perf_counter()
    made = folder.contract(good=GOOD, slow="import time\ntime.sleep(0.02)\n" + EMPTY)
    made.discover()
    took = time.perf_counter() - begun
    seconds = {plugin.name: plugin.seconds for plugin in made.plugins}
    assert sum(seconds.values()) <= took
    assert seconds["slow"] >= 0.02


HARP = """
import rollstave
rollstave_contract = "1.0"

@rollstave.hookimpl
def rollstave_instruments():
    made = []
    for name in ("gull harp", "tern harp"):
        tuning = rollstave.Tuning.of("GD", "G3 D4")
        made.append(
            rollstave.Instrument(
                name=name, strings=2, frets=12, octave_written=0, program=25,
                sound="pluck.harp", tunings=(tuning,),
            )
        )
    return made
"""


def test_instruments_that_give_no_rank_come_last_in_their_order(
    folder: Folder, monkeypatch: pytest.MonkeyPatch
) -> None:
    use(folder.contract(harp=HARP), monkeypatch)
    names = [i.name for i in rollstave.known_instruments()]
    assert names[0] == "five-string banjo"
    assert names[-2:] == ["gull harp", "tern harp"]
