"""Arguments of public functions that are something else than what is wanted: it is said what is."""

from __future__ import annotations

from rollstave.problems import WrongArgument
from rollstave.vocabulary import problems as kinds


def wanted(value: object, kind: type | tuple[type, ...], said: str) -> None:
    """Raise a TabError that is a TypeError too where a value is not of a kind; ``said`` is what is
    wanted, in words that go on with "not a"."""
    if not isinstance(value, kind):
        words = f"{said}, not a {type(value).__name__}"
        raise WrongArgument((kinds.ARGUMENT.problem(words),))
