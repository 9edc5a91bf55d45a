"""The codes of problems: one row for each, and no way around it."""

from __future__ import annotations

import ast
import re

import pytest

import rollstave
from rollstave.problems import Severity
from rollstave.vocabulary import problems as kinds
from tests.sources import nodes, of_the_package, text


def test_each_code_stands_in_one_row() -> None:
    rows = [thing for thing in vars(kinds).values() if isinstance(thing, kinds.ProblemKind)]
    assert len(rows) == len({row.code for row in rows}) == len(kinds.PROBLEM_KINDS) > 50


def test_each_row_is_named_by_its_code_and_says_what_it_means() -> None:
    for code, kind in kinds.PROBLEM_KINDS.items():
        assert getattr(kinds, code.upper().replace("-", "_")) is kind
        assert re.fullmatch(r"[a-z]+(-[a-z]+)*", code)
        assert kind.meaning.endswith(".")
        assert kind.severity not in kind.also


def test_each_row_is_reported_by_somebody() -> None:
    """A code that nothing reports any more is a promise that nobody keeps."""
    named = {
        node.attr
        for path in of_the_package()
        if "kinds." in text(path)  # to parse all of them takes a second
        for node in nodes(path)
        if isinstance(node, ast.Attribute) and getattr(node.value, "id", "") == "kinds"
    }
    # What is named in capitals is a row or some of them, so no code is lost on its way.
    rows = {name for name in named if name.isupper() and name != "PROBLEM_KINDS"}
    assert {type(getattr(kinds, name)) for name in rows} <= {kinds.ProblemKind, tuple}
    unused = {code for code in kinds.PROBLEM_KINDS if code.upper().replace("-", "_") not in named}
    assert unused <= {"figure", "no-rework", "reworked"}  # the plugins' own


def test_a_severity_that_the_row_does_not_have_is_refused() -> None:
    with pytest.raises(ValueError, match="is never"):
        kinds.KEY.problem("no key", severity=Severity.ERROR)


def test_the_example_of_the_public_docstring_exists() -> None:
    """The docstring of Problem names a code as an example."""
    example = re.search(r'``"([a-z-]+)"``', rollstave.Problem.__doc__ or "")
    assert example is not None
    assert example[1] in kinds.PROBLEM_KINDS
