"""Widths of words in the carried font, and its faces as CSS for embedding."""

from __future__ import annotations

import json
from base64 import b64encode
from collections.abc import Iterable
from enum import Enum
from functools import lru_cache
from pathlib import Path
from typing import cast

from rollstave.packaged import packaged

FAMILY = "Rollstave Serif"
# Where the embedded face is not read (librsvg, Inkscape), a serif of the system stands in.
FAMILY_LIST = f"'{FAMILY}',Spectral,'Times New Roman',serif"
# Heights over and under the base line as shares of the font size; a test reads the files.
CAP_HEIGHT = 0.66
ASCENT = 0.74
DESCENT = 0.24
_WIDTHS = "rollstave-serif-widths.json"
_UNKNOWN_WIDTH = 0.62  # share of the size: a character of another script, set in some other font


class Style(Enum):
    """The styles; the value is the end of the file's name. Semibold has what stands on the lines
    of a tab: the characters of ASCII and the angle brackets of harmonics."""

    REGULAR = "regular"
    SEMIBOLD = "semibold"
    BOLD = "bold"
    ITALIC = "italic"


_CSS = {
    Style.REGULAR: "font-weight:400;font-style:normal",
    Style.SEMIBOLD: "font-weight:600;font-style:normal",
    Style.BOLD: "font-weight:700;font-style:normal",
    Style.ITALIC: "font-weight:400;font-style:italic",
}


def font_folder() -> Path:
    """The folder that holds the font files, for whatever needs them as files."""
    return packaged("data")


@lru_cache(maxsize=1)
def _widths() -> dict[str, dict[str, float]]:
    """Advance widths by style and character, as shares of the font size."""
    text = packaged("data", _WIDTHS).read_text(encoding="utf-8")
    return cast("dict[str, dict[str, float]]", json.loads(text))


@lru_cache(maxsize=4096)
def text_width(words: str, size: float, style: Style = Style.REGULAR) -> float:
    """The width of words at a font size, in the unit of the size, without kerning."""
    table = _widths()[style.value]
    return size * sum(table.get(character, _UNKNOWN_WIDTH) for character in words)


@lru_cache(maxsize=4)
def _encoded(style: Style) -> str:
    data = packaged("data", f"rollstave-serif-{style.value}.woff2").read_bytes()
    return b64encode(data).decode()


def face_rules(styles: Iterable[Style]) -> str:
    """``@font-face`` rules with the font inside, so that a sheet needs no other file.

    The whole face is embedded: 20 to 30 kB a style weigh less than cutting it to the characters
    of each sheet, which takes longer than engraving the music.
    """
    return "".join(
        f"@font-face{{font-family:'{FAMILY}';{_CSS[style]};"
        f"src:url(data:font/woff2;base64,{_encoded(style)}) format('woff2')}}"
        for style in sorted(set(styles), key=lambda s: s.value)
    )
