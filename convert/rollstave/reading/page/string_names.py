"""Rows that name their strings as other tongues do: ``H`` for B, ``sol`` for G.

Common practice, no source: Germans, Scandinavians and Czechs call B natural H; in French, Italian,
Spanish and Portuguese the notes are do, re, mi, fa, sol, la and si.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence

from rollstave.patterns import rare
from rollstave.reading.state import ReadingState

_FEWEST = 3  # rows of an instrument
_SYLLABLES: Mapping[str, str] = {
    **{"do": "C", "ut": "C", "re": "D", "ré": "D", "mi": "E", "fa": "F", "sol": "G", "la": "A"},
    **{"so": "G", "si": "B"},
}
_ROW = rare(
    r"\s*(?P<typed>(?P<name>do|ut|r[eé]|mi|fa|sol?|la|si|[A-Ha-h])(?P<sign>[#b♯♭]?)(?P<short>['*]?))"
    r"\s*(?=[|I!:\[-])(?=.*--)",
    re.IGNORECASE,
)


def names_of_strings(state: ReadingState) -> None:
    """Put the common letters for the names of the strings that rows begin with, where they are
    such names. A star or a stroke behind a syllable makes it that of the short string."""
    for group in _groups(state):
        names = [match["name"].casefold() for _, match in group]
        syllables = all(name in _SYLLABLES for name in names)
        if len(group) < _FEWEST or not (syllables or ("h" in names and "b" not in names)):
            continue
        for index, match in group:
            line = state.lines[index]
            start, end = match.span("typed")
            label = _letter(match).ljust(end - start)
            state.lines[index] = line.with_text(line.text[:start] + label + line.text[end:])


def _letter(match: re.Match[str]) -> str:
    name = match["name"]
    letter = _SYLLABLES.get(name.casefold()) or {"H": "B", "h": "b"}.get(name, name)
    return (letter.lower() if match["short"] else letter) + match["sign"]


def _groups(state: ReadingState) -> Iterator[Sequence[tuple[int, re.Match[str]]]]:
    """Lines that follow each other and begin as rows do with a name."""
    group: list[tuple[int, re.Match[str]]] = []
    for index, line in enumerate(state.lines):
        match = _ROW.match(line.text) if "--" in line.text else None
        if match is None:
            if group:
                yield group
            group = []
        else:
            group.append((index, match))
    if group:
        yield group
