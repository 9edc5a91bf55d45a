"""Small helpers for building XML with lxml, shared by the writers."""

from __future__ import annotations

import re
from functools import cache
from typing import cast

from lxml import etree


@cache
def _forbidden() -> re.Pattern[str]:
    """Characters that XML 1.0 cannot hold at all (W3C XML 1.0, production 2). Made when a text is
    not plain: so large a class takes as long to make as a measure to draw."""
    return re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def clean(text: str) -> str:
    """Text without the characters that XML forbids."""
    if text.isprintable():  # nearly always, and much faster
        return text
    return _forbidden().sub("\ufffd", text)


def root_element(tag: str, namespaces: dict[str | None, str]) -> etree._Element:
    """The root of a document; the key None is the namespace without a prefix."""
    # lxml takes None as a key, which its stubs do not say.
    return etree.Element(tag, nsmap=cast("dict[str, str]", namespaces))


def all_text(element: etree._Element) -> str:
    """All words in an element, one after the other."""
    return "".join(str(part) for part in element.itertext())


@cache
def _attribute(name: str) -> str:
    return name.rstrip("_").replace("_", "-")


def _words(value: object) -> str:
    """A value as XML can hold it. A number always can."""
    return clean(value) if isinstance(value, str) else str(value)


def add(
    parent: etree._Element, tag: str, text: object = None, **attributes: object
) -> etree._Element:
    """Append a child. ``_`` in an attribute's name stands for ``-``, a trailing one for none."""
    element = etree.SubElement(parent, tag)
    if attributes:
        for name, value in attributes.items():
            if value is not None:
                element.set(_attribute(name), _words(value))
    if text is not None:
        # Plain words are nearly all there is, thousands in a tune: they need no more questions.
        element.text = text if type(text) is str and text.isprintable() else _words(text)
    return element
