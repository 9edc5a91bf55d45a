"""Plugins that are good, broken, slow, too new: what becomes of each, and of the rest."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

import rollstave
from rollstave.assembly import plugins
from rollstave.assembly.plugins import contract_of
from rollstave.contract import manager
from rollstave.contract.discovery import Found, entry_points
from rollstave.contract.manager import Contract

TAB = """Title: Ferry Bell
Tuning: gDGBD
Key: G
Time: 4/4

D|-0-2-3-5-7-5-3-2-|-0---------------|
B|-----------------|-----------------|
G|-----------------|-----------------|
D|-----------------|-----------------|
g|-----------------|-----------------|
"""
GOOD = """
import rollstave
rollstave_contract = "1.0"

@rollstave.hookimpl
def rollstave_writers():
    unit = rollstave.WriterOption("unit", "notes")
    return [rollstave.Writer("count", ".count", count, options=(unit,))]

def count(score, unit="notes"):
    return f"{sum(len(m.events) for m in score.measures)} {unit}".encode()
"""


class Folder:
    """A folder of plugin modules on the path, and a contract that finds them."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.made: list[str] = []

    def contract(self, **modules: str) -> Contract:
        for name, text in modules.items():
            (self.folder / f"{name}.py").write_text(text, encoding="utf-8")
            self.made.append(name)
        found = [Found(n, n, f"{n}-package", "2.1") for n in sorted(modules)]
        return contract_of(found)


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Folder]:
    monkeypatch.syspath_prepend(str(tmp_path))
    made = Folder(tmp_path)
    yield made
    for name in made.made:
        sys.modules.pop(name, None)


def use(contract: Contract, monkeypatch: pytest.MonkeyPatch) -> None:
    """Let all of rollstave use this contract."""
    monkeypatch.setattr(plugins, "contract", lambda: contract)


def reasons(contract: Contract) -> dict[str, str]:
    contract.discover()
    for kind in manager.KINDS:
        contract.offers(kind)
    return {fault.plugin: fault.reason for fault in contract.faults}


def test_our_own_parts_come_through_the_contract() -> None:
    own = contract_of([])
    assert [o.thing.name for o in own.offers("writers")][:3] == ["musicxml", "mxl", "svg"]
    assert {o.plugin.name for kind in manager.KINDS for o in own.offers(kind)} == {"rollstave"}
    assert [i.name for i in own.instruments()] == [
        "five-string banjo",
        "tenor banjo",
        "plectrum banjo",
    ]


def test_a_plugins_writer_writes_with_its_options(
    folder: Folder, monkeypatch: pytest.MonkeyPatch
) -> None:
    use(folder.contract(counting=GOOD), monkeypatch)
    (tune,) = rollstave.read(TAB)
    assert rollstave.write(tune, "count") == [b"9 notes"]
    assert rollstave.write(tune, "count", unit="strokes") == [b"9 strokes"]
    with pytest.raises(TypeError, match="has no option 'size'; it has unit"):
        rollstave.write(tune, "count", size=3)


BROKEN = {
    "absent": ("import no_such_module_at_all", "cannot be imported: No module named"),
    "raising": ("raise RuntimeError('the tide is out')", "RuntimeError: the tide is out"),
    "leaving": ("import sys; sys.exit(3)", "SystemExit(3)"),
    "newer": ("rollstave_contract = '2.0'", "version 2.0 of the contract"),
    "asking": (
        "import rollstave\n@rollstave.hookimpl\ndef rollstave_writers(score): return []",
        "score",
    ),
    "failing": (
        "import rollstave\n@rollstave.hookimpl\ndef rollstave_marks(): raise KeyError('x')",
        "rollstave_marks failed: KeyError",
    ),
    "nothing": (
        "import rollstave\n@rollstave.hookimpl\ndef rollstave_dialects(): pass",
        "returned nothing, not a sequence",
    ),
    "wrong": (
        "import rollstave\n@rollstave.hookimpl\ndef rollstave_instruments(): return ['lute']",
        "a str is no Instrument",
    ),
    "taken": (
        "import rollstave\n@rollstave.hookimpl\ndef rollstave_writers():\n"
        "    return [rollstave.Writer('svg', '.svg', 'a:b')]",
        "'svg' is there already, from rollstave",
    ),
    "unmarked": ("def rollstave_writers(): return []", "not marked with @rollstave.hookimpl"),
    "misnamed": ("def rollstave_writer(): return []", "there is no hook rollstave_writer"),
}


