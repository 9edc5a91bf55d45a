"""The directive: from a file or typed lines to a figure in the document."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import ClassVar

from docutils import nodes
from docutils.parsers.rst import directives
from sphinx.errors import SphinxError
from sphinx.util import logging
from sphinx.util.docutils import SphinxDirective

from rollstave import Place, Problem, Severity, TabError
from rollstave.figures import FIGURE_WORDS, Figure, FigureOptions
from rollstave_sphinx.setting import Engraving, maker

_log = logging.getLogger(__name__)
_CLASS = "rollstave"


class TabInDocumentError(SphinxError):
    """A tab cannot be engraved, and ``rollstave_strict`` is set."""

    category = "Tab error"


class RollstaveDirective(SphinxDirective):
    """``.. rollstave::`` with a file as its argument, or with the tab under it."""

    has_content = True
    optional_arguments = 1
    final_argument_whitespace = True
    option_spec: ClassVar = {
        **dict.fromkeys(FIGURE_WORDS, directives.unchanged),
        "name": directives.unchanged,
        "class": directives.class_option,
    }

    def run(self) -> list[nodes.Node]:
        """The figure, or what is wrong with the tab."""
        words = {w: self.options[w] or "yes" for w in FIGURE_WORDS if w in self.options}
        text = ""
        try:
            options = FigureOptions().read(self.config.rollstave_options).changed(words)
        except TabError as error:
            return self._problems([self._here(p) for p in error.problems], text)
        source, name, problem = self._source()
        if problem is not None:
            return self._problems([(*self.get_source_info(), 1, problem)], text)
        try:
            figure = maker(self.env.doctreedir).make(source, options, name=name)
        except TabError as error:
            text = "" if isinstance(source, bytes) else source
            return self._problems([self._located(p) for p in error.problems], text)
        for problem in figure.problems:
            file, line, column, _ = self._located(problem)
            tell = _log.warning if problem.severity is Severity.WARNING else _log.info
            tell("%s", problem.message, location=f"{file}:{line}:{column}", type=_CLASS)
        return [self._figure(figure)]

    def _source(self) -> tuple[str | bytes, str, Problem | None]:
        """The tab, the name of a tune without a title, and what is wrong if there is no tab."""
        if not self.arguments:
            if not self.content:
                return "", "", _problem("there is neither a file nor a tab under the directive")
            return "\n".join(self.content), "", None
        if self.content:
            return "", "", _problem("there is a file and a tab under the directive; keep one")
        relative, path = self.env.relfn2path(self.arguments[0])
        self.env.note_dependency(relative)
        try:
            return Path(path).read_bytes(), Path(path).stem, None
        except OSError as error:
            return "", "", _problem(f"{relative} cannot be read: {error.strerror or error}")

    def _located(self, problem: Problem) -> tuple[str, int, int, Problem]:
        """A problem with file, line and column of its place: in the file of the tab, or where
        the line stands in the document."""
        place = problem.place or Place(1, 1)
        if self.arguments:
            relative, _ = self.env.relfn2path(self.arguments[0])
            return relative, place.line, place.column, problem
        row = min(place.line, len(self.content)) - 1
        file, offset = self.content.info(row)
        if file is None or offset is None:
            return self._here(problem)
        return file, offset + 1, place.column + _indent(file, offset, self.content[row]), problem

    def _here(self, problem: Problem) -> tuple[str, int, int, Problem]:
        """A problem of the directive itself."""
        return (*self.get_source_info(), 1, problem)

    def _problems(
        self, problems: Sequence[tuple[str, int, int, Problem]], text: str
    ) -> list[nodes.Node]:
        """Say what is wrong, in the document and in the log, or end the build."""
        home = str(self.env.srcdir)
        lines = []
        for file, line, column, problem in problems:
            where = file.removeprefix(home).lstrip("/\\")
            lines.append(f"{where}:{line}:{column}: {problem.severity.value}: {problem.message}")
            if not self.config.rollstave_strict:
                location = f"{file}:{line}:{column}"
                _log.warning("%s", problem.message, location=location, type=_CLASS)
        if self.config.rollstave_strict:
            raise TabInDocumentError("\n".join(lines))
        box = nodes.container(classes=["rollstave-problem"])
        title = nodes.strong("", "This tab cannot be engraved.")
        box += nodes.paragraph("", "", title)
        box += nodes.bullet_list("", *[nodes.list_item("", nodes.paragraph("", s)) for s in lines])
        if text:
            box += nodes.literal_block(text, text, language="none")
        return [box]

    def _figure(self, figure: Figure) -> nodes.figure:
        number = self.env.new_serialno(_CLASS)
        ids = figure.options.ids or f"rs-{nodes.make_id(self.env.docname)}-{number + 1}"
        holder = nodes.figure(classes=[_CLASS, *self.options.get("class", [])])
        drawing = Engraving("", figure=figure, prefix=ids)
        # For builders that set neither SVG nor PDF.
        drawing += nodes.literal_block(figure.text, figure.text, language="none")
        holder += drawing
        if figure.options.caption:
            words, messages = self.state.inline_text(figure.options.caption, self.lineno)
            holder += nodes.caption(figure.options.caption, "", *words, *messages)
        if figure.notes:
            notes = [nodes.paragraph("", note, classes=["rollstave-note"]) for note in figure.notes]
            holder += nodes.legend("", *notes)
        self.set_source_info(holder)
        self.add_name(holder)
        return holder


def _indent(file: str, offset: int, typed: str) -> int:
    """How far to the right the typed line stands in its file."""
    try:
        lines = Path(file).read_text(encoding="utf-8").splitlines()
    except (OSError, ValueError):
        return 0
    return max(0, lines[offset].find(typed)) if offset < len(lines) else 0


def _problem(message: str) -> Problem:
    return Problem(Severity.ERROR, "figure", message)
