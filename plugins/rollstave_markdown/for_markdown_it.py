"""The plugin for markdown-it-py."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from markdown_it import MarkdownIt
from markdown_it.renderer import RendererProtocol
from markdown_it.rules_core import StateCore
from markdown_it.token import Token
from markdown_it.utils import EnvType, OptionsDict

from rollstave_markdown.fences import WORD, Fence, Page, Settings

_TOKEN = "rollstave_figure"


def rollstave_plugin(parser: MarkdownIt, **settings: Any) -> None:
    """Let a parser engrave the fenced blocks with the word ``rollstave``.

    Settings: ``strict`` (raise TabOnPageError instead of showing an error on the page), ``folder``
    (where figures are kept between runs), ``options`` (words for every block), ``style`` (False:
    the page has :func:`rollstave.figures.figure_css` from elsewhere). The page's file name for
    messages is ``path`` in the environment given to ``render``.
    """
    chosen = Settings(**settings)

    def engrave(state: StateCore) -> None:
        page = Page(chosen, str(state.env.get("path", "")))
        lines = state.src.splitlines()
        made: list[Token] = []
        for token in state.tokens:
            if token.type == "fence" and token.info.split()[:1] == [WORD]:
                words = token.info.strip()[len(WORD) :].strip()
                line = token.map[0] + 1 if token.map else 1
                token.content = page.block(
                    Fence(text=token.content, words=words, line=line, lines=lines)
                )
                token.type = _TOKEN
                made.append(token)
        if made:
            made[0].content = page.style() + made[0].content

    parser.core.ruler.after("block", WORD, engrave)
    parser.add_render_rule(_TOKEN, _render)


def _render(
    renderer: RendererProtocol,
    tokens: Sequence[Token],
    index: int,
    options: OptionsDict,
    env: EnvType,
) -> str:
    return tokens[index].content + "\n"
