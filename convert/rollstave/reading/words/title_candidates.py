"""What may be the title among the lines over the first rows and under the last: every line, the
pieces of it, and the words with capitals in its sentences."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from msgspec import Struct

from rollstave.patterns import rare
from rollstave.reading.beside.attach import CHORD
from rollstave.reading.page.decode import Line
from rollstave.reading.words import titles
from rollstave.reading.words.dividing import pieces
from rollstave.reading.words.headings import begins_heading, read_headings
from rollstave.reading.words.name_part import name_part
from rollstave.reading.words.names import named_in
from rollstave.reading.words.title_line import split_title
from rollstave.vocabulary import naming

_MOST_LINES = 40
_MOST_PIECES = 5  # of a line; more are a list or a sentence
_LONGEST = 70  # characters of a name
_LONGEST_LINE = 300


class Candidate(Struct, frozen=True):
    """Words of a line of the head that may be the title: the index of the line, where they begin
    and end in it, the name without what dresses it, and how they were found (``cut`` as the rules
    for the line of a title cut it, ``piece``, ``quoted``, ``told``, ``bare`` for a piece as it
    stands, ``run`` for words with capitals in a row). ``under`` is true below the last rows."""

    index: int
    start: int
    end: int
    name: str
    found: str
    under: bool = False


# That the text names no title is one of the things that may be so.
NONE = Candidate(index=-1, start=0, end=0, name="", found="none")


def lines_shown(lines: Sequence[Line]) -> list[int]:
    """The indices of the lines of a head that have words; of many, the top of the page and what
    stands over the rows."""
    shown = [
        index
        for index, line in enumerate(lines)
        if len(line.text) <= _LONGEST_LINE and any(map(str.isalpha, line.text))
    ]
    if len(shown) > _MOST_LINES:
        shown = [*shown[: _MOST_LINES // 2], *shown[-_MOST_LINES // 2 :]]
    return shown


def candidates(
    lines: Sequence[Line], shown: Sequence[int], *, under: bool = False
) -> list[Candidate]:
    """The candidates of some lines, none of them twice."""
    found: dict[tuple[int, int, int], Candidate] = {}
    for index in shown:
        if _names_nothing(lines[index]):
            continue
        for start, end, name, how in _of_line(lines[index]):
            if 1 < len(name) <= _LONGEST and not _is_none(name, lines[index].text[end:]):
                candidate = Candidate(
                    index=index, start=start, end=end, name=name, found=how, under=under
                )
                found.setdefault((index, start, end), candidate)
    return list(found.values())


def _names_nothing(line: Line) -> bool:
    """True for a line of headings with their names and colons, of which none is a title."""
    if not begins_heading(line.text):
        return False
    return all(heading.key != "title" for heading in read_headings(line) or ())


_SHOWS = rare(naming.SHOWS, re.IGNORECASE)
_NUMBERED = rare(r"no|nr|number", re.IGNORECASE)


def _is_none(name: str, after: str) -> bool:
    """True for words that are no name by themselves: chords and signs, the name of a heading,
    "here it is", what a number belongs to."""
    words = [word for word in name.split() if any(map(str.isalnum, word))]
    return (
        all(CHORD.match(word) for word in words)
        or (after.lstrip()[:1] in _COLONS and begins_heading(f"{name}:"))
        or (after.strip(" .")[:1].isdigit() and bool(_NUMBERED.fullmatch(words[-1])))
        or ((shown := _SHOWS.match(name)) is not None and shown.end() == len(name))
    )


_QUOTED = rare(r"[\"“„«](?P<n>[^\"“”„«»]{2,70}?)[,.!]?[\"”»“]", cues=('"', "“", "„", "«"))
_BETWEEN = re.compile(r":\s+|\s{2,}|\s+(?:by|--?-?|/+|[|>»]|aka)\s+|\s*[!?]+\s+|\s*[()]\s*")
# Words with capitals, small ones between them; a comma may stand in a name.
_WORD = r"(?:(?:Mrs?|Dr|St)\.|[A-Z0-9][\w'’-]*)"
_SMALL = r"(?:of|in|the|at|on|and|for|a|an|to|with|over|under|o'|by|from|is|my|&)"
_RUN = rare(rf"{_WORD}(?:,?\s+(?:{_SMALL}\s+){{0,3}}{_WORD})*[!?]?")
_FEWEST_SMALL = 2  # small words of a line that is a sentence
_MOST_RUNS = 6
_CLOSES = re.compile(r"[)\]]")
_FACT_BEHIND = rare(r"\s+\d+/\d+\s*$")  # a time
_COLONS = (":", "=")


def _of_line(line: Line) -> Iterator[tuple[int, int, str, str]]:
    text = line.text
    yield from _cut(line)
    if '"' in text or not text.isascii():
        for match in _QUOTED.finditer(text):
            yield *match.span("n"), match["n"].strip(), "quoted"
    for name, start in named_in(text):
        yield start, start + len(name), name, "told"
    parts = _parts(text)
    for start, _ in parts[1 : _MOST_PIECES + 1]:
        for at, end, name, _ in _cut(line, start):
            yield at, end, name, "piece"
    for start, end in (*parts[:_MOST_PIECES], (0, len(text))):
        yield from _bare(text, start, end, "bare")
    if sum(map(str.islower, _words(text))) >= _FEWEST_SMALL:
        yield from _runs(text)


def _words(text: str) -> Iterator[str]:
    return (word[:1] for word in text.split())


def _bare(text: str, start: int, end: int, how: str) -> Iterator[tuple[int, int, str, str]]:
    """The words from one character to another, without what dresses them."""
    words = _closed(_FACT_BEHIND.sub("", text[start:end]).strip(" \t,;:-"))
    name = titles.undressed(words) if words else ""
    if name and (at := text.find(name, start)) >= 0:
        yield at, at + len(name), name, how


def _closed(words: str) -> str:
    """Words without a bracket that opens before them and closes behind their line."""
    return words.lstrip("([") if words[:1] in tuple("([") and not _CLOSES.search(words) else words


def _runs(text: str) -> Iterator[tuple[int, int, str, str]]:
    """Words with capitals that follow each other in a sentence, whole and up to a comma."""
    for number, match in enumerate(_RUN.finditer(text)):
        if number == _MOST_RUNS:
            return
        run, first = match.group(), match.start()
        commas = [at for at, char in enumerate(run) if char == ","]
        for start in (0, *(at + 1 for at in commas[:2])):
            for end in (len(run), *reversed(commas[:2])):
                if start < end:
                    yield from _bare(text, first + start, first + end, "run")


def _parts(text: str) -> list[tuple[int, int]]:
    """Where the pieces of a line begin and end."""
    found = []
    for piece in pieces(text):
        at = 0
        for match in _BETWEEN.finditer(piece.text):
            if piece.text[at : match.start()].strip():
                found.append((piece.start + at, piece.start + match.start()))
            at = match.end()
        if piece.text[at:].strip():
            found.append((piece.start + at, piece.start + len(piece.text)))
    return found


def _cut(line: Line, first: int = 0) -> Iterator[tuple[int, int, str, str]]:
    """The name as the rules for the line of a title cut it out of what stands from ``first`` on."""
    rest = line.text[first:].strip()
    text = titles.undressed(rest) if rest else ""
    begins, _ = name_part(text)
    text = text[begins:]
    title, _ = split_title(line, max(0, line.text.find(text, first)), text)
    start, end = name_part(title)
    if titles.heads_a_sheet(title) and not titles.heads_a_sheet(title[start:end]):
        start, end = 0, len(title)
    bare = _closed(title[start:end].strip(" ,;-"))
    name = titles.undressed(bare) if bare else ""
    at = line.text.find(name, first)
    if name and at >= 0:
        yield at, at + len(name), name, "cut"
    elif name:  # "T I T L E"
        at = line.text.index(rest)
        yield at, at + len(rest), name, "cut"
