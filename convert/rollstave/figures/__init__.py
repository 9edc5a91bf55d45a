"""Figures: tab inside somebody's text as an engraving, for whatever sets that text. Public.

``options`` says what a figure shows and reads it from words, ``make`` engraves and keeps what it
engraved, ``html`` sets a figure on a web page. The plugins for Markdown, Sphinx, notebooks and
pandoc share them.
"""

from rollstave.figures.html import (
    FigurePage,
    drawing_html,
    figure_css,
    figure_html,
    problem_line,
    problems_html,
    typed_html,
)
from rollstave.figures.make import Figure, FigureMaker
from rollstave.figures.options import WORDS, FigureOptions, read_words

FIGURE_WORDS = tuple(WORDS)

__all__ = [
    "FIGURE_WORDS",
    "Figure",
    "FigureMaker",
    "FigureOptions",
    "FigurePage",
    "drawing_html",
    "figure_css",
    "figure_html",
    "problem_line",
    "problems_html",
    "read_words",
    "typed_html",
]
