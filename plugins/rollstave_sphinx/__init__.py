"""Tab in Sphinx: the directive ``rollstave`` engraves a file or what stands under it.

::

    .. rollstave:: tunes/nettle-hill.txt
       :name: first-line
       :caption: The first line
       :measures: 1-4
       :view: tab

Figures with a caption are numbered and can be referred to (``numfig = True``, ``:numref:``). HTML
pages get the drawing inline, LaTeX a PDF of the figure's size; other builders the typed text. The
options are those of :class:`rollstave.figures.FigureOptions`. In ``conf.py``,
``rollstave_options`` are words that hold for every figure, and ``rollstave_strict = True`` ends the
build at a tab that cannot be engraved.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from sphinx.application import Sphinx


def setup(app: Sphinx) -> dict[str, Any]:
    """Called by Sphinx."""
    from rollstave import __version__
    from rollstave_sphinx.directive import RollstaveDirective
    from rollstave_sphinx.setting import VISITORS, Engraving, add_style_sheet

    app.add_config_value("rollstave_strict", False, "env", (bool,))
    app.add_config_value("rollstave_options", "", "env", (str,))
    app.add_node(Engraving, **VISITORS)
    app.add_directive("rollstave", RollstaveDirective)
    app.connect("builder-inited", add_style_sheet)
    return {
        "version": __version__,
        "env_version": 1,
        "parallel_read_safe": True,
        "parallel_write_safe": True,
    }
