"""Build the font files in ``data`` from the npm package ``@fontsource/spectral`` (unpacked).

``python -m rollstave.writing.fonts.make UNPACKED_PACKAGE``. Needs fontTools and brotli, which a
user of rollstave does not. The styles are merged from the Latin and extended Latin files; the
signs ♭ ♮ ♯ come from Leipzig, as Verovio carries it.
"""

from __future__ import annotations

import json
import sys
import tempfile
from pathlib import Path

from fontTools.merge import Merger
from fontTools.pens.cu2quPen import Cu2QuPen
from fontTools.pens.transformPen import TransformPen
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.subset import Subsetter
from fontTools.svgLib.path import parse_path
from fontTools.ttLib import TTFont
from lxml import etree

from rollstave.writing.fonts.metrics import FAMILY, Style, font_folder

_SOURCES = {
    Style.REGULAR: "500-normal",
    Style.SEMIBOLD: "600-normal",
    Style.BOLD: "700-normal",
    Style.ITALIC: "500-italic",
}
_FRETS = [*range(0x20, 0x7F), 0x2039, 0x203A]  # what stands on the lines of a tab
# SMuFL code points of flat, natural and sharp (SMuFL 1.4, standard accidentals), and how far each
# is lifted: the flat stands on the base line, the others on the middle of a capital letter.
_SIGNS = {0x266D: ("E260", 165), 0x266E: ("E261", 325), 0x266F: ("E262", 325)}
_JUMP_SIGNS = {"segno": "E047", "coda": "E048"}  # SMuFL 1.4, repeats
_NOTICE = (
    "Outlines of segno (SMuFL U+E047) and coda (U+E048) from Leipzig, licensed under the SIL Open "
    "Font License 1.1, whose text is beside this file. A staff space is 250; y grows upwards."
)
_SIGN_SCALE = 0.95  # as tall as a capital letter
_SIDE = 30
_STAMP = 3_800_000_000  # seconds since 1904, as the head table counts


def _merged(folder: Path, name: str) -> TTFont:
    with tempfile.TemporaryDirectory() as temporary:
        paths = []
        for part in ("latin", "latin-ext"):
            font = TTFont(folder / "files" / f"spectral-{part}-{name}.woff")
            font.flavor = None
            for table in ("GPOS", "GSUB", "GDEF", "gasp"):
                if table in font:
                    del font[table]
            path = Path(temporary) / f"{part}.ttf"
            font.save(path)
            paths.append(str(path))
        return Merger().merge(paths)


def _add_signs(font: TTFont) -> None:
    import verovio

    outlines = Path(verovio.__file__).parent / "data" / "Leipzig"
    order = font.getGlyphOrder()
    for code, (smufl, lift) in _SIGNS.items():
        root = etree.parse(str(outlines / f"{smufl}.xml")).getroot()
        data = next(root.iter("{*}path")).get("d")
        name = f"uni{code:04X}"
        pen = TTGlyphPen(None)
        target = TransformPen(
            Cu2QuPen(pen, 1.0, reverse_direction=True),
            (_SIGN_SCALE, 0, 0, _SIGN_SCALE, _SIDE, lift),
        )
        parse_path(data, target)
        glyph = pen.glyph()
        font["glyf"][name] = glyph
        glyph.recalcBounds(font["glyf"])
        font["hmtx"][name] = (glyph.xMax + _SIDE, glyph.xMin)
        if name not in order:
            order.append(name)
        for table in font["cmap"].tables:
            if table.isUnicode():
                table.cmap[code] = name
    font.setGlyphOrder(order)


def _cut(font: TTFont) -> None:
    """Keep the characters that stand on the lines of a tab, since every sheet carries them."""
    subsetter = Subsetter()
    subsetter.populate(unicodes=_FRETS)
    subsetter.subset(font)


def _rename(font: TTFont, style: Style) -> None:
    """A name of its own, so that an installed Spectral never stands in for it."""
    weight = "Regular" if style is Style.REGULAR else style.value.capitalize()
    names = font["name"]
    notice = str(names.getName(0, 3, 1) or "")
    names.names = []
    for number, text in (
        (0, f"{notice} Signs: Leipzig, OFL 1.1."),
        (1, FAMILY),
        (2, weight),
        (3, f"{FAMILY} {weight}"),
        (4, f"{FAMILY} {weight}"),
        (6, f"{FAMILY.replace(' ', '')}-{weight}"),
        (13, "This Font Software is licensed under the SIL Open Font License, Version 1.1."),
        (14, "https://openfontlicense.org"),
    ):
        names.setName(text, number, 3, 1, 0x409)
    bold, italic = style is Style.BOLD, style is Style.ITALIC
    semibold = style is Style.SEMIBOLD
    font["OS/2"].usWeightClass = 700 if bold else 600 if semibold else 400
    font["OS/2"].fsSelection = 0x20 if bold else 0x01 if italic else 0x40
    font["head"].macStyle = int(bold) + 2 * int(italic)
    # The same stamp every time, so that building twice gives the same bytes.
    font["head"].created = font["head"].modified = _STAMP
    font.recalcTimestamp = False


def _write_jump_signs(out: Path) -> None:
    """The outlines of segno and coda, which the sheet draws as paths."""
    import verovio

    outlines = Path(verovio.__file__).parent / "data" / "Leipzig"
    signs = {"notice": _NOTICE}
    for name, smufl in _JUMP_SIGNS.items():
        root = etree.parse(str(outlines / f"{smufl}.xml")).getroot()
        signs[name] = str(next(root.iter("{*}path")).get("d"))
    (out / "jump-signs.json").write_text(json.dumps(signs, indent=0) + "\n", encoding="utf-8")


def main(package: str) -> None:
    """Write the styles as TrueType and WOFF2, and the table of widths."""
    out = font_folder()
    widths: dict[str, dict[str, float]] = {}
    for style, name in _SOURCES.items():
        font = _merged(Path(package), name)
        if style is Style.SEMIBOLD:
            _cut(font)
        else:
            _add_signs(font)
        _rename(font, style)
        font.save(out / f"rollstave-serif-{style.value}.ttf")
        em = font["head"].unitsPerEm
        widths[style.value] = {
            chr(code): round(font["hmtx"][glyph][0] / em, 4)
            for code, glyph in sorted(font.getBestCmap().items())
        }
        font.flavor = "woff2"
        font.save(out / f"rollstave-serif-{style.value}.woff2")
    _write_jump_signs(out)
    text = json.dumps(widths, ensure_ascii=False, indent=0, sort_keys=True)
    (out / "rollstave-serif-widths.json").write_text(text + "\n", encoding="utf-8")


if __name__ == "__main__":
    main(sys.argv[1])
