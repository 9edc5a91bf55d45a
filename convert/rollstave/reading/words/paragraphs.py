"""Lines of words that are one sentence, as one text whose characters keep their places."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from itertools import pairwise

from msgspec import Struct

from rollstave.patterns import rare
from rollstave.problems import Place
from rollstave.reading.page.decode import Line


class Words(Struct, frozen=True):
    """Lines of one paragraph as one text: the lines, and where each begins in it."""

    text: str
    lines: tuple[Line, ...]
    starts: tuple[int, ...]

    def place(self, offset: int) -> Place:
        """The place of a character."""
        index = bisect_right(self.starts, offset) - 1
        return self.lines[index].place(offset - self.starts[index])


_LONG = 45  # columns of a line that goes on in the next one
_MOST = 380  # characters of a paragraph that are looked at as one


def paragraphs(lines: Sequence[Line]) -> list[Words]:
    """The lines, those of a sentence that goes on from one to the next as one."""
    found: list[list[Line]] = []
    for line in lines:
        last = found[-1][-1] if found else None
        goes_on = (
            last is not None
            and last.number + 1 == line.number
            and len(last.text.rstrip()) >= _LONG
            and last.text.rstrip()[-1:] not in ".:!?"
            and sum(len(one.text) for one in found[-1]) + len(line.text) < _MOST
        )
        if goes_on:
            found[-1].append(line)
        else:
            found.append([line])
    return [words for some in found for words in _in_pieces(some)]


_SENTENCE_END = rare(r"(?<=[.!?])\s+")


def _in_pieces(lines: Sequence[Line]) -> Iterator[Words]:
    """Some lines as one text; a line that is too long for one as several, of whole sentences."""
    (text, *others) = [line.text for line in lines]
    if others or len(text) <= _MOST:
        yield joined(lines)
        return
    start = 0
    ends = [match.end() for match in _SENTENCE_END.finditer(text)]
    for end, after in pairwise([*ends, len(text), len(text) + _MOST]):
        if after - start > _MOST:
            yield Words(text=text[start:end], lines=tuple(lines), starts=(-start,))
            start = end


def joined(lines: Sequence[Line]) -> Words:
    """Some lines as one text."""
    starts, at = [], 0
    for line in lines:
        starts.append(at)
        at += len(line.text) + 1
    text = " ".join(line.text for line in lines)
    return Words(text=text, lines=tuple(lines), starts=tuple(starts))
