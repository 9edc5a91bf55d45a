"""The extension for Python-Markdown."""

from __future__ import annotations

import re
from typing import Any

from markdown import Markdown
from markdown.extensions import Extension
from markdown.postprocessors import Postprocessor
from markdown.preprocessors import Preprocessor

from rollstave_markdown.fences import WORD, Fence, Page, Settings

# Before the library's own fenced code (25), after it has settled line ends and tabs (30).
_BEFORE_FENCED_CODE = 27
_LAST = 1

_OPENING = re.compile(r"(?P<indent> *)(?P<fence>`{3,}|~{3,})(?P<info>[^`]*)$")
_CONTAINER = re.compile(r" *(?:[-*+]|\d+\.|!!!|\?\?\?\+?|===) ")


class RollstaveExtension(Extension):
    """Engraves the fenced blocks with the word ``rollstave``.

    ``settings`` and ``where`` may be changed between two pages, as MkDocs does.
    """

    def __init__(self, **options: Any) -> None:
        self.config = {
            "strict": [False, "Raise TabOnPageError instead of showing an error on the page."],
            "folder": ["", "Where figures are kept between runs; empty: nowhere."],
            "options": ["", "Words that hold for every block, such as view=tab."],
            "style": [True, "False: the page has the style sheet of figures from elsewhere."],
        }
        self.where = ""
        self.lines_before = 0
        super().__init__(**options)

    def extendMarkdown(self, md: Markdown) -> None:
        """Called by Python-Markdown."""
        md.registerExtension(self)
        engraver = _Blocks(md, self)
        md.preprocessors.register(engraver, WORD, _BEFORE_FENCED_CODE)
        md.postprocessors.register(_Style(md, engraver), f"{WORD}-style", _LAST)

    def settings(self) -> Settings:
        """What was configured."""
        return Settings(**self.getConfigs())


class _Blocks(Preprocessor):
    """Puts the HTML of each block in its place, before anything else reads the lines."""

    def __init__(self, md: Markdown, extension: RollstaveExtension) -> None:
        super().__init__(md)
        self.extension = extension
        self.page = Page(Settings())

    def run(self, lines: list[str]) -> list[str]:
        self.page = Page(self.extension.settings(), self.extension.where)
        found: list[str] = []
        at = 0
        while at < len(lines):
            opening = _OPENING.match(lines[at])
            if opening is None or not _can_open(lines, at, len(opening["indent"])):
                found.append(lines[at])
                at += 1
                continue
            end = _end_of(lines, at, opening["fence"])
            if opening["info"].split()[:1] == [WORD]:
                found += self._block(lines, at, end, opening)
            else:
                found += lines[at : end + 1]
            at = end + 1
        return found

    def _block(self, lines: list[str], at: int, end: int, opening: re.Match[str]) -> list[str]:
        indent = opening["indent"]
        text = "\n".join(line.removeprefix(indent) for line in lines[at + 1 : end])
        words = opening["info"].strip()[len(WORD) :].strip()
        before = self.extension.lines_before
        fence = Fence(text=text, words=words, line=at + 1 + before, lines=[""] * before + lines)
        kept = self.md.htmlStash.store(self.page.block(fence))
        return ["", indent + kept, ""]


class _Style(Postprocessor):
    """Puts the style sheet before a page that has figures."""

    def __init__(self, md: Markdown, engraver: _Blocks) -> None:
        super().__init__(md)
        self.engraver = engraver

    def run(self, text: str) -> str:
        return self.engraver.page.style() + text


def _end_of(lines: list[str], at: int, fence: str) -> int:
    """The index of the line that closes a fence, or one past the last line."""
    closing = re.compile(rf" *{re.escape(fence[0])}{{{len(fence)},}} *$")
    return next((i for i in range(at + 1, len(lines)) if closing.match(lines[i])), len(lines))


def _can_open(lines: list[str], at: int, indent: int) -> bool:
    """Whether a fence so far in is one: by more than three spaces only inside a list item or an
    admonition, where it would otherwise be code that is shown."""
    if indent < 4:
        return True
    for line in reversed(lines[:at]):
        if line.strip() and len(line) - len(line.lstrip()) < indent:
            return bool(_CONTAINER.match(line))
    return False
