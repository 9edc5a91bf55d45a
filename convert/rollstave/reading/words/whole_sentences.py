"""Sentences among headings, which stay whole though facts are taken out of them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rollstave.grid.typed import Heading
from rollstave.patterns import rare
from rollstave.reading.page.decode import Line
from rollstave.reading.words.headings import REMARK
from rollstave.reading.words.names import is_sentence

_ENDS = rare(r"(?:(?<=[a-z0-9)][.!?])|(?<=[A-Z]{2}[.!?]))\s+(?=[A-Z\d(\"“])|\s{3,}|\s+-{1,3}\s+")
_CLAUSE = rare(r"[,;:]\s*|\s+-{1,3}\s+")
_FEWEST = 4  # words of a sentence
_A_LINE = 6  # words of a sentence that a line of prose begins with


def with_whole_sentences(line: Line, found: Sequence[Heading]) -> list[Heading]:
    """The headings of a line, each sentence among them as one remark and no more in pieces.

    What facts a sentence has before and behind its words stays outside of it. A line that begins
    with a sentence is prose: all of it is the remark.
    """
    remarks = [heading for heading in found if heading.key == REMARK]
    if not remarks or len(remarks) == len(found) or not is_sentence(line.text, _FEWEST):
        return list(found)
    others = [heading for heading in found if heading.key != REMARK]
    kept: list[Heading] = []
    for start, end in _sentences(line.text):
        inside = [
            r for r in remarks if start < r.place.column + len(r.text) and r.place.column <= end
        ]
        text = line.text[start:end]
        if not inside:
            continue
        if not kept and not line.text[:start].strip() and _is_prose(line, inside, text):
            return [_remark(line, start, len(line.text)), *others]
        if not is_sentence(text, _FEWEST):
            kept += [r for r in inside if start < r.place.column]
            continue
        first = max(start, min(r.place.column - 1 for r in inside))
        last = min(end, max(r.place.column - 1 + len(r.text) for r in inside))
        first = max([start, *(m.end() for m in _CLAUSE.finditer(line.text, start, first + 1))])
        kept.append(_remark(line, first, end if line.text[last:end].strip(" .!?") == "" else last))
    return [*others, *kept]


def is_prose(text: str) -> bool:
    """True for words that are a sentence long enough to begin a line of prose."""
    return is_sentence(text, _A_LINE)


def _is_prose(line: Line, inside: Sequence[Heading], text: str) -> bool:
    begins = min(r.place.column - 1 for r in inside)
    return not line.text[:begins].strip(' "“(') and is_prose(text)


def _remark(line: Line, start: int, end: int) -> Heading:
    text = line.text[start:end]
    begins = start + len(text) - len(text.lstrip())
    return Heading(REMARK, text.strip(), line.place(begins))


def _sentences(text: str) -> Iterator[tuple[int, int]]:
    """Where the sentences of a line begin and end."""
    start = 0
    for match in _ENDS.finditer(text):
        yield start, match.start()
        start = match.end()
    yield start, len(text)
