"""Writers: a score in, bytes out. ``FORMATS`` is the table of them.

Each writer lives in its own module and is imported when it is first used.
"""

from __future__ import annotations

import importlib
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, cast

from rollstave.score.model import Score

if TYPE_CHECKING:
    from rollstave.api import Tune


@dataclass(frozen=True, slots=True)
class Format:
    """A format: its name, file extension, where its writer is, and whether it makes pages.

    A writer of pages returns a list of bytes, one for each page.
    """

    name: str
    extension: str
    module: str
    function: str
    paged: bool = False


FORMATS: dict[str, Format] = {
    f.name: f
    for f in (
        Format("musicxml", ".musicxml", "rollstave.writing.musicxml", "write_musicxml"),
        Format("svg", ".svg", "rollstave.writing.sheet", "write_svg", paged=True),
        Format("mei", ".mei", "rollstave.writing.mei", "write_mei"),
        Format("midi", ".mid", "rollstave.writing.midi", "write_midi"),
    )
}


def write(tune: Tune | Score, to: str) -> list[bytes]:
    """The pages of a tune in the format of that name; one page where a format has none.

    Raises KeyError for a format that does not exist.
    """
    form = FORMATS[to]
    score = tune if isinstance(tune, Score) else tune.score
    writer = getattr(importlib.import_module(form.module), form.function)
    if form.paged:
        return cast("Callable[[Score], list[bytes]]", writer)(score)
    return [cast("Callable[[Score], bytes]", writer)(score)]
