"""Of every typist and arranger: what it says of its tune is true of the text, whoever arranged."""

from __future__ import annotations

from functools import cache

import pytest

from .material import Recipe, exams, lessons
from .melodies import melody
from .model import ArrangedTune, CorpusTune, Style, TypedTune
from .people import (
    EVERYTHING,
    INDEPENDENT_ARRANGERS,
    INDEPENDENT_TYPISTS,
    ROLL,
    TYPISTS,
    Sources,
    arranged,
    typed,
)

STYLES = [style for style in Style if style is not Style.DRAWN]


@cache
def tunes() -> tuple[ArrangedTune, ...]:
    """A tune of the arrangers that use the whole hand, with pickups and without."""
    return tuple(
        arranged(arranger, number if arranger == ROLL else melody(number), seed=1)
        for number, arranger in enumerate(("linnet", ROLL, "marten"), start=20)
    )


def check_places(tune: ArrangedTune, text: TypedTune) -> None:
    """The fret stands at each place named, whole, and all of a column in the same column."""
    lines = text.text.split("\n")
    assert (text.meter, len(text.measures)) == (tune.meter, len(tune.measures))
    tops = set()
    last = (0, 0)
    for measure, truth in zip(tune.measures, text.measures, strict=True):
        assert (truth.length, truth.kind) == (measure.length, measure.kind)
        assert truth.onsets == tuple(e.onset for e in measure.events)
        assert truth.durations == tuple(e.duration for e in measure.events)
        for (line, column), event in zip(truth.places, measure.events, strict=True):
            top = line - event.strokes[0].string
            assert last < (top, column)
            last = (top, column)
            tops.add(top)
            for stroke in event.strokes:
                row = lines[top + stroke.string - 1]
                before, after = row[: column - 1], row[column - 1 :]
                digits = len(after) - len(after.lstrip("0123456789"))
                assert after[:digits] == str(stroke.fret)
                assert not before[-1:].isdigit()
                assert stroke.link is None or before.rstrip("-.")[-1] == stroke.link
    for top in tops:
        rows = lines[top : top + 5]
        assert len({len(row) for row in rows}) == 1
        assert len({tuple(i for i, c in enumerate(row) if c == "|") for row in rows}) == 1


def check_arrangement(tune: CorpusTune, made: ArrangedTune) -> None:
    """Measures are as they were, every event lasts until the next, and a hand can hold it."""
    assert (made.meter, len(made.measures)) == (tune.meter, len(tune.measures))
    for old, new in zip(tune.measures, made.measures, strict=True):
        assert (old.length, old.kind, old.left, old.right) == (
            new.length, new.kind, new.left, new.right
        )  # fmt: skip
        ends = [*(e.onset for e in new.events[1:]), new.length]
        for event, end in zip(new.events, ends, strict=True):
            assert event.onset + event.duration == end > event.onset
            strings = [s.string for s in event.strokes]
            assert strings == sorted(set(strings))
            assert all(s.fret in range(18) for s in event.strokes)
            # String 5 begins at the fifth fret (common practice, no source).
            assert all(s.fret == 0 or s.fret > 5 for s in event.strokes if s.string == 5)


@pytest.mark.parametrize("arranger", INDEPENDENT_ARRANGERS)
def test_arrangements_are_of_the_tune_and_can_be_played(arranger: str) -> None:
    for number in range(2):
        made = arranged(arranger, melody(number), seed=1)
        check_arrangement(melody(number), made)
        assert made == arranged(arranger, melody(number), seed=1)


@pytest.mark.parametrize("typist", INDEPENDENT_TYPISTS)
def test_places_point_at_the_frets(typist: str) -> None:
    for tune in tunes():
        for style in STYLES:
            check_places(tune, typed(typist, tune, style, seed=1))


@pytest.mark.parametrize("typist", INDEPENDENT_TYPISTS)
def test_texts_depend_on_the_seed_alone(typist: str) -> None:
    tune = arranged("linnet", melody(1), seed=1)
    first = typed(typist, tune, Style.SLOPPY, seed=1)
    assert first == typed(typist, tune, Style.SLOPPY, seed=1)
    assert first != typed(typist, tune, Style.SLOPPY, seed=2)


