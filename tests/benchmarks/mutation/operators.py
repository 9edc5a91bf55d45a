"""The faults that can be put into a module.

mutmut's table ``mutation_operators`` is plain data: a type of libcst node, and a function from such
a node to what may stand in its place. cosmic-ray has a table too, but nothing in it for strings,
arguments and assignments, where the writers of this project have most of their faults. Two kinds
that mutmut lacks are added: a call whose value nobody uses is dropped, an ``if`` is turned round.

Left out is what cannot be a fault that a test should find: annotations, imports, docstrings, words
for people (a string with a space in it), and numbers from ten on, which mutmut makes greater by
one, and which are mostly lengths that no eye tells apart.
"""

from __future__ import annotations

import random
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from difflib import unified_diff
from functools import cache
from pathlib import Path
from typing import Any

import libcst as cst
from mutmut.mutation.mutators import mutation_operators, operator_assignment

_SMALL = 10
# Arguments that guard, or that say what is the case anyway: nothing shows whether they are there.
_GUARDS = ("strict", "frozen", "encoding", "maxsize")
# Nodes without a meaning of their own, and those in which a fault is none.
_TRIVIA = (
    cst.BaseParenthesizableWhitespace,
    cst.Comma,
    cst.Dot,
    cst.LeftParen,
    cst.RightParen,
    cst.TrailingWhitespace,
    cst.EmptyLine,
    cst.AssignEqual,
    cst.Annotation,
    cst.Import,
    cst.ImportFrom,
    cst.Decorator,
)
_KEYWORDS_AT_HAND = ("__all__", "__version__", "TypeVar")


def _dropped_call(node: cst.Expr) -> Iterable[cst.CSTNode]:
    """A call that stands alone does not happen."""
    if isinstance(node.value, cst.Call):
        yield node.with_changes(value=cst.Name("None"))


def _turned_if(node: cst.If) -> Iterable[cst.CSTNode]:
    """An ``if`` asks for the opposite."""
    inner = node.test.with_changes(lpar=[cst.LeftParen()], rpar=[cst.RightParen()])
    turned = cst.UnaryOperation(cst.Not(), inner)
    yield node.with_changes(test=turned, whitespace_before_test=cst.SimpleWhitespace(" "))


Operator = Callable[[Any], Iterable[cst.CSTNode]]
OPERATORS: tuple[tuple[type, Operator], ...] = (
    *mutation_operators,
    (cst.Expr, _dropped_call),
    (cst.If, _turned_if),
)


@dataclass(frozen=True)
class Mutant:
    """A module with one fault. ``path`` is from the top of the tree."""

    room: str
    path: str
    kind: str
    before: str
    after: str

    @property
    def diff(self) -> str:
        lines = unified_diff(
            self.before.splitlines(), self.after.splitlines(), self.path, self.path, "", "", 1, ""
        )
        return "\n".join(list(lines)[2:])


def sample(room: str, paths: Sequence[str], root: Path, count: int, seed: int) -> list[Mutant]:
    """So many faults of a room: of a module chosen by its length, of a kind, in a place."""
    choose = random.Random(f"{seed} {room}")
    texts = {path: (root / path).read_text("utf-8") for path in sorted(paths)}
    modules: dict[str, cst.Module] = {}
    places: dict[str, dict[str, list[tuple[cst.CSTNode, cst.CSTNode]]]] = {}
    found: list[Mutant] = []
    while len(found) < count:
        (path,) = choose.choices(list(texts), [len(text) for text in texts.values()])
        if path not in modules:
            modules[path] = cst.parse_module(texts[path])
            places[path] = _faults(modules[path])
        kinds = sorted(kind for kind, left in places[path].items() if left)
        if not kinds:
            continue
        kind = choose.choice(kinds)
        left = places[path][kind]
        old, new = left.pop(choose.randrange(len(left)))
        changed = modules[path].deep_replace(old, new)
        assert isinstance(changed, cst.Module)
        if _compiles(changed.code) and changed.code != texts[path]:
            found.append(Mutant(room, path, kind, texts[path], changed.code))
    return found


def _compiles(code: str) -> bool:
    try:
        compile(code, "mutant", "exec")
    except SyntaxError:
        return False
    return True


def _faults(module: cst.Module) -> dict[str, list[tuple[cst.CSTNode, cst.CSTNode]]]:
    """All faults of a module by their kinds."""
    found: dict[str, list[tuple[cst.CSTNode, cst.CSTNode]]] = defaultdict(list)
    for node in _nodes(module):
        for operator in _operators_of(type(node)):
            if _is_spared(node) or (operator is operator_assignment and _is_false(node)):
                continue
            for new in operator(node):
                if not (isinstance(node, cst.Call) and _is_guard(node, new)):
                    found[operator.__name__.removeprefix("operator_").strip("_")].append(
                        (node, new)
                    )
    return found


@cache
def _operators_of(kind: type) -> list[Operator]:
    return [operator for of, operator in OPERATORS if issubclass(kind, of)]


def _nodes(node: cst.CSTNode) -> Iterator[cst.CSTNode]:
    """All nodes in which a fault may be put, in the order of the text."""
    for child in node.children:
        if isinstance(child, _TRIVIA):
            continue
        if isinstance(child, cst.Arg) and child.keyword and child.keyword.value in _GUARDS:
            continue
        if isinstance(child, cst.Expr) and isinstance(child.value, cst.BaseString):
            continue
        if isinstance(child, cst.If) and _names(child.test) == ["TYPE_CHECKING"]:
            continue
        if isinstance(child, cst.Assign) and set(_names(child)) & set(_KEYWORDS_AT_HAND):
            continue
        yield child
        yield from _nodes(child)


def _is_guard(node: cst.Call, new: cst.CSTNode) -> bool:
    """Whether two calls differ only by an argument that guards."""
    kept = new.args if isinstance(new, cst.Call) else ()
    gone = [arg for arg in node.args if not any(arg is other for other in kept)]
    return any(arg.keyword is not None and arg.keyword.value in _GUARDS for arg in gone)


def _names(node: cst.CSTNode) -> list[str]:
    own = [node.value] if isinstance(node, cst.Name) else []
    return own + [name for child in node.children for name in _names(child)]


def _is_false(node: cst.CSTNode) -> bool:
    """Whether False is given to a name, for which None would be as good; True is another kind."""
    value = getattr(node, "value", None)
    return isinstance(value, cst.Name) and value.value == "False"


def _is_spared(node: cst.CSTNode) -> bool:
    if isinstance(node, cst.Integer):
        return node.evaluated_value >= _SMALL
    if isinstance(node, cst.Float):
        return node.evaluated_value >= _SMALL
    if isinstance(node, cst.SimpleString):
        return " " in node.value.strip("\"' ") or not node.value.strip("rbf\"'")
    return False
