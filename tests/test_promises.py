"""The promises in the README name the tests that show them; here, that those tests exist."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

from tests.sources import nodes

ROOT = Path(__file__).parent.parent
_SECTION = re.compile(r"^## What you can rely on\n(.*?)^## ", re.MULTILINE | re.DOTALL)
_TEST = re.compile(r"`(tests/[\w/]+\.py)::(\w+)`")


def rows() -> list[str]:
    match = _SECTION.search((ROOT / "README.md").read_text(encoding="utf-8"))
    assert match is not None
    return [line for line in match[1].splitlines() if line.startswith("| ")][1:]


def test_there_are_promises() -> None:
    assert len(rows()) > 10


@pytest.mark.parametrize("row", rows())
def test_every_promise_has_a_test_that_exists(row: str) -> None:
    named = _TEST.findall(row)
    assert named, row
    for path, name in named:
        functions = {n.name for n in nodes(ROOT / path) if isinstance(n, ast.FunctionDef)}
        assert name in functions, name
