"""What both Markdown libraries share: from a fenced block to HTML, or to what is wrong with it."""

from __future__ import annotations

import logging
from collections.abc import Sequence
from functools import lru_cache

from msgspec import Struct, field

from rollstave import Place, Problem, Severity, TabError
from rollstave.figures import (
    Figure,
    FigureMaker,
    FigureOptions,
    FigurePage,
    figure_css,
    problem_line,
    problems_html,
)

WORD = "rollstave"


class TabOnPageError(ValueError):
    """A tab on a page cannot be engraved, and the build is strict."""


@lru_cache(maxsize=16)
def maker(folder: str | None = None) -> FigureMaker:
    """The maker of a folder, shared by all pages of a process; None keeps figures in memory."""
    return FigureMaker(folder or None)


class Settings(Struct, frozen=True):
    """How tabs on pages are treated.

    ``options`` are words that hold for every block, ``folder`` keeps figures between runs,
    ``style`` puts the style sheet on the page, ``error`` is raised if the build is ``strict``.
    """

    strict: bool = False
    folder: str | None = None
    options: str = ""
    style: bool = True
    error: type[Exception] = TabOnPageError
    log: logging.Logger | logging.LoggerAdapter[logging.Logger] = field(
        default_factory=lambda: logging.getLogger("rollstave.markdown")
    )

    @property
    def defaults(self) -> FigureOptions:
        """What a block shows that says nothing else. Raises TabError for a wrong word."""
        return FigureOptions().read(self.options)


class Fence(Struct, frozen=True):
    """A block as typed: its text, the words after ``rollstave``, and where it stands.

    ``line`` is that of the opening fence, counted from 1. ``lines`` are all lines of the page.
    """

    text: str
    words: str
    line: int
    lines: Sequence[str]

    def place_of(self, problem: Problem) -> Problem:
        """A problem of the text with its place on the page."""
        if problem.place is None:
            return Problem(
                severity=problem.severity,
                code=problem.code,
                message=problem.message,
                place=Place(self.line, 1),
            )
        typed = self.text.splitlines()
        row = problem.place.line - 1
        on_page = self.line + row  # the index of the same line on the page
        if row < len(typed) and on_page < len(self.lines):
            return problem.moved(self.line, max(0, self.lines[on_page].find(typed[row])))
        return problem.moved(self.line)

    def place_of_word(self, problem: Problem) -> Problem:
        """A problem of the options with its place on the page."""
        opening = self.lines[self.line - 1] if self.line <= len(self.lines) else ""
        at = max(0, opening.find(self.words, opening.find(WORD) + len(WORD)))
        column = problem.place.column if problem.place else 1
        return Problem(
            severity=problem.severity,
            code=problem.code,
            message=problem.message,
            place=Place(self.line, at + column),
        )


class Page:
    """The blocks of one page, one after the other. ``where`` is its file, if that is known."""

    def __init__(self, settings: Settings, where: str = "") -> None:
        self.settings = settings
        self.where = where
        self._figures = FigurePage()
        self._failed = False

    def block(self, fence: Fence) -> str:
        """The HTML of a block. Raises TabOnPageError if there is none and the build is strict."""
        try:
            options = self.settings.defaults.read(fence.words)
        except TabError as error:
            return self._problems([fence.place_of_word(p) for p in error.problems], fence)
        try:
            # One of the libraries leaves the last line's end away.
            text = fence.text.rstrip("\n") + "\n"
            figure: Figure = maker(self.settings.folder).make(text, options)
        except TabError as error:
            return self._problems([fence.place_of(p) for p in error.problems], fence)
        for problem in figure.problems:
            level = logging.WARNING if problem.severity is Severity.WARNING else logging.INFO
            line = problem_line(fence.place_of(problem), self.where)
            self.settings.log.log(level, "%s", line)
        return self._figures.figure(figure)

    def _problems(self, problems: list[Problem], fence: Fence) -> str:
        lines = [problem_line(p, self.where) for p in problems]
        if self.settings.strict:
            raise self.settings.error("\n".join(lines))
        for line in lines:
            self.settings.log.warning("%s", line)
        self._failed = True
        return problems_html(problems, fence.text, self.where)

    def style(self) -> str:
        """The style element that the page needs, or nothing."""
        if not self.settings.style:
            return ""
        found = self._figures.style()
        if not found and self._failed:
            return f"<style>{figure_css(fonts=False)}</style>"
        return found
