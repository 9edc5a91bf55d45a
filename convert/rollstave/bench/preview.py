"""What the page shows of a text: the sheet, where everything on it was typed, and what is worth a
look. These functions run in a worker process; they take and give plain data.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterable
from fractions import Fraction
from functools import lru_cache
from typing import Any

from msgspec.structs import replace

from rollstave.api import Tune, read
from rollstave.assembly.plugins import marks
from rollstave.bench.decide import NotWritable, decide, with_rhythm
from rollstave.grid.typed import GridMeasure
from rollstave.problems import Place, Problem, Severity, TabError
from rollstave.proofreading import proofread
from rollstave.rhythm.spoken import LIKELY, as_counts
from rollstave.score.holding import with_what_holds
from rollstave.score.records import Measure, Score
from rollstave.writing.options import SheetOptions
from rollstave.writing.places import measure_id, note_places
from rollstave.writing.sheet import write_svg

Data = dict[str, Any]
_KINDS = {Severity.ERROR: "error", Severity.WARNING: "mend", Severity.NOTICE: "notice"}
_SHEET = SheetOptions(mark_unsure=True, embed_fonts=False)
_ONE_MEASURE = SheetOptions(
    embed_fonts=False, chord_row=False, rolls=False, title_block=False, width=70.0
)


@lru_cache(maxsize=1)
def _read(text: str, name: str) -> tuple[Tune, ...]:
    """The tunes of a text; the newest is asked for again by what follows a preview."""
    return read(text, name=name)


def preview(text: str, name: str) -> Data:
    """The sheets of all tunes of a text: ``{"tunes": [...], "worker": PID}``; where it cannot be
    read there are no tunes, and ``"items"`` that say why."""
    try:
        tunes = _read(text, name)
    except TabError as error:
        items = [_item(_KINDS[p.severity], p.message, p.place) for p in error.problems]
        items.sort(key=lambda item: item["kind"] != "error")
        return {"tunes": [], "items": items, "worker": os.getpid()}
    return {
        "tunes": [_tune(tune, number) for number, tune in enumerate(tunes)],
        "worker": os.getpid(),
    }


def items(text: str, name: str) -> list[Data]:
    """What is worth a look in a text that can be read. It takes a while and the sheet does not
    need it, so it is asked for after the preview. Raises TabError."""
    return [item for number, tune in enumerate(_read(text, name)) for item in _items(tune, number)]


def _tune(tune: Tune, number: int) -> Data:
    """One tune: its pages, its notes with line, column and width, its measures with their lines
    and columns (the last column is one too far)."""
    prefix = f"s{number}-"
    pages = write_svg(tune.score, replace(_SHEET, prefix=prefix), marks)
    widths = {
        stroke.place: stroke.width
        for measure in tune.grid.measures
        for column in measure.columns
        for stroke in column.strokes
    }
    return {
        "title": tune.score.title,
        "findings": [f"{f.subject}: {f.value} ({f.how.value})" for f in tune.findings],
        "pages": [_own_glyphs(page.decode(), prefix, at) for at, page in enumerate(pages)],
        "notes": {
            name: [place.line, place.column, widths.get(place, 1)]
            for name, place in note_places(tune.score, prefix).items()
        },
        "measures": [
            _measure(measure, grid, prefix)
            for measure, grid in zip(tune.score.measures, tune.grid.measures, strict=True)
        ],
    }


def _own_glyphs(page: str, prefix: str, at: int) -> str:
    """Give the glyphs of a page ids of their own, so that several pages stand in one document."""
    page = re.sub(r"^<\?xml.*?\?>\s*", "", page)
    return re.sub(rf'((?:id="|href="#){prefix})glyph-', rf"\g<1>p{at}-glyph-", page)


def _measure(measure: Measure, grid: GridMeasure, prefix: str) -> Data:
    lines = [a.place.line for a in grid.attachments]
    return {
        "id": measure_id(measure.index, prefix),
        "number": measure.number,
        "rows": [measure.first_line, measure.last_line],
        "lines": [min([measure.first_line, *lines]), max([measure.last_line, *lines])],
        "columns": [grid.first_column, grid.first_column + grid.width],
        "sure": measure.rhythm.sure,
    }


# What is worth a look -------------------------------------------------------------------------


def _item(kind: str, message: str, place: Place | None, mend: str = "", **more: Any) -> Data:
    where = {"line": place.line, "column": place.column} if place else {"line": 0, "column": 0}
    return {"kind": kind, "message": message, "mend": mend, **where, **more}


def _items(tune: Tune, number: int) -> Iterable[Data]:
    """Marks of the proofreader, rhythms that are not sure, and notices, in the text's order."""
    found = [_item("mend", m.message, m.place, m.mend) for m in proofread(tune)]
    for problem in tune.problems:
        if _is_plain(problem):
            found.append(_item("notice", problem.message, problem.place))
    for measure, grid in zip(tune.score.measures, tune.grid.measures, strict=True):
        if not measure.rhythm.sure:
            words = (
                f"{_name(measure)}: the rhythm {_how_sure(measure)} "
                f"({measure.rhythm.confidence:.0%}; {', '.join(measure.rhythm.reasons)})"
            )
            place = Place(grid.first_line, grid.first_column)
            found.append(_item("unsure", words, place, tune=number, measure=measure.index))
    return sorted(found, key=lambda item: (item["line"], item["column"]))


