"""Tunes that are read to their ends become grid tunes."""

from __future__ import annotations

from bisect import bisect_left, bisect_right

from msgspec.structs import replace

from rollstave.grid.typed import FreeText, GridTune, Heading
from rollstave.problems import Place
from rollstave.reading.rows.joining import close_endings
from rollstave.reading.state import At, ReadingState, TuneSoFar
from rollstave.reading.words.charts import with_charts
from rollstave.reading.words.directions import apply
from rollstave.reading.words.playing_order import play_parts, with_repeats
from rollstave.vocabulary import problems as kinds


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
    measures = play_parts(measures, tune.notes, state.problems)
    measures = with_charts(measures, tune.notes, state.problems)
    if state.own_peg is not None and not tune.has_heading("fifth string"):
        tune.headings.append(Heading("fifth string", "counted from its own peg", state.own_peg))
    return GridTune(
        headings=tuple(tune.headings),
        measures=close_endings(measures),
        notes=tuple(notes),
        labels=tune.labels,
        strings=state.instrument.strings,
        first_line=tune.first_line,
        signs=state.signs.own,
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
