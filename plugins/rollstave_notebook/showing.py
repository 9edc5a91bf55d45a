"""What a notebook shows: figures for tunes and for cells of tab."""

from __future__ import annotations

from typing import Any

from IPython import display as ipython
from IPython.core.error import UsageError

import rollstave
from rollstave import Tune
from rollstave.figures import (
    Figure,
    FigureMaker,
    FigureOptions,
    figure_css,
    figure_html,
    problem_line,
    problems_html,
    read_words,
)
from rollstave_notebook import play

_YES = {"yes": True, "no": False}
_OWN: tuple[str, ...] = ("name", "audio", "strict", "folder")
_DISPLAY: Any = ipython  # its functions have no types


class Notebook:
    """The settings of one notebook, and its magics."""

    current: Notebook | None = None

    def __init__(self) -> None:
        self.maker = FigureMaker()
        self.options = FigureOptions()
        self.own: dict[str, str] = {}
        self._shown = 0

    @classmethod
    def start(cls, shell: Any) -> None:
        """Register the magics, and how a tune is shown."""
        notebook = cls.current = cls()
        shell.register_magic_function(notebook.cell, "cell", "rollstave")
        shell.register_magic_function(notebook.line, "line", "rollstave")
        formatters = shell.display_formatter.formatters
        formatters["text/html"].for_type(Tune, notebook.tune_html)
        formatters["text/plain"].for_type(Tune, _tune_words)

    @classmethod
    def stop(cls, shell: Any) -> None:
        """Show tunes as before. The magics stay, as IPython cannot take them back."""
        formatters = shell.display_formatter.formatters
        formatters["text/html"].pop(Tune, None)
        formatters["text/plain"].pop(Tune, None)
        cls.current = None

    def tune_html(self, tune: Tune) -> str:
        """A tune as it is shown."""
        return self._html(self.maker.make(tune, self.options))

    def line(self, line: str) -> None:
        """Set words for all that follows."""
        own, options = self._words(line, "%rollstave")
        if "folder" in own:
            self.maker = FigureMaker(own.pop("folder") or None)
        if "name" in own:
            raise UsageError("%rollstave: name= belongs to a cell: %%rollstave name=...")
        self.own |= own
        self.options = options

    def cell(self, line: str, cell: str) -> None:
        """Read the tab in a cell, show it, bind it to a name and let it be played."""
        own, options = self._words(line, "%%rollstave")
        own = self.own | own
        name = own.get("name", "")
        if name and not name.isidentifier():
            raise UsageError(f"%%rollstave: {name!r} cannot be the name of a tune")
        try:
            figure = self.maker.make(cell, options)
            tunes = rollstave.read(cell)
        except rollstave.TabError as error:
            # The magic is the first line of the cell.
            self._problems([p.moved(1) for p in error.problems], cell, own)
            return
        tune = tunes[(options.tune or 1) - 1]
        _show(self._html(figure))
        if _yes(own, "audio", True):
            _DISPLAY.display(play(tune))
        if name:
            shell = _shell()
            shell.user_ns[name] = tune

    def _words(self, line: str, magic: str) -> tuple[dict[str, str], FigureOptions]:
        """Our own words of a line, and the options with the rest. Raises UsageError."""
        try:
            words = read_words(line)
            own = {w: words.pop(w) for w in _OWN if w in words}
            for word in ("audio", "strict"):
                _yes(own, word, True)
            return own, self.options.changed(words)
        except rollstave.TabError as error:
            raise UsageError(f"{magic}: {'; '.join(p.message for p in error.problems)}") from None

    def _problems(self, problems: list[rollstave.Problem], cell: str, own: dict[str, str]) -> None:
        if _yes(own, "strict", False):
            raise UsageError("\n".join(f"cell, {problem_line(p)}" for p in problems))
        style = f"<style>{figure_css(fonts=False)}</style>"
        _show(style + problems_html(problems, cell, "cell"))

    def _html(self, figure: Figure) -> str:
        """A figure that needs nothing from other outputs, which may be cleared."""
        self._shown += 1
        name = figure.options.ids or f"rs-{self._shown}-{figure.key[:6]}"
        return f"<style>{figure_css([figure])}</style>{figure_html(figure, name)}"


def _yes(own: dict[str, str], word: str, default: bool) -> bool:
    value = own.get(word)
    if value is None:
        return default
    if value not in _YES:
        raise UsageError(f"{word}={value}: it is yes or no")
    return _YES[value]


def _show(html: str) -> None:
    _DISPLAY.display(_DISPLAY.HTML(html))


def _shell() -> Any:
    from IPython.core.getipython import get_ipython

    return get_ipython()


def _tune_words(tune: Tune, printer: Any, cycle: bool) -> None:
    """A tune in one line, where there are no pictures."""
    score = tune.score
    printer.text(
        f"<{score.title or 'Tune'}: {score.setup.instrument.name}, {score.meter}, {score.key}, "
        f"{len(score.measures)} measures>"
    )
