"""Chord charts before a tab: ``| G | G | C | G |``. They give the chords of its measures.

A chart stays among the words of its tune. It speaks of the measures after it where it has just as
many, up to a section, a further chart, or the end. Common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from itertools import pairwise

from msgspec import Struct
from msgspec.structs import replace

from rollstave.grid.typed import Attachment, FreeText, GridMeasure, LineKind
from rollstave.patterns import rare
from rollstave.problems import ProblemList
from rollstave.reading.beside.attach import CHORD
from rollstave.vocabulary import problems as kinds

_FRONT = rare(
    r"\s*(?:the\s+)?(?:chords?|changes|progression)(?:\s+(?:chart|progression))?"
    r"(?:\s+(?:are|is|go(?:es)?|run)(?:\s+like\s+this)?|\s+(?:for|of|in)\s+(?:each|every)\s+(?:bar|measure))?"
    r"\s*[:=]?\s*",
    re.IGNORECASE,
    cues=("chord", "changes", "progression"),
)
# Words with a colon before the bars of a chart: "for whoever brings a guitar: | G | C |".
_WORDS_BEFORE = rare(r"[^|:]*[^\W\d_]{3}[^|:]*:\s*(?=\|)")
_EACH_TIME = rare(r"\b(?:same|both|each|every|throughout|round\s+and\s+round)\b", re.IGNORECASE)
# What divides the measures of a chart that has no bars.
_DIVIDERS = rare(r"\s+-{1,2}\s+|\s*,\s*(?:and\s+)?|\s+and\s+|\s+//?\s+")
_TONES = (0, 2, 4, 6)  # steps from the root to the tones of a chord
_GOES_ON = ("%", "/", ".", "-", "''", '"', "〃")
_MOST_CHARTS = 60  # of a tune whose parts are looked for
_LONGEST = 200
_SPACED = 4  # lines from one of a chart to the next, where empty lines stand between all lines


# The part that a line of a chart is for: "B:  | F | C |", "Part 2: | F | C |".
_PART = rare(
    r"\s*(?:(?:part|strain|section)\s+)?(?P<part>[A-Za-z]|\d|verse|chorus|bridge|intro|refrain)"
    r"(?:\s+part)?\s*[:.)-]\s*(?=\|)",
    re.IGNORECASE,
)
_NOT_OF_ITS_NAME = rare(r"\b(?:part|strain|section|the)\b|[\W_]", re.IGNORECASE)


class _Chart(Struct):
    """Lines of a chart: the last line, the measure before which it stands, chords by measure, the
    part that it is for."""

    line: int
    before: int
    cells: list[tuple[tuple[str, ...], FreeText]]
    part: str = ""


def with_charts(
    measures: Sequence[GridMeasure], notes: Sequence[FreeText], problems: ProblemList
) -> list[GridMeasure]:
    """The measures with the chords that charts among the words give them. A chart that fits no
    measures is doubted, unless these have their chords already."""
    result = list(measures)
    charts = list(_charts(notes))
    if len(charts) <= _MOST_CHARTS:
        charts = [c for c in charts if not (c.part and _of_its_part(c, result))]
    for number, chart in enumerate(charts):
        later = next((c.before for c in charts[number + 1 :] if c.before > chart.before), None)
        end = len(result) if later is None else later
        if chart.before >= len(result) and len(charts) == 1:
            chart.before = 0  # under the tab it speaks of all of it
        sections = [m.index for m in result[chart.before + 1 : end] if m.section is not None]
        times, more = divmod(len(result[chart.before : end]), len(chart.cells))
        if times > 1 and not more and _EACH_TIME.search(chart.cells[0][1].text):
            chart.cells *= times
        for stop in (*sections[:1], end):
            span = result[chart.before : stop]
            if len(span) == len(chart.cells) and not any(m.attached(LineKind.CHORDS) for m in span):
                for measure, (names, note) in zip(span, chart.cells, strict=True):
                    result[measure.index] = _named(measure, names, note)
                break
        else:
            span = result[chart.before : end]
            if span and not any(m.attached(LineKind.CHORDS) for m in span):
                problems.add(
                    kinds.STRAY,
                    f"this chart of chords has {len(chart.cells)} measures and the tab after it "
                    f"{len(span)}; it is kept as words",
                    chart.cells[0][1].place,
                )
    return result


def _charts(notes: Sequence[FreeText]) -> Iterator[_Chart]:
    chart: _Chart | None = None
    last: FreeText | None = None
    for note in notes:
        before, last = last, note
        cells = chart_of(note.text)
        if cells is None:
            continue
        kept = [(names, note) for names in cells]
        part = _PART.match(note.text)
        if (
            chart is not None
            and not part
            and note.before_measure == chart.before
            and before is chart.cells[-1][1]
            and note.place.line <= chart.line + _SPACED
        ):
            chart.cells += kept
            chart.line = note.place.line
            continue
        if chart is not None:
            yield chart
        named = part["part"].casefold() if part else ""
        chart = _Chart(line=note.place.line, before=note.before_measure, cells=kept, part=named)
    if chart is not None:
        yield chart


def _of_its_part(chart: _Chart, result: list[GridMeasure]) -> bool:
    """Name the measures of the part that a chart is for; True if there is one that it fits."""
    starts = [m.index for m in result if m.section is not None]
    for start, end in pairwise([*starts, len(result)]):
        name = _NOT_OF_ITS_NAME.sub("", result[start].section or "").casefold()
        span = result[start:end]
        fits = name == chart.part and len(span) == len(chart.cells)
        if fits and not any(m.attached(LineKind.CHORDS) for m in span):
            for measure, (names, note) in zip(span, chart.cells, strict=True):
                result[measure.index] = _named(measure, names, note)
            return True
    return False


def chart_of(text: str) -> list[tuple[str, ...]] | None:
    """The chords of each measure of a line of a chart, or None if the line is none."""
    if len(text) > _LONGEST:
        return None
    front = _PART.match(text) or _FRONT.match(text)
    if "|" in text and (front is None or "|" not in text[front.end() : front.end() + 1]):
        front = _WORDS_BEFORE.match(text) or front
    words = text[front.end() :].strip() if front else text.strip()
    if "|" in words:
        cells = words.strip("|: ").replace(":", " ").split("|")
    else:
        words = words.rstrip(".")
        cells = [cell for cell in _DIVIDERS.split(words) if cell]
        if len(cells) < 3 and front:
            cells = words.split()
        if len(cells) < 3:
            return None
    found: list[tuple[str, ...]] = []
    for cell in cells:
        names = [name for word in cell.split() for name in _halves(word)]
        if names and all(name in _GOES_ON for name in names) and found:
            found.append(found[-1][-1:])
            continue
        beats = [name for name in names if name not in _GOES_ON or name == "-"]
        if not beats or not all(CHORD.match(name) for name in beats):
            return None
        found.append(tuple(name if name not in _GOES_ON else "" for name in names))
    return found if len(found) > 1 else None


def _halves(word: str) -> tuple[str, ...]:
    """The two chords of a measure in one word, ``F/G``: a bass that is no tone of the chord is a
    chord of its own. Common practice, no source."""
    first, _, second = word.partition("/")
    if not CHORD.match(first) or not CHORD.match(second):
        return (word,)
    steps = ("CDEFGAB".index(second[0]) - "CDEFGAB".index(first[0])) % 7
    slash = steps in _TONES and len(second.rstrip("#b♯♭")) == 1
    return (word,) if slash else (first, second)


def _named(measure: GridMeasure, names: Sequence[str], note: FreeText) -> GridMeasure:
    """A measure with its chords, the first at the beginning and the others where their share of
    the measure begins."""
    columns = measure.columns
    start = columns[0].position if columns else 0
    found = []
    for number, name in enumerate(names):
        if not name:
            continue
        at = start + (measure.width - start) * number // len(names)
        near = [i for i, column in enumerate(columns) if abs(column.position - at) <= 1]
        column = min(near, key=lambda i: abs(columns[i].position - at)) if near else None
        found.append(
            Attachment(
                kind=LineKind.CHORDS,
                text=name,
                position=0 if number == 0 else at,
                column=None if number == 0 else column,
                place=note.place,
            )
        )
    return replace(measure, attachments=(*measure.attachments, *found))
