"""Running Verovio, for one thread at a time.

Toolkits of one process share the counter that made-up ids come from, so a toolkit for each thread
would give other bytes; and since Verovio keeps Python's own lock while it works, two of them take
as long as one after the other, and 2.6 MB more each.
"""

from __future__ import annotations

import threading
from collections.abc import Mapping
from functools import lru_cache
from types import MappingProxyType
from typing import Any

from rollstave.notating.spreading import LEAST
from rollstave.writing.options import View
from rollstave.writing.sheet.engraving import MUSIC_WIDTH, Engraving, System
from rollstave.writing.sheet.taking import Glyphs, take_page

_TALLEST_PAGE = 60_000  # Verovio's own limit, in its page units
_OPTIONS = {
    "adjustPageHeight": True,
    "bottomMarginOctave": 1.6,
    "breaks": "encoded",
    "footer": "none",
    "header": "none",
    "lyricSize": 4.0,
    "lyricWordSpace": 2.4,
    "minLastJustification": 0.0,
    "octaveAlternativeSymbols": True,
    "pageHeight": _TALLEST_PAGE,
    "pageMarginBottom": 0,
    "pageMarginLeft": 0,
    "pageMarginRight": 0,
    "pageMarginTop": 0,
    "scale": 100,
    "spacingStaff": 7,
    "svgFormatRaw": True,
    "svgViewBox": True,
    "unit": 9,
    "xmlIdSeed": 1,
}


# Before a note or a figure, in Verovio's units: a figure of two digits pushes no note of another
# string away. Crowded lines keep Verovio's own.
_OWN_MARGIN, _NEAR = 1.0, 0.6
_engraving = threading.Lock()  # held from the options of a tune to its last page


@lru_cache(maxsize=1)
def toolkit() -> Any:
    """The one toolkit of this process, with our options."""
    import verovio

    verovio.enableLog(verovio.LOG_OFF)
    made = verovio.toolkit()
    made.setOptions(_OPTIONS)
    return made


def engrave(
    mei: bytes,
    view: View = View.BOTH,
    width: float = MUSIC_WIDTH,
    over: Mapping[str, float] = MappingProxyType({}),
    under: bool = False,
    spread: float = LEAST,
) -> Engraving:
    """Engrave an MEI file in systems ``width`` units wide. ``over`` says of notes of the tab, by
    their ids, how far what will be drawn at them reaches over its top line; ``under`` that
    the lowest staff is the tab of another version; ``spread`` how far apart notes stand at
    first (:mod:`rollstave.notating.spreading`). Raises ValueError if Verovio refuses the file."""
    glyphs = Glyphs()
    systems: list[System] = []
    with _engraving:
        verovio = toolkit()
        options = {"pageWidth": int(width) // 10, "spacingLinear": spread}
        verovio.setOptions(options | {"leftMarginNote": _NEAR if spread > LEAST else _OWN_MARGIN})
        # Ids that Verovio makes up go on from the last tune's; some stay in the sheet as classes.
        verovio.resetXmlIdSeed(_OPTIONS["xmlIdSeed"])
        if not verovio.loadData(mei.decode()):
            raise ValueError("the engraver refused the music")
        for page in range(1, verovio.getPageCount() + 1):
            systems.extend(take_page(verovio.renderToSVG(page), glyphs, view, over, under))
    return Engraving(systems, glyphs.in_order())
