"""The public API stays: a change by accident shows here, and only lightly loaded names are lazy."""

from __future__ import annotations

import inspect
from importlib.resources import files

from msgspec import defstruct

import rollstave
from tests.contract.public_api import FILE, described


def test_the_public_api_is_the_one_that_is_promised() -> None:
    assert described() == FILE.read_text("utf-8"), (
        "the public API changed. If that was meant (the promise is in rollstave/__init__.py), run "
        "python -m tests.contract.public_api"
    )


def test_the_list_sees_a_changed_argument_and_a_new_field() -> None:
    """The list itself: it would not be worth much if it missed these."""
    from tests.contract import public_api

    def before(a: int, *, b: str = "") -> None: ...

    def after(a: int, b: str = "") -> None: ...

    one = defstruct("One", [("x", int)])
    two = defstruct("One", [("x", int), ("y", int, 0)])
    assert public_api._signature(before) != public_api._signature(after)
    assert list(public_api._thing("One", one)) != list(public_api._thing("One", two))


def test_every_public_name_is_there_and_says_what_it_is() -> None:
    for name in rollstave.__all__:
        thing = getattr(rollstave, name)
        if inspect.isclass(thing) or inspect.isroutine(thing):
            assert (thing.__doc__ or "").strip(), name
    assert set(rollstave._HOMES) == set(rollstave.__all__)


def test_the_package_is_marked_as_typed() -> None:
    """PEP 561: a file ``py.typed`` in the package."""
    assert files("rollstave").joinpath("py.typed").is_file()
