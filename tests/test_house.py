"""The house: which room may import which, and that no module imports itself by way of others.

Imports for types and inside functions count as any other. The order is the project's own rule.
"""

from __future__ import annotations

import ast
import graphlib
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest
from msgspec import Struct

import rollstave
import rollstave.figures
from tests.sources import HOME, PLUGINS, ROOT, all_of_them, nodes, of_the_package, text

# Each room may import those on the lines above its own, and on a line of its own none but itself.
ORDER = (
    ("version", "patterns", "packaged", "pitch", "problems", "workers", "outputs"),
    ("grid", "instruments"),
    ("vocabulary",),
    ("contract", "reading", "rhythm"),
    ("score",),
    ("deciding",),
    ("notating",),
    ("writing", "musicxml_in"),
    ("assembly",),
    ("api",),
    ("reporting",),
    ("proofreading", "archive", "figures"),
    ("bench",),
    ("cli",),
    ("__init__",),  # the public names
    ("__main__",),
)
LEVEL = {room: level for level, rooms in enumerate(ORDER) for room in rooms}
# What the order would allow and the house does not: only the assembly, and what stands above it,
# sees both the contract with plugins and the rooms; a writer decides nothing musical, so it does
# not read what was typed.
NEVER = {
    *((room, "contract") for room in LEVEL if LEVEL[room] < LEVEL["assembly"]),
    ("api", "contract"),
    ("writing", "reading"),
}
# These read the public names, as anybody may; they stand on the package, not under it.
ON_TOP = {"figures"}
# Nothing is added here. A line that is mended is taken out: a test asks for it.
EXCEPTIONS = {
    # Clean text is written so that the reader takes it for what it is: the writer asks the reader.
    ("writing.text.document", "reading.page.decode"),
    ("writing.text.document", "reading.words.headings"),
    ("writing.text.document", "reading.words.section_names"),
    ("writing.text.document", "reading.words.title_line"),
    ("writing.text.document", "reading.words.titles"),
}


def name_of(path: Path) -> str:
    """A module's name without the package's: ``reading.words.titles``."""
    parts = path.relative_to(HOME).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" and len(parts) > 1 else parts)


@cache
def modules() -> dict[str, Path]:
    return {name_of(path): path for path in of_the_package()}


def imported(path: Path) -> Iterator[tuple[str, str]]:
    """What a file imports: the module, and the name out of it if there is one."""
    for node in nodes(path):
        if isinstance(node, ast.Import):
            yield from ((alias.name, "") for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: imports say the whole name"
            yield from ((node.module or "", alias.name) for alias in node.names)


@cache
def arrows() -> dict[str, set[str]]:
    """What each module of ours imports of ours."""
    found: dict[str, set[str]] = {name: set() for name in modules()}
    for name, path in modules().items():
        for module, thing in imported(path):
            if module.partition(".")[0] != "rollstave":
                continue
            inner = module.partition(".")[2]
            whole = ".".join(part for part in (inner, thing) if part)
            found[name].add(whole if whole in modules() else inner or "__init__")
    return found


def room_of(module: str) -> str:
    return module.partition(".")[0]


def wrong(module: str, other: str) -> bool:
    room, theirs = room_of(module), room_of(other)
    if room == theirs or (theirs == "__init__" and room in ON_TOP):
        return False
    return LEVEL[theirs] >= LEVEL[room] or (room, theirs) in NEVER


def test_every_room_has_its_place() -> None:
    assert {room_of(module) for module in modules()} == set(LEVEL)


def test_the_table_of_rooms_is_true() -> None:
    """Each room has its row in DEVELOPERS.md, and begins where that says."""
    table = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    rows = dict(re.findall(r"^\| `(\w+)/` \|.*\| (`.*`) \|$", table, re.MULTILINE))
    assert set(rows) == {path.name for path in HOME.iterdir() if (path / "__init__.py").exists()}
    for room, places in rows.items():
        for place in re.findall(r"`([^`]+)`", places):
            assert (HOME / room / place).exists(), f"{room}/{place}"


def test_no_arrow_runs_back() -> None:
    found = {(m, other) for m, others in arrows().items() for other in others if wrong(m, other)}
    assert sorted(found - EXCEPTIONS) == []
    assert sorted(EXCEPTIONS - found) == [], "mended: take it out of the list"


def test_no_module_imports_itself_by_way_of_others() -> None:
    graphlib.TopologicalSorter(arrows()).prepare()  # CycleError names the modules of a circle


def test_the_readers_of_this_test_see_arrows() -> None:
    """Imports for types, in functions and of modules count."""
    assert "reading.which" in arrows()["api"]
    assert "musicxml_in.document" in arrows()["musicxml_in"]  # in a function
    assert "writing.sheet.canvas" in arrows()["writing.others"]  # for types
    assert "reporting.files" in arrows()["cli.few"]  # a module out of a package
    assert len(modules()) > 150


@pytest.mark.parametrize("path", sorted(PLUGINS.rglob("*.py")), ids=lambda p: p.stem)
def test_plugins_use_the_public_names_only(path: Path) -> None:
    for module, thing in imported(path):
        if module.partition(".")[0] == "rollstave":
            public = {"rollstave": {*rollstave.__all__, "figures", "__version__", ""}}
            public["rollstave.figures"] = {*rollstave.figures.__all__, ""}
            assert thing in public.get(module, set()), f"{path.name}: {module} {thing}"


# Records ----------------------------------------------------------------------------------------

MOST_BY_POSITION = 3


class Call(Struct, frozen=True):
    """A call that names something: where, what, and how many values go by position."""

    where: str
    name: str
    values: int


def records() -> set[str]:
    """The names of all classes of ours that are msgspec Structs."""
    bases: dict[str, set[str]] = {}
    for path in all_of_them():
        for node in nodes(path):
            if isinstance(node, ast.ClassDef):
                named = {b.id if isinstance(b, ast.Name) else ast.unparse(b) for b in node.bases}
                bases.setdefault(node.name, set()).update(named)
    found = {"Struct", "msgspec.Struct"}
    while more := {name for name, of in bases.items() if of & found} - found:
        found |= more
    return found - {"Struct", "msgspec.Struct"}


def calls(path: Path) -> Iterator[Call]:
    for node in nodes(path):
        if isinstance(node, ast.Call):
            called = node.func  # a name, or what stands after the last dot
            name = getattr(called, "attr", getattr(called, "id", ""))
            yield Call(f"{path.relative_to(ROOT)}:{node.lineno}", name, len(node.args))


def test_records_with_many_values_are_built_by_name() -> None:
    ours = records()
    assert {"Note", "Score", "Writer", "Problem"} <= ours
    found = [c for path in all_of_them() for c in calls(path) if c.name in ours]
    assert len(found) > 100
    assert [c for c in found if c.values > MOST_BY_POSITION] == []


def test_no_module_and_no_function_is_long() -> None:
    """A reader sees one job at a time. How many branches a function has is for the linter."""
    modules = {p.name: n for p in all_of_them() if (n := len(text(p).splitlines())) > 400}
    functions = {
        f"{path.name}:{node.lineno} {node.name}"
        for path in all_of_them()
        for node in nodes(path)
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        and (node.end_lineno or 0) - node.lineno >= 60
    }
    assert (modules, functions) == ({}, set())
