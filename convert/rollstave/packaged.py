"""Files that come with the package."""

from __future__ import annotations

from pathlib import Path

_HOME = Path(__file__).parent


def packaged(*names: str) -> Path:
    """A file or folder of the package, as a path: ``packaged("data", "rhythm.json")``.

    ``importlib.resources`` would also find it in a zip, and for that loads what reads zips, which
    takes longer than to read the file; fonts are needed as files anyway.
    """
    return _HOME.joinpath(*names)
