"""Saved web pages: preformatted blocks and paragraphs as a browser shows them, by lxml.

Scripts, styles, pictures and frames stay out, and nothing is fetched. White space is that of CSS
2.2 (16.6); which elements begin a line is that of the HTML standard (15.3, "Flow content").
"""

from __future__ import annotations

import re
from typing import Any

from rollstave import DocumentText
from rollstave_documents.bounds import MOST_DEPTH
from rollstave_documents.lines import Lines
from rollstave_documents.recognising import damaged

_WHAT = "web page"
_LEFT_OUT = {
    "script",
    "style",
    "head",
    "template",
    "noscript",
    "svg",
    "math",
    "iframe",
    "object",
    "embed",
    "audio",
    "video",
    "canvas",
    "select",
    "button",
}
_BLOCKS = {
    "address",
    "article",
    "aside",
    "blockquote",
    "body",
    "center",
    "dd",
    "details",
    "dialog",
    "div",
    "dl",
    "dt",
    "fieldset",
    "figcaption",
    "figure",
    "footer",
    "form",
    "h1",
    "h2",
    "h3",
    "h4",
    "h5",
    "h6",
    "header",
    "hgroup",
    "hr",
    "li",
    "listing",
    "main",
    "menu",
    "nav",
    "ol",
    "p",
    "pre",
    "section",
    "summary",
    "table",
    "tbody",
    "thead",
    "tfoot",
    "tr",
    "caption",
    "ul",
    "xmp",
    "plaintext",
    "textarea",
    "html",
}
_APART = {
    "p",
    "pre",
    "h1",
    "h2",
    "h3",
    "h4",
    "h5",
    "h6",
    "ul",
    "ol",
    "dl",
    "table",
    "blockquote",
    "listing",
    "xmp",
    "plaintext",
    "hr",
}
_KEEPS_SPACE = {
    "pre",
    "listing",
    "xmp",
    "plaintext",
    "textarea",
}
_CHARSET = re.compile(rb"<meta[^>]{0,200}?charset\s*=\s*[\"']?\s*([\w.:-]+)", re.IGNORECASE)
_OURS = re.compile(rb"<meta name=\"generator\" content=\"rollstave\">")


def read(data: bytes) -> DocumentText:
    """The text of a page. Raises TabError."""
    if _OURS.search(data[:4096]):
        raise damaged(
            "this is a page to practise with that rollstave made; convert the tab that it was made "
            "of",
            "no-tab",
        )
    return lines_of(decoded(data)).text(_WHAT)


def lines_of(page: str) -> Lines:
    """The lines of a page, each with the number of its paragraph or preformatted block."""
    from lxml import etree, html

    parser = html.HTMLParser(no_network=True, remove_comments=True, remove_pis=True)
    page = re.sub(r"^\s*<\?xml[^>]*>", "", page)  # which would name an encoding of its own
    try:
        root = html.document_fromstring(page, parser=parser)
    except (etree.LxmlError, ValueError) as error:
        raise damaged(f"this {_WHAT} is damaged: {error}") from error
    walk = _Walk()
    walk.element(root, keeps=False)
    walk.end_line()
    return walk.lines


def decoded(data: bytes) -> str:
    """The characters of a page: a byte order mark, then what it says itself, then UTF-8, then
    Windows-1252 (HTML standard, 13.2.3.2, with UTF-8 for the user's own default)."""
    for mark, name in (
        (b"\xef\xbb\xbf", "utf-8"),
        (b"\xff\xfe", "utf-16-le"),
        (b"\xfe\xff", "utf-16-be"),
    ):
        if data.startswith(mark):
            return data[len(mark) :].decode(name, "replace")
    said = _CHARSET.search(data[:8192])
    names = [said[1].decode("ascii", "replace")] if said else []
    for name in (*names, "utf-8"):
        name = "cp1252" if name.lower() in ("iso-8859-1", "latin1", "us-ascii") else name
        try:
            return data.decode(name)
        except (LookupError, UnicodeError):
            continue
    return data.decode("cp1252", "replace")


class _Walk:
    """Goes through the elements once and sets their text in lines."""

    def __init__(self) -> None:
        self.lines = Lines()
        self._line: list[str] = []
        self._pre = 0  # numbers of blocks, as they are told
        self._paragraph = 0
        self._place = ""
        self._number = 0  # of the line in its block

    def element(self, element: Any, keeps: bool, depth: int = 0) -> None:
        """An element and all in it. ``keeps`` is true where white space is kept."""
        tag = element.tag if isinstance(element.tag, str) else ""
        if depth > 2 * MOST_DEPTH:
            raise damaged(f"this {_WHAT} has more than {2 * MOST_DEPTH} elements in each other")
        if tag in _LEFT_OUT or "hidden" in element.attrib:
            return
        style = element.get("style", "").replace(" ", "").lower()
        if "display:none" in style:
            return
        keeps = keeps or tag in _KEEPS_SPACE or "white-space:pre" in style
        if tag == "br":
            self._break()
        if tag in _BLOCKS:
            self._begin(tag, keeps)
        if tag in ("td", "th") and self._line:
            self._line.append("  ")
        if element.text:
            # The line feed right after the tag of a preformatted block is not shown.
            text = (
                element.text.removeprefix("\n") if keeps and tag in _KEEPS_SPACE else element.text
            )
            self._text(text, keeps)
        for child in element:
            self.element(child, keeps, depth + 1)
            if child.tail:
                self._text(child.tail, keeps)
        if tag in _BLOCKS:
            self._end(tag)

    def _begin(self, tag: str, keeps: bool) -> None:
        self.end_line()
        if tag in _APART:
            self.lines.gap()
        if keeps:
            self._pre += 1
            self._place = f"preformatted block {self._pre}"
            self._number = 0
        elif tag != "table":
            self._place = ""

    def _end(self, tag: str) -> None:
        self.end_line()
        if tag in _APART:
            self.lines.gap()
        self._place = ""

    def _text(self, text: str, keeps: bool) -> None:
        if keeps:
            first, *rest = text.replace("\r\n", "\n").split("\n")
            self._line.append(first)
            for part in rest:
                self._break()
                self._line.append(part)
            return
        text = re.sub(r"[ \t\r\n\f]+", " ", text)
        before = self._line[-1] if self._line else " "
        if text.startswith(" ") and before.endswith(" ") and not before.endswith("\u00a0"):
            text = text[1:]
        if text:
            self._line.append(text)

    def _break(self) -> None:
        """End a line within a block."""
        self._put(force=True)

    def end_line(self) -> None:
        """End a line at the end of a block: none is begun where nothing stands."""
        self._put(force=False)

    def _put(self, force: bool) -> None:
        text = "".join(self._line)
        self._line = []
        if not force and not text.strip():
            return
        if not self._place:
            self._paragraph += 1
            self._place = f"paragraph {self._paragraph}"
            self._number = 0
        self._number += 1
        self.lines.add(text, f"{self._place}, line {self._number}")
