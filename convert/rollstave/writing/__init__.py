"""Writers: a score in, bytes out. ``FORMATS`` is the table of them.

Each writer lives in its own module and is imported when it is first used.
"""

from __future__ import annotations

import importlib
from dataclasses import dataclass
from typing import TYPE_CHECKING, cast

from rollstave.score.model import Score

if TYPE_CHECKING:
    from rollstave.api import Tune
    from rollstave.writing.options import SheetOptions


@dataclass(frozen=True, slots=True)
class Format:
    """A format: its name, file extension, where its writer is, and whether it makes pages.

    A writer of pages returns a list of bytes, one for each page. A writer of sheets takes
    :class:`~rollstave.writing.options.SheetOptions` after the score.
    """

    name: str
    extension: str
    module: str
    function: str
    paged: bool = False
    sheet: bool = False


FORMATS: dict[str, Format] = {
    f.name: f
    for f in (
        Format("musicxml", ".musicxml", "rollstave.writing.musicxml", "write_musicxml"),
        Format("svg", ".svg", "rollstave.writing.sheet", "write_svg", paged=True, sheet=True),
        Format("pdf", ".pdf", "rollstave.writing.paper", "write_pdf", sheet=True),
        Format("mei", ".mei", "rollstave.writing.mei", "write_mei"),
        Format("midi", ".mid", "rollstave.writing.midi", "write_midi"),
        Format("html", ".html", "rollstave.writing.page", "write_html", sheet=True),
        Format("text", ".txt", "rollstave.writing.text", "write_text"),
    )
}


def write(tune: Tune | Score, to: str, options: SheetOptions | None = None) -> list[bytes]:
    """The pages of a tune in the format of that name; one page where a format has none.

    ``options`` say how a sheet looks (svg, pdf); other formats do not look at them. Raises
    KeyError for a format that does not exist.
    """
    form = FORMATS[to]
    score = tune if isinstance(tune, Score) else tune.score
    writer = getattr(importlib.import_module(form.module), form.function)
    more = (options,) if form.sheet and options is not None else ()
    made = writer(score, *more)
    return cast("list[bytes]", made) if form.paged else [cast("bytes", made)]
