"""Puts a fault into functions that are loaded already.

Nearly every fault lies in a function, and then nothing needs to be imported again: the code object
of the live function is replaced. A fault outside (in a table, in a class, in what a decorator or a
default is given) is none of these, and the tests have to be collected anew for it.
"""

from __future__ import annotations

import ast
import gc
from collections.abc import Iterator
from types import CodeType, FunctionType

_IS_FUNCTION = 0x1  # CO_OPTIMIZED: no module and no body of a class
Pair = tuple[CodeType, CodeType]


def pairs_of(before: str, after: str, file: str) -> list[Pair] | None:
    """The functions that differ in two texts of a module, or None where more than those do."""
    pairs = list(_different(compile(before, file, "exec"), compile(after, file, "exec")))
    if not pairs or any(old is None for old, _ in pairs):
        return None
    return [(old, new) for old, new in pairs if old is not None]


def _different(old: CodeType, new: CodeType) -> Iterator[tuple[CodeType | None, CodeType]]:
    inner = [[c for c in code.co_consts if isinstance(c, CodeType)] for code in (old, new)]
    if len(inner[0]) != len(inner[1]):
        yield (old if old.co_flags & _IS_FUNCTION else None, new)
        return
    within = [d for one, other in zip(*inner, strict=True) for d in _different(one, other)]
    if _own(old) != _own(new) or (within and old.co_flags & _IS_FUNCTION):
        yield (old if old.co_flags & _IS_FUNCTION else None, new)
    yield from within


def _own(code: CodeType) -> tuple[object, ...]:
    consts = [(type(c), repr(c)) for c in code.co_consts if not isinstance(c, CodeType)]
    names = (code.co_names, code.co_varnames, code.co_freevars, code.co_cellvars)
    return (code.co_code, consts, names, code.co_argcount, code.co_kwonlyargcount)


def swap(pairs: list[Pair]) -> bool:
    """Give every live function its other code; whether there was one, and all could take it."""
    wanted = {_key(old): new for old, new in pairs}
    gc.unfreeze()
    found = [f for f in gc.get_objects() if isinstance(f, FunctionType)]
    found = [f for f in found if _key(f.__code__) in wanted]
    try:
        for function in found:
            function.__code__ = wanted[_key(function.__code__)]
    except ValueError:  # another number of free variables
        return False
    return bool(found)


def _key(code: CodeType) -> tuple[str, str, int]:
    return (code.co_filename, code.co_qualname, code.co_firstlineno)


def changed_function(before: str, after: str) -> str:
    """The qualified name of the innermost function in which two texts begin to differ, or ''."""
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
