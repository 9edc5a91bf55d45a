"""A title among the words of a tune that has none: of its lines the one most like a name."""

from __future__ import annotations

from bisect import bisect_left

from rollstave.grid.typed import FreeText, Heading
from rollstave.problems import Place, Severity
from rollstave.reading.state import ReadingState, TuneSoFar
from rollstave.reading.words import titles
from rollstave.reading.words.name_score import NAMED, points
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
        trails = ((n, end) for n in tune.notes if (end := titles.end_of_trail(n.text)))
        found = _best(state, tune) or next(trails, None)
        if found is None:
            continue
        note, name = found
        tune.notes.remove(note)
        tune.headings.insert(0, Heading("title", name, note.place))
        tune.title_guessed = True
        state.problems.add(
            kinds.TITLE_LINE,
            f"{name!r} is taken for the title, as no other line is more like one; if that is "
            "wrong, add a line with the right one that begins: Title:",
            note.place,
        )


_MUCH = 4  # points more than the line that was taken has: that one is none


def title_weighed(state: ReadingState) -> None:
    """Hold a title that was guessed from its place against the other lines before the measures.

    That of the first tune is chosen by a fitted model; where that is not sure, points are counted.
    A line that is much more like a name than one that is none is the title; one that is more like
    it may be, which is said. So is a line that may name a tune without a title.
    """
    for tune in state.tunes:
        old = tune.title
        if not tune.measures or (old is not None and not tune.title_guessed) or state.exercises:
            continue
        # Imported here, as most tunes name their title.
        from rollstave.reading.words.title_chosen import say_preferred, title_chosen

        sure, preferred = title_chosen(state, tune)
        if sure:
            continue
        _weigh_by_points(state, tune)
        if preferred is not None and not tune.title_judged:
            say_preferred(state, tune, preferred)


def _weigh_by_points(state: ReadingState, tune: TuneSoFar) -> None:
    """Hold a guessed title, or that there is none, against the line that has most points."""
    old = tune.title
    found = _most_like(state, tune)
    if found is None:
        return
    note, best = found
    name = titles.undressed(note.text.strip())
    if old is None:
        state.problems.add(
            kinds.TITLE_LINE,
            f"no title is read, and {name!r} may be it; if so, add the line: Title: {name}",
            note.place,
            Severity.WARNING,
        )
        return
    mine = _points(state, old.text, old.place)
    first = titles.is_counted(note.text) and len(state.tunes) > 1
    if mine is None or (best <= mine and not first):
        return
    tune.title_judged = True
    headed = titles.heads_a_sheet(old.text) and not titles.heads_a_sheet(name)
    if not (headed or first) and (mine > 0 or best < mine + _MUCH):
        state.problems.add(
            kinds.TITLE_LINE,
            f"{old.text!r} is taken for the title, and {name!r} in line {note.place.line} may "
            "be it; if that is wrong, add a line with the right one that begins: Title:",
            old.place,
            Severity.WARNING,
        )
        return
    tune.notes.remove(note)
    tune.headings.remove(old)
    tune.headings.insert(0, Heading("title", name, note.place))
    tune.notes.insert(0, FreeText(old.text, old.place, 0))
    state.problems.add(
        kinds.TITLE_LINE,
        f"{name!r} is taken for the title rather than {old.text!r}, which is less like a name; "
        "if that is wrong, add a line with the right one that begins: Title:",
        note.place,
    )


def _most_like(state: ReadingState, tune: TuneSoFar) -> tuple[FreeText, int] | None:
    """The line that is most like a name, and its points; None if none is one."""
    found: tuple[FreeText, int] | None = None
    for note in tune.notes[:_MOST_LINES]:
        line = state.line_numbered(note.place.line)
        if note.before_measure or line is None or line.text.strip() != note.text.strip():
            continue
        if not titles.could_be_title(line) or "  " in titles.undressed(note.text.strip()):
            continue
        has = _points(state, note.text, note.place)
        if has is not None and has >= NAMED and (found is None or has > found[1]):
            found = note, has
    return found


def _points(state: ReadingState, text: str, place: Place) -> int | None:
    """The points of words that stand at a place."""
    index = bisect_left(state.lines, place.line, key=lambda line: line.number)
    if index >= len(state.lines) or state.lines[index].number != place.line:
        return None
    return points(state.lines, index, text)


def _best(state: ReadingState, tune: TuneSoFar) -> tuple[FreeText, str] | None:
    found: tuple[FreeText, str] | None = None
    for note in tune.notes[:_MOST_LINES]:
        line = state.line_numbered(note.place.line)
        if note.before_measure > 0 or line is None or line.text.strip() != note.text.strip():
            continue
        if not note.text.strip():
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
