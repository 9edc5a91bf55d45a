"""rollstave: plain-text string tablature becomes engraved notation.

>>> import rollstave
>>> tune, = rollstave.read(pathlib.Path("tune.txt"))      # doctest: +SKIP
>>> rollstave.write(tune, "musicxml")                      # doctest: +SKIP
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rollstave.api import Tune, read
    from rollstave.problems import Place, Problem, Severity, TabError
    from rollstave.score.model import Score
    from rollstave.writing import write
    from rollstave.writing.options import PAPERS, Paper, SheetOptions, View

__version__ = "0.1.0"
__all__ = [
    "PAPERS",
    "Paper",
    "Place",
    "Problem",
    "Score",
    "Severity",
    "SheetOptions",
    "TabError",
    "Tune",
    "View",
    "read",
    "write",
]

_HOMES = {
    "PAPERS": "rollstave.writing.options",
    "Paper": "rollstave.writing.options",
    "SheetOptions": "rollstave.writing.options",
    "View": "rollstave.writing.options",
    "Place": "rollstave.problems",
    "Problem": "rollstave.problems",
    "Score": "rollstave.score.model",
    "Severity": "rollstave.problems",
    "TabError": "rollstave.problems",
    "Tune": "rollstave.api",
    "read": "rollstave.api",
    "write": "rollstave.writing",
}


def __getattr__(name: str) -> object:
    """Import a public name when it is first used, so that ``--help`` answers at once."""
    if name not in _HOMES:
        raise AttributeError(f"module 'rollstave' has no attribute {name!r}")
    import importlib

    return getattr(importlib.import_module(_HOMES[name]), name)
