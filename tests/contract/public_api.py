"""The public API as a list. ``python -m tests.contract.public_api`` writes ``public_api.txt``.

Whoever changes the API on purpose runs that, and the difference shows what is promised anew.
"""

from __future__ import annotations

import enum
import importlib
import inspect
from collections.abc import Iterator
from pathlib import Path

from msgspec import Struct

FILE = Path(__file__).with_name("public_api.txt")
MODULES = ("rollstave", "rollstave.figures", "rollstave.contract.hooks")


def described() -> str:
    """The list: one line for each name, and for each member of a class."""
    return "\n".join(line for module in MODULES for line in _module(module)) + "\n"


def _module(name: str) -> Iterator[str]:
    module = importlib.import_module(name)
    names = getattr(module, "__all__", None)
    if names is None:
        names = [n for n in vars(module) if n.startswith("rollstave_")]
    yield f"# {name}"
    for public in sorted(names):
        yield from _thing(public, getattr(module, public))


def _thing(name: str, thing: object) -> Iterator[str]:
    if isinstance(thing, enum.EnumMeta):
        yield f"enum {name}"
        for member in thing:
            yield f"    {member.name}"  # type: ignore[attr-defined]
    elif inspect.isclass(thing):
        yield f"class {name}({', '.join(b.__name__ for b in thing.__bases__ if b is not object)})"
        yield from (f"    {line}" for line in _class(thing))
    elif callable(thing) and inspect.isroutine(thing):
        yield f"def {name}{_signature(thing)}"
    else:
        yield f"{name}: {type(thing).__name__}"


def _class(thing: type) -> Iterator[str]:
    known: tuple[str, ...] = ()
    if issubclass(thing, Struct):
        known = thing.__struct_fields__
        needed = len(known) - len(thing.__struct_defaults__)
        for position, name in enumerate(known):
            optional = " = ..." if position >= needed else ""
            yield f"{name}: {thing.__annotations__[name]}{optional}"
    if not known and "__init__" in vars(thing):
        yield f"def __init__{_signature(vars(thing)['__init__'])}"
    for name in sorted(vars(thing)):
        member = vars(thing)[name]
        if name.startswith("_") or name in known:
            continue
        if isinstance(member, property) or type(member).__name__ == "cached_property":
            yield f"property {name}"
        elif isinstance(member, classmethod | staticmethod):
            yield f"{type(member).__name__} {name}{_signature(member.__func__)}"
        elif inspect.isfunction(member):
            yield f"def {name}{_signature(member)}"


def _signature(function: object) -> str:
    """Names, kinds and types of the arguments; that there is a default, and not which."""
    parts = []
    star = False
    signature = inspect.signature(function)  # type: ignore[arg-type]
    prefixes = {inspect.Parameter.VAR_POSITIONAL: "*", inspect.Parameter.VAR_KEYWORD: "**"}
    for parameter in signature.parameters.values():
        prefix = next((p for kind, p in prefixes.items() if kind is parameter.kind), "")
        if parameter.kind is parameter.KEYWORD_ONLY and not star:
            parts.append("*")
            star = True
        kind = f": {parameter.annotation}" if parameter.annotation is not parameter.empty else ""
        default = " = ..." if parameter.default is not parameter.empty else ""
        parts.append(f"{prefix}{parameter.name}{kind}{default}")
    result = signature.return_annotation
    return f"({', '.join(parts)})" + (f" -> {result}" if result is not signature.empty else "")


if __name__ == "__main__":
    FILE.write_text(described(), encoding="utf-8")
    print(f"wrote {FILE.name}: {len(described().splitlines())} lines")
