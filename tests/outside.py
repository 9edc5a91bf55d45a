"""Readers from outside that take seconds to be imported: imported by the first test that asks
them, and so not by each process that collects the tests."""

from __future__ import annotations

from importlib import import_module
from typing import Any


class Outside:
    """What acts as a module, and is imported when it is first asked something."""

    def __init__(self, name: str) -> None:
        self._name = name

    def __getattr__(self, name: str) -> Any:
        if name in ("_mock_name", "__wrapped__"):  # pytest asks whatever a module of tests holds
            raise AttributeError(name)
        return getattr(import_module(self._name), name)


partitura: Any = Outside("partitura")
