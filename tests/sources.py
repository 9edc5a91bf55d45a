"""The source of the package and of the plugins, each file parsed once a session."""

from __future__ import annotations

import ast
from functools import cache
from pathlib import Path

ROOT = Path(__file__).parent.parent
HOME = ROOT / "convert" / "rollstave"
PLUGINS = ROOT / "plugins"

# What a test may ask for: the rest of a tree is not kept.
KINDS = (
    ast.Import | ast.ImportFrom | ast.ClassDef | ast.Call | ast.Attribute
    | ast.FunctionDef | ast.AsyncFunctionDef
)  # fmt: skip


@cache
def of_the_package() -> tuple[Path, ...]:
    """Every module of the package."""
    return tuple(sorted(HOME.rglob("*.py")))


@cache
def all_of_them() -> tuple[Path, ...]:
    """Every module of the package and of the plugins."""
    return (*of_the_package(), *sorted(PLUGINS.rglob("*.py")))


@cache
def text(path: Path) -> str:
    """What stands in a file."""
    return path.read_text(encoding="utf-8")


@cache
def nodes(path: Path) -> tuple[ast.AST, ...]:
    """Everything in a file that a test asks for: imports, classes, functions, calls, attributes."""
    return tuple(node for node in ast.walk(ast.parse(text(path))) if isinstance(node, KINDS))
