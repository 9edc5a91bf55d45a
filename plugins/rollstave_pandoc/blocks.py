"""The filter itself: each code block of the class ``rollstave`` becomes a figure."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import Any

import panflute

from rollstave import TabError
from rollstave.figures import FigureMaker, FigureOptions, FigurePage, problem_line, problems_html

_HTML = {"html", "html4", "html5", "revealjs", "slidy", "epub", "epub2", "epub3"}
_LATEX = {"latex", "beamer", "context"}


def _prepare(document: Any) -> None:
    folder = document.get_metadata("rollstave-folder", "rollstave-figures")
    document.rollstave_maker = FigureMaker(folder)
    document.rollstave_page = FigurePage()


def _engrave(element: Any, document: Any) -> Any:
    if not isinstance(element, panflute.CodeBlock) or "rollstave" not in element.classes:
        return None
    words = dict(element.attributes)
    if element.identifier:
        words["ids"] = element.identifier
    try:
        figure = document.rollstave_maker.make(element.text, FigureOptions().changed(words))
    except TabError as error:
        lines = [f"block of tab, {problem_line(p)}" for p in error.problems]
        print(*lines, sep="\n", file=sys.stderr)
        if document.get_metadata("rollstave-strict", False):
            sys.exit(2)
        if document.format in _HTML:
            return panflute.RawBlock(problems_html(error.problems, element.text), format="html")
        items = [panflute.ListItem(panflute.Plain(panflute.Str(line))) for line in lines]
        return [panflute.BulletList(*items), panflute.CodeBlock(element.text)]
    if document.format in _HTML:
        return panflute.RawBlock(document.rollstave_page.figure(figure), format="html")
    maker: FigureMaker = document.rollstave_maker
    pdf = document.format in _LATEX
    assert maker.folder is not None
    place = Path(maker.folder) / f"{figure.key}{'.pdf' if pdf else '.svg'}"
    data = maker.pdf(figure) if pdf else figure.svg.encode()
    if not place.exists():
        # Whole or not at all: a part of one would be taken for the figure by the next document.
        temporary = place.with_suffix(f".{os.getpid()}")
        temporary.write_bytes(data)
        os.replace(temporary, place)
    image = panflute.Image(url=place.as_posix(), title=figure.title)
    image.attributes["alt"] = figure.alt
    words_under = " ".join(filter(None, (figure.options.caption, *figure.notes)))
    caption = panflute.Caption(panflute.Plain(panflute.Str(words_under)))
    return panflute.Figure(panflute.Plain(image), caption=caption, identifier=element.identifier)


def _finish(document: Any) -> None:
    if style := document.rollstave_page.style():
        document.content.insert(0, panflute.RawBlock(style, format="html"))


def run() -> None:
    """Filter the document on standard input to standard output."""
    panflute.run_filter(_engrave, prepare=_prepare, finalize=_finish)
