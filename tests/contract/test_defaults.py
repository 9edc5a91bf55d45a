"""A field that is left out has a value of its own type, in every record of the package.

The judge is the annotation: who reads the API's reference, or the JSON that is made of a record,
goes by it.
"""

from __future__ import annotations

import importlib
import pkgutil
import types
import typing
from collections.abc import Iterator

import msgspec
import pytest
from msgspec import NODEFAULT, Struct
from msgspec.structs import FieldInfo, fields

import rollstave


def _records(of: type[Struct]) -> Iterator[type[Struct]]:
    for record in of.__subclasses__():
        yield record
        yield from _records(record)


def _is_of(value: object, hint: object) -> bool:
    if isinstance(hint, types.UnionType) or typing.get_origin(hint) is typing.Union:
        return any(_is_of(value, one) for one in typing.get_args(hint))
    kind = typing.get_origin(hint) or hint
    if hint is None or kind is types.NoneType:
        return value is None
    if not isinstance(kind, type):  # Any, a literal, a variable
        return True
    return isinstance(value, kind) or (kind is float and isinstance(value, int))


def _defaults() -> Iterator[tuple[str, FieldInfo, object]]:
    for module in pkgutil.walk_packages(rollstave.__path__, "rollstave."):
        if not module.name.endswith("__main__"):
            importlib.import_module(module.name)
    for record in _records(msgspec.Struct):
        if not record.__module__.startswith("rollstave"):
            continue
        try:
            hints = typing.get_type_hints(record)
        except NameError:  # its types are imported for the type checker alone
            continue
        for field in fields(record):
            if field.default is not NODEFAULT:
                yield f"{record.__qualname__}.{field.name}", field, hints[field.name]


def test_each_default_has_the_type_of_its_field() -> None:
    found = list(_defaults())
    assert len(found) > 400
    assert [name for name, field, hint in found if not _is_of(field.default, hint)] == []


@pytest.mark.parametrize(
    ("value", "hint", "fits"),
    [
        (1, int, True),
        (None, int, False),
        (None, int | None, True),
        ("", str, True),
        (1, str, False),
    ],
)
def test_what_fits(value: object, hint: object, fits: bool) -> None:
    assert _is_of(value, hint) is fits
