"""Lets the solver use other fitted data than the package's."""

from __future__ import annotations

import importlib
import json
import pkgutil
from pathlib import Path
from typing import Any

import rollstave.rhythm
from rollstave.rhythm import model_data

PACKAGED = Path(model_data.__file__).parents[1] / "data" / "rhythm.json"


def parsed(path: Path) -> dict[str, Any]:
    """A file of fitted data, as ``fit.py`` writes it."""
    found: dict[str, Any] = json.loads(path.read_text("utf-8"))
    return found


def use(path: Path, anew: bool = False) -> None:
    """From now on the solver, in this process, weighs with the data of a file. ``anew``: the
    package's own file has been written since it was loaded."""
    if path == PACKAGED and not anew:
        return
    tables = model_data.from_json(parsed(path))
    for module in pkgutil.iter_modules(rollstave.rhythm.__path__, "rollstave.rhythm."):
        loaded = importlib.import_module(module.name)
        if hasattr(loaded, "rhythm_data"):
            loaded.rhythm_data = lambda: tables  # type: ignore[attr-defined]
