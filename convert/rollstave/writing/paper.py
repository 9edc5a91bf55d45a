"""Paper: a tune as a PDF, through Typst.

Typst sets each finished SVG page as vectors on a page of the same size, with our own font from a
folder of the package and nothing of the system's, so a PDF is the same on every machine.
"""

from __future__ import annotations

import json
import re
import tempfile
from pathlib import Path

from msgspec.structs import replace

from rollstave.score.records import Score
from rollstave.writing.fonts import FAMILY, FAMILY_LIST, font_folder
from rollstave.writing.options import Paper, SheetOptions
from rollstave.writing.others import OtherMarks, no_others
from rollstave.writing.sheet import write_svg

_PLAIN = SheetOptions()
# A fixed time, so that the same tune gives the same bytes: seconds since 1970.
_STAMP = 0
_FACES, _FACE = (f'font-family="{name}"'.encode() for name in (FAMILY_LIST, FAMILY))


def quoted(text: str) -> str:
    """A Typst string literal; Typst takes the escapes of JSON for quote and backslash."""
    return json.dumps(text, ensure_ascii=False)


def page_setup(paper: Paper) -> str:
    """The Typst rules that every document of ours starts with. Lengths are in mm."""
    return (
        f"#set page(width: {paper.width / 100:g}mm, height: {paper.height / 100:g}mm, "
        "margin: 0mm)\n"
        f"#set text(font: {quoted(FAMILY)}, size: 11pt)\n"
    )


def sheet_pages(score: Score, options: SheetOptions, others: OtherMarks = no_others) -> list[bytes]:
    """The SVG pages of a tune as Typst takes them: full height, without the embedded face."""
    return write_svg(score, replace(options, whole_pages=True, embed_fonts=False), others)


def write_pdf(
    score: Score, options: SheetOptions = _PLAIN, others: OtherMarks = no_others
) -> bytes:
    """The tune as a PDF with its title and author set; a figure on a page of its own size."""
    pages = sheet_pages(score, options, others)
    paper = options.paper if options.title_block else svg_size(pages[0])
    return pages_pdf(pages, paper, score.title, score.composer)


def pages_pdf(pages: list[bytes], paper: Paper, title: str, author: str = "") -> bytes:
    """A PDF of SVG pages that all have the size of the paper and no embedded face."""
    authors = f"({quoted(author)},)" if author else "()"
    source = [
        f"#set document(title: {quoted(title)}, author: {authors}, date: none)",
        page_setup(paper),
    ]
    for number in range(len(pages)):
        alt = f"{title}, page {number + 1}" if len(pages) > 1 else title
        source.append(f'#image("p{number}.svg", width: 100%, height: 100%, alt: {quoted(alt)})')
    return compile_typst("\n".join(source), {f"p{n}.svg": _bare(p) for n, p in enumerate(pages)})


# Ids of measures and notes on a page of ours, the first attribute of their groups.
_NEEDLESS = re.compile(rb'(<g) id="(?![^"]*-glyph-)[^"]*"')


def _bare(page: bytes) -> bytes:
    """A page without what a PDF has no use for, but Typst takes its time over: ids that nothing
    points to, and faces to fall back on. The PDF has the same bytes."""
    return _NEEDLESS.sub(rb"\1", page).replace(_FACES, _FACE)


_SIZE = re.compile(rb'<svg[^>]* width="([0-9.]+)mm" height="([0-9.]+)mm"')


def svg_size(svg: bytes) -> Paper:
    """A page of the size of one of our SVG files."""
    match = _SIZE.search(svg)
    assert match is not None, "our SVG files say their size in millimetres"
    return Paper("figure", round(float(match[1]) * 100), round(float(match[2]) * 100))


def compile_typst(source: str, attachments: dict[str, bytes]) -> bytes:
    """Run Typst on a document and the files that it names."""
    import typst

    with tempfile.TemporaryDirectory(prefix="rollstave-") as folder:
        _write_files(Path(folder), source, attachments)
        return typst.compile(
            str(Path(folder) / "main.typ"),
            root=folder,
            font_paths=[str(font_folder())],
            ignore_system_fonts=True,
            format="pdf",
            timestamp=_STAMP,
        )


def _write_files(folder: Path, source: str, attachments: dict[str, bytes]) -> None:
    (folder / "main.typ").write_text(source, encoding="utf-8")
    for name, data in attachments.items():
        (folder / name).write_bytes(data)
