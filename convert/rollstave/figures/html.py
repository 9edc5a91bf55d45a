"""A figure on a web page: the drawing inline, its caption, and the typed text for every reader.

The drawing is one image with words that say what it shows; the typed text stays reachable with a
screen reader and with the keyboard. Whatever somebody typed is escaped.
"""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from rollstave.figures.make import Figure
from rollstave.problems import Problem

# Colours: the drawing takes the page's own; the frame of a message keeps 3 to 1 on white and on
# black (WCAG 2.2, 1.4.11), and its words are set in the page's colour.
_CSS = """
figure.rollstave{margin:1.5em 0;text-align:center}
figure.rollstave>svg{display:inline-block;max-width:100%;height:auto}
figure.rollstave>figcaption{margin-top:.6em;text-align:center}
figure.rollstave .rollstave-note{display:block;font-size:.85em}
figure.rollstave details{margin-top:.6em;text-align:left;font-size:.85em}
figure.rollstave summary{cursor:pointer;width:max-content;margin:0 auto}
figure.rollstave pre,.rollstave-problem pre{overflow-x:auto;line-height:1.25;text-align:left}
figure.rollstave .rollstave-hidden{position:absolute;width:1px;height:1px;margin:-1px;
padding:0;overflow:hidden;clip-path:inset(50%);white-space:pre;border:0}
.rollstave-problem{margin:1.5em 0;padding:.5em 1em;border:2px solid #c0392b}
.rollstave-problem ul{margin:.5em 0;padding-left:1.2em}
@media print{figure.rollstave details:not([open]){display:none}figure.rollstave{break-inside:avoid}}
"""


def figure_css(figures: Iterable[Figure] | None = None, *, fonts: bool = True) -> str:
    """The style sheet of figures, once for a page, with the faces that its figures use.

    Without figures, all faces: for a style sheet that many pages share.
    """
    from rollstave.writing.fonts import Style, face_rules

    if not fonts:
        return _CSS
    used = set(Style)
    if figures is not None:
        drawings = [figure.svg for figure in figures]
        marks = {
            Style.SEMIBOLD: 'font-weight="600',
            Style.BOLD: 'font-weight="700',
            Style.ITALIC: 'font-style="',
        }
        used = {Style.REGULAR} | {s for s, m in marks.items() if any(m in d for d in drawings)}
    return _CSS + face_rules(used)


class FigurePage:
    """The figures of one web page: no id is given twice, and what they share is said once."""

    def __init__(self) -> None:
        self._ids: set[str] = set()
        self._figures: list[Figure] = []

    def figure(self, figure: Figure, caption: str | None = None) -> str:
        """The figure as an HTML element. ``caption`` is HTML to stand instead of its own."""
        self._figures.append(figure)
        name = self._free(figure.options.ids or f"rs-{figure.key[:10]}")
        return figure_html(figure, name, caption)

    def style(self, *, fonts: bool = True) -> str:
        """The style element of the page; nothing if it has no figures."""
        if not self._figures:
            return ""
        return f"<style>{figure_css(self._figures, fonts=fonts)}</style>"

    def _free(self, wanted: str) -> str:
        name, count = wanted, 1
        while name in self._ids:
            count += 1
            name = f"{wanted}-{count}"
        self._ids.add(name)
        return name


def figure_html(figure: Figure, name: str, caption: str | None = None) -> str:
    """A figure element with the id ``name``. ``caption`` is HTML to stand instead of its own."""
    words = escape(figure.options.caption) if caption is None else caption
    notes = "".join(f'<span class="rollstave-note">{escape(n)}</span>' for n in figure.notes)
    parts = [f'<figure class="rollstave" id="{escape(name)}">', drawing_html(figure, name)]
    if words or notes:
        parts.append(f"<figcaption>{words}{notes}</figcaption>")
    parts += [typed_html(figure), "</figure>"]
    return "".join(parts)


def drawing_html(figure: Figure, name: str) -> str:
    """The drawing alone, as an image that says in words what it shows."""
    drawing = figure.svg_with_ids(f"{name}-")
    return drawing.replace("<svg ", f'<svg aria-label="{escape(figure.alt)}" ', 1)


def typed_html(figure: Figure) -> str:
    """The typed text as the options want it, or nothing."""
    text = escape(figure.text.strip("\r\n"))
    match figure.options.typed:
        case "none":
            return ""
        case "hidden":
            return f'<pre class="rollstave-hidden">{text}</pre>'
        case "shown":
            return f'<pre class="rollstave-typed" tabindex="0">{text}</pre>'
    return (
        "<details><summary>Tab as typed</summary>"
        f'<pre class="rollstave-typed" tabindex="0">{text}</pre></details>'
    )


def problems_html(problems: Iterable[Problem], text: str, where: str = "") -> str:
    """What is said on a page in the place of a figure that cannot be made: every problem with
    its place (in the file ``where``, if that is known), and the typed text."""
    lines = "".join(f"<li>{escape(problem_line(p, where))}</li>" for p in problems)
    typed = escape(text.strip("\r\n"))
    return (
        '<div class="rollstave-problem"><strong>This tab cannot be engraved.</strong>'
        f'<ul>{lines}</ul><pre tabindex="0">{typed}</pre></div>'
    )


def problem_line(problem: Problem, where: str = "") -> str:
    """A problem on one line, also where the text has no file name."""
    if where:
        return problem.format(where)
    if problem.place is None:
        return problem.message
    return f"line {problem.place.line}, column {problem.place.column}: {problem.message}"
