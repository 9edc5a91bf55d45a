"""Words of a tab stay words in a PDF: no markup of the typesetter, no actions, no links out.

Actions and names as in ISO 32000-1, 12.6 (from memory), read with pypdf.
"""

from __future__ import annotations

import io
from collections.abc import Iterator

import pytest
from pypdf import PdfReader
from pypdf.generic import ArrayObject, DictionaryObject, IndirectObject

import rollstave
from rollstave.writing.book import write_book

WORDS = '#read("tune.txt") #eval("6*7") $x^2$ *bold* _it_ @ref <label> `raw` \\u{41} //c'
LINK = "javascript:alert(1) https://ferry.invalid/"
TAB = f"""Title: {WORDS}
Composer: {LINK}
Source: {WORDS}
Tuning: gDGBD
Key: G
Time: 4/4

A line of words {WORDS} {LINK}

D|-------0-------0-|
B|---0-------0-----|
G|-0---------------|
D|---------0-------|
g|-----0-------0---|
"""
_ACTIVE = {"/JS", "/JavaScript", "/AA", "/Launch", "/SubmitForm", "/EmbeddedFiles", "/URI"}


def objects(data: bytes) -> Iterator[DictionaryObject]:
    """Every dictionary of a PDF."""
    reader = PdfReader(io.BytesIO(data))
    seen: set[int] = set()
    stack: list[object] = [reader.trailer]
    while stack:
        item = stack.pop()
        if isinstance(item, IndirectObject):
            if item.idnum in seen:
                continue
            seen.add(item.idnum)
            item = item.get_object()
        if isinstance(item, DictionaryObject):
            yield item
            stack.extend(item.values())
        elif isinstance(item, ArrayObject):
            stack.extend(item)


@pytest.fixture(scope="module", params=["pdf", "book"])
def made(request: pytest.FixtureRequest) -> bytes:
    (tune,) = rollstave.read(TAB)
    if request.param == "book":
        return write_book([tune.score], title=WORDS)
    return rollstave.write(tune, "pdf")[0]


def test_nothing_in_it_acts(made: bytes) -> None:
    found = list(objects(made))
    assert len(found) > 10
    for item in found:
        assert not _ACTIVE & set(item), item
        assert item.get("/S") not in ("/JavaScript", "/URI", "/Launch"), item


def test_markup_of_the_typesetter_is_printed_as_typed(made: bytes) -> None:
    text = " ".join(page.extract_text() for page in PdfReader(io.BytesIO(made)).pages)
    for words in ('#read("tune.txt")', '#eval("6*7")', "*bold*", "@ref", "<label>"):
        assert words in " ".join(text.split()), words
    assert "42" not in text.split()


def test_the_document_title_is_what_was_typed(made: bytes) -> None:
    info = PdfReader(io.BytesIO(made)).metadata
    assert info is not None
    assert '#read("tune.txt")' in str(info.title)
