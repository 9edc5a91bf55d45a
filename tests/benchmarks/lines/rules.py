"""What the rules take each line for, in the words of the chain's labels: to compare the two."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

from tests.benchmarks.grammar.document import document

from rollstave.assembly import plugins
from rollstave.grid.typed import LineKind
from rollstave.problems import ProblemList
from rollstave.reading import system_reader
from rollstave.reading.beside import lines as beside
from rollstave.reading.chapters import chapters_of
from rollstave.reading.page.decode import decode
from rollstave.reading.reader import prepare, read_prepared
from rollstave.reading.state import ReadingState
from rollstave.reading.which import which_instrument
from rollstave.reading.words import between

# What the rules do not tell apart is one thing here.
COARSE = {
    **dict.fromkeys(("title", "heading"), "heading"),
    **dict.fromkeys(("prose", "remark", "legend", "signature", "mail header", "markup"), "text"),
    **dict.fromkeys(("repeat", "jump"), "direction"),
}
_KINDS = {
    LineKind.CHORDS: "chord row",
    LineKind.COUNTS: "counts",
    LineKind.DURATIONS: "counts",
    LineKind.PICKING: "letters",
    LineKind.LEFT_HAND: "letters",
    LineKind.HAND: "letters",
    LineKind.LYRICS: "words to sing",
    LineKind.ENDINGS: "ending",
    LineKind.JUMPS: "direction",
}
_RULES = {
    "value of a heading": "heading",
    "ruler": "rule",
    "section with chords": "part",
    "chords and words": "chord row",
    "chart": "chart",
    "order of parts": "direction",
    "headings": "heading",
    "title of a further tune": "heading",
    "title once more": "heading",
    "section played again": "direction",
    "direction": "direction",
    "ending in words": "ending",
    "ending before a gap": "ending",
    "section": "part",
    "name between systems": "part",
    "section in a sentence": "part",
    "title": "heading",
    "words and headings": "heading",
    "text": "text",
}


@contextmanager
def _noting(found: dict[int, str]) -> Iterator[None]:
    """Keep what each line is taken for while the block runs."""
    rules, words_under = between.RULES, system_reader._words_under

    def noted(name: str, rule: Callable[[ReadingState, int], bool]) -> Any:
        def noting(state: ReadingState, index: int) -> bool:
            over = len(state.over)
            taken = rule(state, index)
            if taken:
                kind = _KINDS.get(state.over[-1][0]) if len(state.over) > over else None
                found[state.lines[index].number] = _RULES.get(name) or kind or "text"
            return taken

        return noting

    def under(state: ReadingState, lines: Any) -> Any:
        result = words_under(state, lines)
        for kind, _, line in result:
            found[line.number] = _KINDS.get(kind, "text")
        return result

    between.RULES = tuple((name, noted(name, rule)) for name, rule in rules)
    system_reader._words_under = under
    try:
        yield
    finally:
        between.RULES, system_reader._words_under = rules, words_under
    assert beside


def taken_for(part: str, seed: int, index: int) -> dict[int, str]:
    """What the lines of a document are taken for, by number; a line among rows has none."""
    made = document(part, seed, index)
    found: dict[int, str] = {}
    with _noting(found):
        problems = ProblemList()
        state = prepare(decode(made.data), problems, known=plugins.KNOWN)
        for chapter in chapters_of(state):
            read_prepared(chapter, which_instrument(chapter))
    return found
