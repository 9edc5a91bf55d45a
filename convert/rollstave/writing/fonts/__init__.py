"""The carried text font: its widths, and the faces that an SVG embeds.

Rollstave Serif is Spectral (SIL Open Font License 1.1, no reserved name) in four styles, with
the flat, natural and sharp of Leipzig (OFL 1.1) added at U+266D to U+266F; ``make`` builds the
files. Widths are a table made from the same files, so that no font has to be opened to lay out a
page; a test compares the table with the files.
"""

from rollstave.writing.fonts.metrics import (
    ASCENT,
    CAP_HEIGHT,
    DESCENT,
    FAMILY,
    FAMILY_LIST,
    Style,
    face_rules,
    font_folder,
    text_width,
)

__all__ = [
    "ASCENT",
    "CAP_HEIGHT",
    "DESCENT",
    "FAMILY",
    "FAMILY_LIST",
    "Style",
    "face_rules",
    "font_folder",
    "text_width",
]
