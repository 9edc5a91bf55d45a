"""Tab in Markdown: a fenced block with the word ``rollstave`` becomes an inline engraving.

For markdown-it-py::

    from markdown_it import MarkdownIt
    from rollstave_markdown import rollstave_plugin

    html = MarkdownIt().use(rollstave_plugin, strict=True).render(text)

For Python-Markdown, ``markdown.markdown(text, extensions=["rollstave_markdown"])``. For MkDocs the
same word under ``markdown_extensions``, or ``rollstave`` under ``plugins``, which also names pages
in messages, writes one style sheet for all pages and lets ``mkdocs build --strict`` fail.

After the word come options: ``view=tab width=120 measures=1-4 caption="First part"``; see
:class:`rollstave.figures.FigureOptions`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from rollstave_markdown.fences import TabOnPageError

if TYPE_CHECKING:
    from rollstave_markdown.for_markdown_it import rollstave_plugin
    from rollstave_markdown.for_python_markdown import RollstaveExtension

__all__ = ["RollstaveExtension", "TabOnPageError", "makeExtension", "rollstave_plugin"]


def makeExtension(**options: Any) -> RollstaveExtension:
    """The extension, as Python-Markdown asks for it by the package's name."""
    from rollstave_markdown.for_python_markdown import RollstaveExtension

    return RollstaveExtension(**options)


def __getattr__(name: str) -> object:
    """Only the library that is used is imported."""
    if name == "rollstave_plugin":
        from rollstave_markdown.for_markdown_it import rollstave_plugin

        return rollstave_plugin
    if name == "RollstaveExtension":
        from rollstave_markdown.for_python_markdown import RollstaveExtension

        return RollstaveExtension
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
