"""Tunes that are read to their ends become grid tunes."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence

from msgspec.structs import replace

from rollstave.grid.typed import FreeText, GridMeasure, GridTune, Heading, LegendSign
from rollstave.problems import Place, ProblemList
from rollstave.reading.cells.signs import read_legend
from rollstave.reading.page.decode import Line
from rollstave.reading.rows.joining import close_endings
from rollstave.reading.state import At, ReadingState, TuneSoFar
from rollstave.reading.words.charts import with_charts
from rollstave.reading.words.directions import apply
from rollstave.reading.words.other_last import with_endings_by_number, with_other_last
from rollstave.reading.words.playing_order import leading_back, play_parts, with_repeats
from rollstave.vocabulary import problems as kinds
from rollstave.vocabulary.signs import BY_NAME, says, techniques_of


def finished(state: ReadingState, tune: TuneSoFar) -> GridTune:
    """The grid of a tune, with its measures joined and its directions in them."""
    measures = tune.measures
    for habit in state.habits[At.TUNE]:
        measures = habit.rule(state, measures) or measures
    starts = [m.index for m in measures]
    directions = [replace(d, after=bisect_left(starts, d.after)) for d in tune.directions]
    notes = [
        note
        if note.of_measure is None
        else replace(note, of_measure=max(0, bisect_right(starts, note.of_measure) - 1))
        for note in tune.notes
    ]
    measures = [replace(m, index=index) for index, m in enumerate(measures)]
    measures = apply(measures, directions, state.problems)
    measures = with_repeats(measures, [bisect_left(starts, i) for i in tune.said_endings])
    measures = with_other_last(measures, tune.notes, state.problems)
    measures = with_endings_by_number(measures, tune.notes, state.problems)
    measures = leading_back(measures, state.problems)
    measures = play_parts(measures, tune.notes, state.problems)
    measures = with_charts(measures, tune.notes, state.problems)
    if state.own_peg is not None and not tune.has_heading("fifth string"):
        tune.headings.append(Heading("fifth string", "counted from its own peg", state.own_peg))
    signs, legend = _legend(state.signs.own, notes, measures)
    return GridTune(
        headings=tuple(tune.headings),
        measures=close_endings(measures),
        notes=(*(FreeText(text, Place(tune.first_line, 1), 0) for text in legend), *notes),
        labels=tune.labels,
        strings=state.instrument.strings,
        first_line=tune.first_line,
        signs=signs,
        asked=tuple(tune.asked),
    )


def _legend(
    own: Sequence[LegendSign], notes: Sequence[FreeText], measures: Sequence[GridMeasure]
) -> tuple[tuple[LegendSign, ...], list[str]]:
    """The signs of a tune, and the lines of a legend that it lacks.

    A legend holds for a file, and a tune is written alone: what nothing but a sign of the file's
    legend says of a note is lost where the legend is in another tune, a heading or a name of a
    part. Such a tune has a plain line of its own, as ``* = muted``.
    """
    signs, lines = list(own), []
    for number, sign in enumerate(own):
        if any(says(note.text, sign) for note in notes) or not _needs(measures, sign):
            continue
        text = f"{sign.sign} = {sign.means}"
        found = read_legend([Line(1, text, text)], ProblemList()).own
        if any((said.sign, said.means) == (sign.sign, sign.means) for said in found):
            signs[number] = replace(sign, line=text)
            lines.append(text)
    return tuple(signs), lines


def _needs(measures: Sequence[GridMeasure], sign: LegendSign) -> bool:
    """True if a tune has notes with a technique that no common sign says of a note with a fret."""
    row = BY_NAME[sign.means]
    if row.what != "mark" or row.signs or row.around:
        return False
    strokes = (stroke for m in measures for column in m.columns for stroke in column.strokes)
    return any(
        (stroke.fret or not row.instead) and row in techniques_of(stroke) for stroke in strokes
    )


def keep_words_of_no_tune(state: ReadingState) -> None:
    """Keep the words of a tune that never came with the tune before it."""
    kept: TuneSoFar | None = None
    for tune in state.tunes:
        if tune.measures or kept is None:
            kept = tune
            continue
        texts = [FreeText(h.text, h.place, len(kept.measures)) for h in tune.headings]
        for direction in tune.directions:
            state.problems.add(kinds.STRAY, "this direction has no measures", direction.place)
        kept.notes.extend(sorted([*texts, *tune.notes], key=lambda n: n.place.line))
        state.problems.add(
            kinds.NO_MEASURES,
            "a tune is named here but no tab follows; the words are kept with the tune before",
            Place(tune.first_line, 1),
        )
