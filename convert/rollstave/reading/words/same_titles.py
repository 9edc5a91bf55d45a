"""Tunes of a file that have the same name: what stands behind it tells them apart.

``Reed Gate, plain version`` and ``Reed Gate, fancy version`` are two titles, where one of them
alone would be a name and a remark.
"""

from __future__ import annotations

from collections.abc import Iterator

from msgspec.structs import replace

from rollstave.grid.typed import FreeText
from rollstave.reading.state import ReadingState, TuneSoFar
from rollstave.vocabulary import problems as kinds

_BETWEEN = " ,;:-–—()[]"  # what stands between a name and what tells it apart


def tell_apart(state: ReadingState) -> None:
    """Give tunes with the same name the words behind it as part of their titles, if no two of them
    have the same there."""
    by_name: dict[str, list[TuneSoFar]] = {}
    for tune in state.tunes:
        if tune.measures and tune.title is not None:
            by_name.setdefault(tune.title.text.casefold(), []).append(tune)
    for tunes in by_name.values():
        behind = [next(_behind(state, tune), None) for tune in tunes]
        words = {note.text.casefold() if note is not None else "" for note in behind}
        if len(tunes) < 2 or len(words) < len(tunes):
            continue
        for tune, note in zip(tunes, behind, strict=True):
            if note is not None:
                _take(state, tune, note)


def _behind(state: ReadingState, tune: TuneSoFar) -> Iterator[FreeText]:
    """The words next behind the title of a tune on its line."""
    title = tune.title
    line = state.line_numbered(title.place.line) if title is not None else None
    if title is None or line is None:
        return
    start = line.text.find(title.text)
    for note in tune.notes:
        if start < 0 or note.place.line != line.number:
            continue
        at = line.text.find(note.text, start + len(title.text))
        if at > 0 and not line.text[start + len(title.text) : at].strip(_BETWEEN):
            yield note


def _take(state: ReadingState, tune: TuneSoFar, note: FreeText) -> None:
    title = tune.title
    line = state.line_numbered(note.place.line)
    assert title is not None
    assert line is not None
    start = line.text.find(title.text)
    end = line.text.find(note.text, start + len(title.text)) + len(note.text)
    whole = line.text[start:end]
    if whole.count("(") > whole.count(")") and line.text[end : end + 1] == ")":
        whole += ")"
    tune.headings[tune.headings.index(title)] = replace(title, text=whole)
    tune.notes.remove(note)
    tune.title_judged = True
    state.problems.add(
        kinds.TITLE_LINE,
        f"another tune here is called {title.text!r}, too: {whole!r} is the title",
        title.place,
    )
