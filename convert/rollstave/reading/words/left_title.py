"""A title among the words of a tune that has none: of its lines the one most like a name."""

from __future__ import annotations

from rollstave.grid.typed import FreeText, Heading
from rollstave.reading.state import ReadingState, TuneSoFar
from rollstave.reading.words import titles
from rollstave.reading.words.names import is_sentence
from rollstave.reading.words.section_names import read_section
from rollstave.vocabulary import problems as kinds

_MOST_LINES = 40
_MOST_WORDS = 8
_A_WORD = 3  # letters of the longest word of a name


def title_among_words(state: ReadingState) -> None:
    """Take the line before the first measure that is written as a name is, where a tune has no
    title yet; it is told."""
    for tune in state.tunes:
        if not tune.measures or tune.title is not None:
            continue
        found = _best(state, tune)
        if found is None:
            continue
        note, name = found
        tune.notes.remove(note)
        tune.headings.insert(0, Heading("title", name, note.place))
        state.problems.add(
            kinds.TITLE_LINE,
            f"{name!r} is taken for the title, as no other line is more like one; if that is "
            "wrong, add a line with the right one that begins: Title:",
            note.place,
        )


def _best(state: ReadingState, tune: TuneSoFar) -> tuple[FreeText, str] | None:
    found: tuple[FreeText, str] | None = None
    for note in tune.notes[:_MOST_LINES]:
        line = state.line_numbered(note.place.line)
        if note.before_measure > 0 or line is None or line.text.strip() != note.text.strip():
            continue
        name = titles.undressed(note.text.strip())
        words = name.split()
        if not 0 < len(words) <= _MOST_WORDS or not titles.looks_named(name):
            continue
        if max(sum(map(str.isalpha, word)) for word in words) < _A_WORD or "  " in name:
            continue
        if titles.heads_a_sheet(name) or not titles.could_be_title(line) or is_sentence(name):
            continue
        if read_section(line) or any(map(str.isdigit, name)):
            continue
        if len(words) > 1:
            return note, name
        found = found or (note, name)
    return found
