"""Grids from bytes for the rhythm solver, with everything that may stand in a measure."""

from __future__ import annotations

from fractions import Fraction

from rollstave.grid.typed import Attachment, Bar, Column, GridMeasure, LineKind, Link, Stroke
from rollstave.problems import Place
from rollstave.rhythm.infer import infer_rhythm
from rollstave.rhythm.meter import Meter, MeterPrior

METERS = (
    None,
    (4, 4),
    (2, 2),
    (3, 4),
    (6, 8),
    (2, 4),
    (9, 8),
    (12, 8),
    (5, 4),
    (7, 8),
    (1, 32),
    (32, 1),
)
COUNTS = ("1", "2", "3", "4", "&", "+", "e", "a", "and", "trip", "let", "la", "li", "12", "9", "0")
LETTERS = ("w", "h", "q", "e", "s", "t", "q.", "e3", "h..", "q+e", "w+w+w", "t3", "s.", "x")
STEMS = ("|", "=|", "|=", "|_", "_|_", "|\\", "|//", "|.", "_3|", "|3_", "==|==", "|...", "_|\\'")
OTHERS = ((LineKind.CHORDS, "G"), (LineKind.PICKING, "T"), (LineKind.LYRICS, "oh"))
TABLES = (
    *((LineKind.COUNTS, COUNTS),) * 2,
    (LineKind.DURATIONS, LETTERS),
    (LineKind.STEMS, STEMS),
)
PRIORS = (None, MeterPrior("a waltz by its title", {"3/4": 9, "6/8": 1}))


class Bytes:
    """Small numbers, one from each byte; zeros once they are used up."""

    def __init__(self, data: bytes) -> None:
        self._data = data
        self._at = 0

    def below(self, limit: int) -> int:
        self._at += 1
        return self._data[self._at - 1] % limit if self._at <= len(self._data) else 0

    @property
    def left(self) -> int:
        return len(self._data) - self._at


def _measure(source: Bytes, index: int) -> GridMeasure:
    width = 1 + source.below(40)
    columns: list[Column] = []
    position = source.below(4)
    for _ in range(source.below(17)):
        if position >= width:
            break
        strings = sorted({1 + source.below(5) for _ in range(1 + source.below(3) // 2)})
        link = (None, None, None, *Link)[source.below(3 + len(Link))]
        place = Place(1, position + 1)
        strokes = tuple(
            Stroke(s, (None, *range(13))[source.below(14)], place, link=link) for s in strings
        )
        columns.append(
            Column(
                position=position,
                strokes=strokes,
                width=1 + source.below(2),
                sign_width=source.below(2),
            )
        )
        position += 1 + source.below(6)
    bars = tuple(Bar)
    return GridMeasure(
        index=index,
        system=source.below(2),
        width=width,
        columns=tuple(columns),
        left=bars[source.below(len(bars))],
        right=bars[source.below(len(bars))],
        ending=(None, None, "1", "2")[source.below(4)],
        ending_stop=bool(source.below(2)),
        section=(None, None, None, "B")[source.below(4)],
        attachments=tuple(_attachments(source, width, columns)),
    )


def _attachments(source: Bytes, width: int, columns: list[Column]) -> list[Attachment]:
    found: list[Attachment] = []
    if not source.below(3):
        return found
    kind, words = TABLES[source.below(len(TABLES))]
    if source.below(2) and columns:  # one for each note, as people type them
        for number, column in enumerate(columns):
            text = words[source.below(len(words))]
            found.append(
                Attachment(
                    kind=kind,
                    text=text,
                    position=column.position,
                    column=number,
                    place=Place(2, column.position + 1),
                )
            )
    else:
        for _ in range(source.below(9)):
            position = source.below(width)
            at = next((n for n, c in enumerate(columns) if c.position == position), None)
            text = words[source.below(len(words))]
            found.append(
                Attachment(
                    kind=kind, text=text, position=position, column=at, place=Place(2, position + 1)
                )
            )
    kind, text = OTHERS[source.below(3)]
    found.append(
        Attachment(
            kind=kind, text=text, position=source.below(width), column=None, place=Place(3, 1)
        )
    )
    return found


def solve(data: bytes) -> None:
    """Any grid has a rhythm: an onset and a duration for each column, in order, in its measure."""
    source = Bytes(data)
    figures = METERS[source.below(len(METERS))]
    meter = Meter(*figures) if figures else None
    prior = PRIORS[source.below(2)]
    measures = []
    while source.left > 0 and len(measures) < 6:
        measures.append(_measure(source, len(measures)))
    reading = infer_rhythm(measures, meter, prior)
    assert len(reading.measures) == len(measures)
    for grid, timed in zip(measures, reading.measures, strict=True):
        assert len(timed.onsets) == len(timed.durations) == len(grid.columns)
        assert all(isinstance(t, Fraction) for t in (*timed.onsets, *timed.durations))
        assert all(d > 0 for d in timed.durations), timed
        assert all(a < b for a, b in zip(timed.onsets, timed.onsets[1:], strict=False)), timed
        assert not timed.onsets or timed.onsets[0] >= 0
        assert 0 <= timed.confidence <= 1 + 1e-9