def test_one_is_left_out_by_its_name() -> None:
    assert EVERYTHING.without("ivy").typists == tuple(n for n in TYPISTS if n != "ivy")
    assert "airdsAirs" not in EVERYTHING.without("airdsAirs").collections
    assert EVERYTHING.without("marten").collections == EVERYTHING.collections
    with pytest.raises(ValueError, match="nobody"):
        EVERYTHING.without("nobody")


def test_a_fit_shares_its_tunes_out_and_never_sees_those_to_report_on() -> None:
    recipe = Recipe(Sources(("ours", "ivy", "heron"), (ROLL,), ()), seed=3, tunes=60)
    learned, asked = list(lessons(recipe)), list(exams(recipe))
    assert learned == list(lessons(recipe))
    assert {lesson.typist for lesson in learned} == {"ours", "ivy", "heron"}
    assert {lesson.number % 5 for lesson in learned} == {1, 2, 3, 4}
    assert {lesson.number % 5 for lesson in asked} == {4}
    # Every typist has tunes that are held out, whatever their numbers' remainders.
    assert {lesson.typist for lesson in learned if lesson.held_out} == {"ours", "ivy", "heron"}
    without = Recipe(recipe.sources.without("ivy"), seed=3, tunes=60)
    assert {lesson.typist for lesson in lessons(without)} == {"ours", "heron"}


def test_a_threshold_holds_for_the_worst_typist_and_collection_too() -> None:
    """Arithmetic: of 1000 readings of one typist all are right; of 200 of another, the first that
    is not has odds of 0.9645, after 119 that are: with it, less than 99.5% are. So it is if what is
    another is the collection."""
    pytest.importorskip("scipy")
    from .blend import NEVER, Whose, _sure

    def lowest(mine: Whose, theirs: Whose) -> float:
        good = [(0.95 + n / 40_000, True, mine) for n in range(1000)]
        other = [(0.975 + n / 40_000, True, theirs) for n in range(100)]
        other += [(0.9625 + n / 40_000, n % 20 > 0, theirs) for n in range(100)]
        return _sure([*good, *other], 0.995)

    assert 0.9645 <= lowest(("ours", "airdsAirs"), ("finch", "airdsAirs")) < 0.9647
    assert 0.9645 <= lowest(("finch", "airdsAirs"), ("finch", "oneills1850")) < 0.9647
    few = [(0.9, n % 50 > 0, ("finch", "airdsAirs")) for n in range(100)]
    assert _sure(few, 0.995) == NEVER


def test_the_table_of_those_left_out_counts_what_is_sure_and_wrong() -> None:
    """Arithmetic: of 200 sure measures one is wrong (99.5%, as promised), of another row's 100
    (99%, below); half of the first row is not sure, and right."""
    from .left_out import Seen, table

    def row(typist: str, sure: int, unsure: int) -> list[Seen]:
        names = (typist, "sloppy", "marten", "airdsAirs", 5)
        found = [Seen(*names, n, right=n > 0, sure=True, milliseconds=2.0) for n in range(sure)]
        return found + [Seen(*names, n, True, False, 2.0) for n in range(unsure)]

    lines = table([*row("ivy", 200, 200), *row("juniper", 100, 0)]).split("\n")
    figures = ["sloppy", "in", "rolls", "500", "99.6", "99.0", "60.00", "99.33", "99.0", "2.00"]
    assert lines[1].split()[:10] == figures
    assert "juniper marten airdsAirs (1 of 100)" in lines[1]
    assert lines[2].startswith("2 rows, 2 with anything sure, of which 1 below 99.5% (0 by more")


def test_a_report_is_drawn_from_tunes_that_nothing_was_fitted_on() -> None:
    from .left_out import Draw, Job, types

    report, dev = Draw(10, 22, dev=False), Draw(10, 22, dev=True)
    rolls = [Job(ROLL, "made", number) for number in range(0, 60, 5)]
    assert all(types("ivy", job, report) for job in rolls)
    assert [types("ours", job, report) for job in rolls] == [n % 3 == 2 for n in range(12)]
    assert all(types("ours", job, dev) for job in rolls)
