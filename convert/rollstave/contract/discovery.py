"""Finding plugins: entry points of installed packages, read without ``importlib.metadata``.

Importing that module and asking it takes more than a whole short text needs to be read; looking
for the group in the ``entry_points.txt`` of each package (Python Packaging User Guide, Entry
points specification; Recording installed projects, PEP 376) takes a tenth of it. Packages inside
zip files on the path are not seen.
"""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Iterator, Sequence
from typing import NamedTuple

GROUP = "rollstave"
BRIDGES = "rollstave.bridges"
COMMANDS = "rollstave.commands"  # names of commands, for a list that loads no plugin
_INFO = re.compile(r"(?P<name>[^-]+)(?:-(?P<version>[^-]+))?(?:-py[^-]*)?\.(?:dist|egg)-info$")


class Found(NamedTuple):
    """An entry point: its name, the module (or ``module:object``), the package and its version.
    It is no struct, as the list of commands needs it and nothing else that imports msgspec."""

    name: str
    value: str
    package: str
    version: str


def entry_points(group: str, path: Sequence[str] | None = None) -> list[Found]:
    """The entry points of a group in the packages on ``path`` (by default ``sys.path``), by name.

    The same entry in two copies of a package counts once, the first on the path.
    """
    found: dict[tuple[str, str], Found] = {}
    for folder, info in _infos(sys.path if path is None else path):
        try:
            with open(os.path.join(folder, info, "entry_points.txt"), encoding="utf-8") as file:
                text = file.read()
        except (OSError, UnicodeDecodeError):
            continue
        if f"[{group}]" not in text:
            continue
        match = _INFO.match(info)
        name, version = (match["name"], match["version"] or "") if match else (info, "")
        for entry, value in _section(text, group):
            key = (entry, value)
            found.setdefault(
                key, Found(name=entry, value=value, package=name.replace("_", "-"), version=version)
            )
    return sorted(found.values(), key=lambda f: (f.name, f.value))


def _infos(path: Sequence[str]) -> Iterator[tuple[str, str]]:
    for folder in dict.fromkeys(p or os.curdir for p in path):
        try:
            names = sorted(os.listdir(folder))
        except OSError:
            continue
        for name in names:
            if name.endswith((".dist-info", ".egg-info")):
                yield folder, name


def _section(text: str, group: str) -> Iterator[tuple[str, str]]:
    inside = False
    for line in text.splitlines():
        line = line.strip()
        if line.startswith("["):
            inside = line == f"[{group}]"
        elif inside and "=" in line and not line.startswith(("#", ";")):
            name, _, value = line.partition("=")
            yield name.strip(), value.split("[")[0].strip()
