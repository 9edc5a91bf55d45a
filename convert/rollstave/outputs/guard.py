"""May an output go to its place? Never over an input; over a file of a user only if asked."""

from __future__ import annotations

import os
import stat
from collections.abc import Iterable

from rollstave.outputs.ledger import hash_of
from rollstave.outputs.own import shown

AWAY = "move it away, or write over it with --overwrite"


class Refused(Exception):
    """An output cannot go to its place; the text says why."""


def refuse_inputs(output: str, inputs: Iterable[str]) -> None:
    """Raise Refused if an output is one of the files that are read, under whatever name: links,
    hard links, ``./``, capitals on a disk to which they are the same."""
    try:
        here = os.stat(output)
    except (OSError, ValueError):  # it is not there, so it is none of them
        return
    for name in inputs:
        try:
            same = os.path.samestat(os.stat(name), here)
        except (OSError, ValueError):
            continue
        if same:
            raise Refused(
                f"this would write over the file that is read: {shown(output)} is "
                f"{shown(name) if name != output else 'one of the inputs'}; write to another "
                "place with --out"
            )


def refuse_odd(output: str) -> None:
    """Raise Refused where something stands that no file may take the place of: a folder, a
    device, a pipe."""
    try:
        mode = os.lstat(output).st_mode
    except (OSError, ValueError):
        return
    if stat.S_ISDIR(mode):
        raise Refused(f"cannot write {shown(output)}: a folder has that name")
    if not stat.S_ISREG(mode) and not stat.S_ISLNK(mode):
        raise Refused(f"cannot write {shown(output)}: it is no plain file")


def refuse_ending(output: str, ending: str, what: str) -> None:
    """Raise Refused if a name says that it is something else than what is written to it."""
    found = os.path.splitext(output)[1]
    if found and found.lower() != ending:
        raise Refused(f"{what} is written, and {shown(output)} does not end in {ending}")


def refuse_foreign(output: str, known: dict[str, str], source: str, new: str) -> None:
    """Raise Refused unless what stands at a place is ours: its content is the new one, or one of
    ``known``, contents that we wrote there, each with the path of its source (or nothing).

    What was made of another source that is still there is ours, and stays all the same.
    """
    if not os.path.lexists(output):
        return
    content = "" if os.path.islink(output) else hash_of(output)
    if content != new and content not in known:
        raise Refused(
            f"{shown(output)} was there before, or was changed since rollstave wrote it, and is "
            f"left as it is; {AWAY}"
        )
    other = known.get(content, "")
    if other and source and content != new and _is_another(other, source):
        raise Refused(
            f"{shown(output)} was made of {shown(other)}, which is still there; write to another "
            f"place with --out, or {AWAY}"
        )


def _is_another(other: str, source: str) -> bool:
    """True if a file is there, and is not the source."""
    try:
        return not os.path.samefile(other, source)
    except (OSError, ValueError):
        return False