@pytest.mark.parametrize("name", BROKEN)
def test_a_broken_plugin_is_named_and_the_others_work(name: str, folder: Folder) -> None:
    text, reason = BROKEN[name]
    contract = folder.contract(**{name: text, "counting": GOOD})
    found = reasons(contract)
    assert set(found) == {name}
    assert reason in found[name]
    assert contract.faults[0].origin == f"{name}-package 2.1"
    assert "count" in [o.thing.name for o in contract.offers("writers")]


def test_a_plugin_that_never_ends_loading_is_left_behind(
    folder: Folder, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(manager.LIMIT, "2")
    contract = folder.contract(endless="import time\ntime.sleep(600)", counting=GOOD)
    assert "more than 2 seconds" in reasons(contract)["endless"]
    assert contract.find("writers", "count") is not None


def test_what_fails_later_is_named_too(folder: Folder, monkeypatch: pytest.MonkeyPatch) -> None:
    """A dialect and a mark that raise take nothing with them; a writer that raises is an error,
    since it was asked for."""
    text = """
import rollstave
@rollstave.hookimpl
def rollstave_dialects(): return [rollstave.Dialect("tide", fail, fail)]
@rollstave.hookimpl
def rollstave_marks(): return [rollstave.Mark("tide", fail)]
@rollstave.hookimpl
def rollstave_rhythm_evidence(): return [rollstave.RhythmEvidence("tide", fail)]
@rollstave.hookimpl
def rollstave_writers(): return [rollstave.Writer("tide", ".tide", fail)]
def fail(*given): raise ValueError("the tide is out")
"""
    contract = folder.contract(tide=text)
    use(contract, monkeypatch)
    (tune,) = rollstave.read(TAB)
    (svg,) = rollstave.write(tune, "svg")
    use(contract_of([]), monkeypatch)
    assert rollstave.write(tune, "svg") == [svg]
    use(contract, monkeypatch)
    with pytest.raises(rollstave.TabError, match="the tide is out"):
        rollstave.write(tune, "tide")
    said = [fault.reason for fault in contract.faults]
    assert [s.partition(" failed")[0] for s in said] == [
        "the dialect 'tide'",
        "the rhythm evidence 'tide'",
        "the mark 'tide'",
        "the writer 'tide'",
    ]


def test_a_dialect_is_read_and_problems_point_into_the_original(
    folder: Folder, monkeypatch: pytest.MonkeyPatch
) -> None:
    text = """
import rollstave
@rollstave.hookimpl
def rollstave_dialects():
    return [rollstave.Dialect("gulls", lambda t: 1.0 if t.startswith("GULLS") else 0.0, read)]
def read(text):
    frets = text.split()[1:]
    rows = ["D|-" + "-".join(frets) + "-|"]
    rows += [f"{name}|" + "-" * (2 * len(frets) + 1) + "|" for name in "BGDg"]
    return rollstave.HouseText("\\n".join(rows), lines=(2, 0, 0, 0, 0))
"""
    use(folder.contract(gulls=text), monkeypatch)
    (tune,) = rollstave.read("GULLS\n0 2 3 5\n")
    notes = [n.fret for m in tune.score.measures for e in m.events for n in e.notes]
    assert notes == [0, 2, 3, 5]
    assert (
        "gulls, 100% sure, by the plugin gulls"
        in {p.code: p for p in tune.problems}["dialect"].message
    )
    with pytest.raises(rollstave.TabError) as caught:
        rollstave.read("GULLS\n0 2 3 99\n")
    (problem,) = [p for p in caught.value.problems if p.severity is rollstave.Severity.ERROR]
    assert problem.place == rollstave.Place(2, 1)


def test_evidence_decides_between_readings_and_says_why(
    folder: Folder, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Notes typed so evenly that columns say little: the plugin wants a quarter note first."""
    text = """
import rollstave
@rollstave.hookimpl
def rollstave_rhythm_evidence(): return [rollstave.RhythmEvidence("slow start", weigh)]
def weigh(measure, meter, candidates):
    wanted = [5.0 if c.onsets[1] - c.onsets[0] == 1 else 0.0 for c in candidates]
    return rollstave.Weights(wanted, "a slow start is usual here")
"""
    row = "|-0-2-3-5-7-5-|-0-2-3-5-7-|-0-2-3-5-7-5-|-0-2-3-5-7-|"
    rest = "|-------------|-----------|-------------|-----------|"
    tab = "Tuning: gDGBD\nKey: G\nTime: 4/4\n\n" + "\n".join(
        [f"D{row}", *(f"{n}{rest}" for n in "BGDg")]
    )

    def onsets() -> list[str]:
        return [str(e.onset) for e in rollstave.read(tab)[0].score.measures[0].events]

    use(contract_of([]), monkeypatch)
    before = onsets()
    contract = folder.contract(slow=text)
    use(contract, monkeypatch)
    after = onsets()
    assert contract.faults == []
    assert before[1] != "1"
    assert after[1] == "1"
    assert "a slow start is usual here" in rollstave.read(tab)[0].score.measures[0].rhythm.reasons


def test_a_mark_draws_on_each_system(folder: Folder, monkeypatch: pytest.MonkeyPatch) -> None:
    text = """
import rollstave
@rollstave.hookimpl
def rollstave_marks(): return [rollstave.Mark("open strings", draw)]
def draw(canvas):
    for placed in canvas.notes():
        if placed.note.fret == 0:
            canvas.circle(placed.x, placed.y, 220)
"""
    use(folder.contract(circles=text), monkeypatch)
    (tune,) = rollstave.read(TAB)
    svg = rollstave.write(tune, "svg")[0].decode()
    assert 'class="marks open-strings"' in svg
    assert svg.count("<circle") == 2  # the tab has two open strings


def test_a_tuning_is_added_to_an_instrument(
    folder: Folder, monkeypatch: pytest.MonkeyPatch
) -> None:
    text = """
import rollstave
@rollstave.hookimpl
def rollstave_tunings():
    tuning = rollstave.Tuning.of("gDGCE", "G4 D3 G3 C4 E4", "low tide")
    return [rollstave.TuningOf("five-string banjo", tuning), rollstave.TuningOf("lute", tuning)]
"""
    contract = folder.contract(tides=text)
    use(contract, monkeypatch)
    (tune,) = rollstave.read(TAB.replace("gDGBD", "low tide"))
    assert tune.score.setup.tuning.written == "gDGCE"
    assert [p.midi for p in tune.score.setup.tuning.pitches] == [64, 60, 55, 50, 67]
    contract.instruments()
    assert any("no instrument 'lute'" in fault.reason for fault in contract.faults)


def test_entry_points_are_those_that_importlib_finds() -> None:
    """The reference: ``importlib.metadata`` of the standard library, over all packages here."""
    from importlib import metadata

    for group in ("console_scripts", "pytest11", "rollstave"):
        wanted = {
            (e.name, e.value.split("[")[0].strip()) for e in metadata.entry_points(group=group)
        }
        found = {(e.name, e.value) for e in entry_points(group)}
        assert wanted <= found, group
    ours = {e.name: e for e in entry_points("pytest11")}
    assert ours["hypothesispytest"].version == metadata.version("hypothesis")


def test_nothing_of_plugins_is_touched_by_help_or_by_a_banjo_tab(tmp_path: Path) -> None:
    import subprocess

    tab = tmp_path / "tune.txt"
    tab.write_text(TAB, encoding="utf-8")
    script = """
import sys
from rollstave.cli.main import main
for arguments, unwanted in (
    (["--help"], ("pluggy", "rollstave.contract.manager", "importlib.metadata")),
    (["convert", sys.argv[1], "--to", "text", "--out", sys.argv[2]],
     ("rollstave_fretted.table", "importlib.metadata", "music21", "lxml", "verovio")),
):
    main(arguments, standalone_mode=False)
    found = [name for name in unwanted if name in sys.modules]
    assert not found, found
"""
    done = subprocess.run(
        [sys.executable, "-c", script, str(tab), str(tmp_path / "out")],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr


def test_what_stands_behind_a_wrong_offer_is_offered(folder: Folder) -> None:
    """Only what is wrong is left out, and is named."""
    many = GOOD.replace(
        'return [rollstave.Writer("count"',
        'return ["no writer", rollstave.Writer("svg", ".svg", count), rollstave.Writer("count"',
    )
    contract = folder.contract(counting=many)
    offered = [o.thing.name for o in contract.offers("writers") if o.plugin.name == "counting"]
    assert offered == ["count"]
    said = [fault.reason for fault in contract.faults]
    assert len(said) == 2
    assert all("left out" in reason for reason in said)
