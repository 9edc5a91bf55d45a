"""Bytes to text: encodings, line ends, tabs, and the typographer's characters."""

from __future__ import annotations

import codecs

import pytest

import rollstave

TEXT = """Title: Größe der Fähre
Tuning: gDGBD
Key: G

D|-------0-------0-|
B|---0-------0-----|
G|-0---------------|
D|---------0-------|
g|-----0-------0---|
"""


def _events(tune: rollstave.Tune) -> list[list[tuple[int, int | None]]]:
    return [[(n.string, n.fret) for n in e.notes] for m in tune.score.measures for e in m.events]


def _read(data: bytes | str) -> rollstave.Tune:
    (tune,) = rollstave.read(data)
    return tune


PLAIN = _events(_read(TEXT))


@pytest.mark.parametrize(
    "data",
    [
        TEXT.encode(),
        codecs.BOM_UTF8 + TEXT.encode(),
        codecs.BOM_UTF16_LE + TEXT.encode("utf-16-le"),
        codecs.BOM_UTF16_BE + TEXT.encode("utf-16-be"),
        TEXT.encode("cp1252"),
        TEXT.replace("\n", "\r\n").encode(),
        TEXT.replace("\n", "\r").encode(),
        TEXT.rstrip().encode(),
    ],
    ids=["utf-8", "utf-8-mark", "utf-16-le", "utf-16-be", "cp1252", "crlf", "cr", "no-last-end"],
)
def test_encodings_and_line_ends(data: bytes) -> None:
    tune = _read(data)
    assert tune.score.title == "Größe der Fähre"
    assert _events(tune) == PLAIN


@pytest.mark.parametrize("dash", "‐‑‒–—―−─")
def test_typographic_dashes(dash: str) -> None:
    assert _events(_read(TEXT.replace("-", dash))) == PLAIN


@pytest.mark.parametrize("bar", "│┃❘")
def test_drawn_bars(bar: str) -> None:
    assert _events(_read(TEXT.replace("|", bar))) == PLAIN


def test_hard_spaces() -> None:
    assert _events(_read(TEXT.replace(" ", "\u00a0"))) == PLAIN


def test_tabs_keep_their_columns() -> None:
    rows = TEXT.splitlines()
    text = "\n".join(f"\t{line}" if "|" in line else line for line in rows)
    letters = "\t   T I T M T I T M"
    tune = _read(f"{text}\n{letters}\n")
    assert _events(tune) == PLAIN
    notes = [n for m in tune.score.measures for e in m.events for n in e.notes]
    assert "".join(n.finger.value for n in notes if n.finger) == "TITMTITM"
    assert not any(n.inferred_finger for n in notes)
    # The place is that of the file as typed, where a tab is one column.
    first = notes[0]
    assert (first.place.line, first.place.column) == (7, 5)