def _name(measure: Measure) -> str:
    return f"Measure {measure.number}" if measure.number else "The pickup"


def _how_sure(measure: Measure) -> str:
    likely = measure.rhythm.confidence >= LIKELY
    return "is likely but not written" if likely else "is not sure"


def _is_plain(problem: Problem) -> bool:
    """Notices, but for those that are an item of their own; marks hold the warnings that have a
    place."""
    if problem.code == "rhythm-unsure":
        return False
    return problem.severity is Severity.NOTICE or problem.place is None


# Choosing a rhythm ----------------------------------------------------------------------------


def choices(text: str, name: str, number: int, index: int) -> list[Data]:
    """How a measure is read and what else it may be, each in words, as onsets and durations, and
    engraved. Raises TabError, and IndexError for a measure that is not there."""
    score = _read(text, name)[number].score
    measure = score.measures[index]
    struck = [e for e in measure.events if e.notes]
    onsets, durations = [e.onset for e in struck], [e.duration for e in struck]
    found = [_choice(score, measure, onsets, durations, 0)]
    for at, other in enumerate(measure.rhythm.alternatives, start=1):
        found.append(_choice(score, measure, list(other.onsets), list(other.durations), at))
    return found


def _choice(
    score: Score,
    measure: Measure,
    onsets: list[Fraction],
    durations: list[Fraction],
    at: int,
) -> Data:
    shown = replace(
        with_rhythm(measure, onsets, durations), index=0, ending=None, section=None, change=None
    )
    begun = with_what_holds(score, measure.index)
    alone = replace(begun, measures=(shown,), notes=(), note_measures=())
    prefix = f"choice{at}-"
    (page,) = write_svg(alone, replace(_ONE_MEASURE, prefix=prefix), marks)
    return {
        "words": as_counts(onsets, score.meters[measure.index]),
        "onsets": [str(o) for o in onsets],
        "durations": [str(d) for d in durations],
        "sheet": _own_glyphs(page.decode(), prefix, 0),
    }


def choose(text: str, number: int, index: int, onsets: list[str], durations: list[str]) -> Data:
    """The text with the chosen rhythm under its measure, and the numbers of the measures that
    follow it; ``{"refused": why}`` if it cannot be written. Raises as
    :func:`~rollstave.bench.decide.decide` does, and ValueError for what is no rhythm."""
    times = [[Fraction(t) for t in each] for each in (onsets, durations)]
    try:
        made = decide(text, number, index, *times)
    except NotWritable as error:
        return {"refused": str(error)}
    return {"text": made.text, "followers": list(made.followers)}
