"""Which tests call which function: those that may notice a fault in it are run first.

``python -m tests.benchmarks.mutation.touched FILE`` runs all tests of the map (``rooms.py``) once
and writes a line for each: its name, its seconds, and the functions that it called. What a test
takes from another's work (a session's fixture, a cache) is not seen, so a fault that no test of
these notices is still shown to all tests of its room.
"""

from __future__ import annotations

import ast
import json
import sys
import threading
import time
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path
from types import CodeType, FrameType

import pytest
from tests.benchmarks.mutation.rooms import ROOMS

ROOT = Path(__file__).parents[3]
_WATCHED = (str(ROOT / "convert"), str(ROOT / "plugins"))
_MOST = 120  # tests that are run first; those of many files tell more than many of one


class _Watch:
    """A plugin of pytest that writes down what each test calls."""

    def __init__(self, file: Path) -> None:
        self.told = file.open("w", encoding="utf-8")

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        called: dict[int, CodeType] = {}

        def note(frame: FrameType, event: str, value: object) -> None:
            called[id(frame.f_code)] = frame.f_code

        begun = time.process_time()
        threading.settrace(note)
        sys.settrace(note)
        try:
            result = yield
        finally:
            sys.settrace(None)
            threading.settrace(None)
        functions = sorted({_name(code) for code in called.values() if _is_ours(code)})
        row = (item.nodeid, round(time.process_time() - begun, 4), functions)
        self.told.write(json.dumps(row) + "\n")
        self.told.flush()
        return result


def _is_ours(code: CodeType) -> bool:
    return code.co_filename.startswith(_WATCHED)


def _name(code: CodeType) -> str:
    path = Path(code.co_filename).relative_to(ROOT).as_posix()
    return f"{path}::{code.co_qualname}"


def read_map(file: Path) -> dict[str, list[tuple[float, str]]]:
    """For each function, and for each module, the tests that call it with their seconds."""
    found: dict[str, list[tuple[float, str]]] = defaultdict(list)
    for line in file.read_text("utf-8").splitlines():
        test, seconds, functions = json.loads(line)
        for name in {*functions, *(f.partition("::")[0] for f in functions)}:
            found[name].append((seconds, test))
    return found


def tests_of(
    touched: dict[str, list[tuple[float, str]]], path: str, before: str, after: str
) -> tuple[str, ...]:
    """The tests to run first on a module that was changed: quick ones, of many files."""
    calling = touched.get(f"{path}::{_changed_function(before, after)}") or touched.get(path, [])
    by_file: dict[str, int] = defaultdict(int)
    ordered: list[tuple[int, float, str]] = []
    for seconds, test in sorted(calling):
        file = test.partition("::")[0]
        ordered.append((by_file[file], seconds, test))
        by_file[file] += 1
    return tuple(test for _, _, test in sorted(ordered)[:_MOST])


def _changed_function(before: str, after: str) -> str:
    """The qualified name of the innermost function in which two texts begin to differ."""
    pairs = zip(before.splitlines(), after.splitlines(), strict=False)
    line = next((n for n, (a, b) in enumerate(pairs, start=1) if a != b), 0)
    name = ""
    kinds = ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef

    def descend(node: ast.AST, outer: str) -> None:
        nonlocal name
        for child in ast.iter_child_nodes(node):
            if isinstance(child, kinds) and child.lineno <= line <= (child.end_lineno or 0):
                own = outer + child.name
                is_class = isinstance(child, ast.ClassDef)
                name = name if is_class else own
                descend(child, f"{own}." if is_class else f"{own}.<locals>.")
            else:
                descend(child, outer)

    descend(ast.parse(before), "")
    return name


def main() -> int:
    """Run the tests of the map, and write what each calls."""
    paths = dict.fromkeys(test for room in ROOMS for test in (*room.near, *room.far))
    options = ["-q", "-p", "no:cacheprovider", "--tb=line", *paths]
    return int(pytest.main(options, plugins=[_Watch(Path(sys.argv[1]).resolve())]))


if __name__ == "__main__":
    sys.exit(main())
