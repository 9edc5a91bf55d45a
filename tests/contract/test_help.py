"""Every public name answers ``help``, ``typing.get_type_hints`` and ``inspect.signature``."""

from __future__ import annotations

import functools
import inspect
import os
import pydoc
import subprocess
import sys
import typing
from collections.abc import Callable, Iterator
from types import ModuleType

import pytest

import rollstave
import rollstave.figures
from rollstave.contract import hooks

PUBLIC: tuple[ModuleType, ...] = (rollstave, rollstave.figures)
# No functions, classes or modules, so they have no type hints: an object of pluggy, a text, data.
OBJECTS = {"hookimpl", "CONTRACT_VERSION", "PAPERS", "FIGURE_WORDS", "TECHNIQUES"}


def names() -> list[tuple[ModuleType, str]]:
    return [(module, name) for module in PUBLIC for name in module.__all__]


def functions_of(kind: type) -> Iterator[Callable[..., object]]:
    """The methods and properties of a class that are written in Python."""
    for name in dir(kind):
        found = inspect.getattr_static(kind, name)
        if isinstance(found, property):
            found = found.fget
        elif isinstance(found, classmethod | staticmethod):
            found = found.__func__
        elif isinstance(found, functools.cached_property):
            found = found.func
        if inspect.isfunction(found):
            yield found


@pytest.mark.parametrize(("module", "name"), names(), ids=lambda x: getattr(x, "__name__", x))
def test_hints_and_signature(module: ModuleType, name: str) -> None:
    thing = getattr(module, name)
    if name in OBJECTS:
        assert not inspect.isclass(thing)
        assert not inspect.isfunction(thing)
        return
    typing.get_type_hints(thing)
    inspect.signature(thing)
    for function in functions_of(thing) if inspect.isclass(thing) else ():
        hints = typing.get_type_hints(function)
        unsaid = set(inspect.signature(function).parameters) - set(hints) - {"self", "cls"}
        ours = function.__module__.startswith("rollstave")
        assert not (ours and unsaid), f"{function.__qualname__}: {unsaid}"
        assert not ours or "return" in hints, function.__qualname__


@pytest.mark.parametrize("name", [n for n in vars(hooks) if n.startswith("rollstave_")])
def test_hints_of_the_hooks(name: str) -> None:
    assert "return" in typing.get_type_hints(getattr(hooks, name))


def test_hooks_were_looked_at() -> None:
    assert len([n for n in vars(hooks) if n.startswith("rollstave_")]) == 9


def test_help_before_anything_was_imported() -> None:
    """``help`` is the first thing that a person does."""
    told = subprocess.run(
        [sys.executable, "-c", "import rollstave; help(rollstave)"],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)},
    ).stdout
    assert [name for name in rollstave.__all__ if name not in told] == []


def test_help_of_each_name() -> None:
    for module, name in names():
        if name not in OBJECTS:
            assert name in pydoc.plain(pydoc.render_doc(getattr(module, name)))
