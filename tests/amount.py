"""How many examples a test takes: enough to find what is usual, or all with ``--thorough``.

Nothing is left out but repetitions: every kind of case is in both.
"""

from __future__ import annotations

from typing import TypeVar

T = TypeVar("T")

thorough = False  # set by conftest from the option, before any module of tests is imported


def some(usual: T, all_of_them: T) -> T:
    """So many usually, or all of them."""
    return all_of_them if thorough else usual
