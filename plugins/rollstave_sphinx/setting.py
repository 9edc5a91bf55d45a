"""How each kind of builder sets an engraving, and the style sheet of HTML pages."""

from __future__ import annotations

import os
from functools import lru_cache
from pathlib import Path
from typing import Any

from docutils import nodes
from sphinx.application import Sphinx

from rollstave.figures import Figure, FigureMaker, drawing_html, figure_css, typed_html

_SHEET = "rollstave.css"


class Engraving(nodes.General, nodes.Element):
    """A drawing in a figure. Its child is the typed text, for builders without drawings."""


@lru_cache(maxsize=8)
def maker(doctrees: str | Path) -> FigureMaker:
    """The maker of a project: what it engraved lies beside the pickled documents."""
    return FigureMaker(Path(doctrees) / "rollstave")


def _html(translator: Any, node: Engraving) -> None:
    figure: Figure = node["figure"]
    translator.body.append(drawing_html(figure, node["prefix"]) + typed_html(figure))
    raise nodes.SkipNode


def _latex(translator: Any, node: Engraving) -> None:
    """A PDF beside the document; the page's width is its limit, or it has its own size."""
    figure: Figure = node["figure"]
    name = f"rollstave-{figure.key}.pdf"
    place = Path(translator.builder.outdir) / name
    if not place.exists():
        # Whole or not at all: a part of one would be taken for the figure by the next build.
        temporary = place.with_suffix(f".{os.getpid()}")
        temporary.write_bytes(maker(translator.builder.env.doctreedir).pdf(figure))
        os.replace(temporary, place)
    translator.body.append(rf"\noindent\sphinxincludegraphics{{{name}}}" + "\n")
    raise nodes.SkipNode


def _nothing(translator: Any, node: Engraving) -> None:
    """The child says it all."""


_PLAIN = (_nothing, _nothing)
VISITORS: dict[str, Any] = {
    "html": (_html, None),
    "epub": (_html, None),
    "latex": (_latex, None),
    "text": _PLAIN,
    "man": _PLAIN,
    "texinfo": _PLAIN,
    "xml": _PLAIN,
}


def add_style_sheet(app: Sphinx) -> None:
    """Give HTML pages the style sheet, written only if it changed."""
    if app.builder.format != "html":
        return
    folder = Path(app.doctreedir) / "rollstave-static"
    folder.mkdir(parents=True, exist_ok=True)
    sheet, css = folder / _SHEET, figure_css()
    if not sheet.exists() or sheet.read_text(encoding="utf-8") != css:
        sheet.write_text(css, encoding="utf-8")
    app.config.html_static_path.append(str(folder))
    app.add_css_file(_SHEET)
