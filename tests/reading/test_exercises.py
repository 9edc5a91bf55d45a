"""Sheets of exercises: each has its heading, and begins on a line of its own, in every format.

The sheets of :mod:`tests.exercise_sheets` were written down with their truth before any was read.
"""

from __future__ import annotations

import json
import re
from collections.abc import Sequence

import music21
import pytest
from lxml import etree

import rollstave
from rollstave.deciding.exercises import exercises_of
from rollstave.grid.typed import Bar
from rollstave.notating.layout import system_starts
from rollstave.notating.notation import notate
from rollstave.score.compare import first_difference
from tests.exercise_sheets.typed import FORWARD, SHEETS, Exercise, Sheet

WITHOUT_TITLE = {"guitar"}  # a title that begins with an instrument is kept as words
SVG = "{http://www.w3.org/2000/svg}"
every_sheet = pytest.mark.parametrize("sheet", SHEETS, ids=lambda sheet: sheet.name)


def read(sheet: Sheet) -> rollstave.Tune:
    (tune,) = rollstave.read(sheet.text)
    return tune


def exercises(score: rollstave.Score) -> list[tuple[str, list[list[list[tuple[int, int | None]]]]]]:
    """Each heading with what is struck in its measures."""
    found: list[tuple[str, list[list[list[tuple[int, int | None]]]]]] = []
    for measure in score.measures:
        if measure.section is not None:
            found.append((measure.section, []))
        struck = [sorted((n.string, n.fret) for n in e.notes) for e in measure.events if e.notes]
        found[-1][1].append(struck)
    return found


@every_sheet
def test_each_exercise_has_its_heading_and_its_notes(sheet: Sheet) -> None:
    score = read(sheet).score
    assert exercises(score) == [(one.heading, one.measures) for one in sheet.exercises]
    assert score.title == ("" if sheet.name in WITHOUT_TITLE else sheet.title)
    assert all(remark in score.notes for remark in sheet.remarks)


@every_sheet
def test_each_begins_a_line_and_ends_it(sheet: Sheet) -> None:
    score = read(sheet).score
    heads = [m.index for m in score.measures if m.section is not None]
    assert set(heads) <= set(system_starts(notate(score)))
    assert all(score.measures[at - 1].right in (Bar.FINAL, Bar.REPEAT_END) for at in heads[1:])


@every_sheet
def test_lines_are_broken_as_they_were_typed(sheet: Sheet) -> None:
    starts, at = [], 0
    for exercise in sheet.exercises:
        for system in exercise.systems:
            starts.append(at)
            at += len(system)
    assert list(system_starts(notate(read(sheet).score), as_typed=True)) == starts


@every_sheet
def test_clean_text_has_the_headings_as_typed(sheet: Sheet) -> None:
    tune = read(sheet)
    (text,) = rollstave.write(tune, "text")
    lines = text.decode().splitlines()
    assert [line for line in lines if line in {e.heading for e in sheet.exercises}] == [
        exercise.heading for exercise in sheet.exercises
    ]
    (again,) = rollstave.read(text.decode())
    assert first_difference(tune.score, again.score) is None
    assert list(rollstave.write(again, "text")) == [text]


@every_sheet
def test_musicxml_has_them_at_their_systems(sheet: Sheet) -> None:
    """music21 reads rehearsal marks and the beginnings of systems."""
    tune = read(sheet)
    (xml,) = rollstave.write(tune, "musicxml")
    part = music21.converter.parseData(xml, format="musicxml").parts[0]
    heads = []
    for index, measure in enumerate(part.getElementsByClass("Measure")):
        marks = list(measure.getElementsByClass("RehearsalMark"))
        breaks = [one.isNew for one in measure.getElementsByClass("SystemLayout")]
        if marks:
            heads.append(marks[0].content)
            assert not index or breaks == [True]
    assert heads == [exercise.heading for exercise in sheet.exercises]
    (again,) = rollstave.read(xml)
    assert first_difference(tune.score, again.score) is None
    assert [m.system for m in again.score.measures] == [m.system for m in tune.score.measures] or (
        sheet.name == "bracketed"  # two typed systems of one exercise share a line
    )


@pytest.mark.parametrize("name", ["numbered", "bare", "loud"])
def test_five_exercises_are_two_pages_at_most_with_five_headings(name: str) -> None:
    sheet = next(sheet for sheet in SHEETS if sheet.name == name)
    pages = rollstave.write(read(sheet), "svg")
    assert len(pages) <= 2
    texts = (t for page in pages for t in etree.fromstring(page).iter(f"{SVG}text"))
    heads = [t for t in texts if t.get("class") == "section"]
    assert [t.text for t in heads] == [exercise.heading for exercise in sheet.exercises]
    places = {float(t.get("x") or 0) for t in heads}
    assert len(places) == 1, "each stands at the left end of its system, in a frame"
    assert 0 <= places.pop() < 100


def test_the_page_plays_each_by_its_name() -> None:
    """Five exercises of two measures each, played once: places in the order are measures."""
    sheet = next(sheet for sheet in SHEETS if sheet.name == "numbered")
    (page,) = rollstave.write(read(sheet), "html")
    names = [exercise.heading for exercise in sheet.exercises]
    (data,) = re.findall(r'"stretches":(\[.*?\])', page.decode())
    assert json.loads(data) == [
        {"name": name, "first": at, "last": at + 1, "begins": at, "ends": at + 1}
        for at, name in zip(range(0, 10, 2), names, strict=True)
    ]
    shown = re.findall(r'<text[^>]*data-stretch="(\d)"[^>]*>([^<]*)<', page.decode())
    assert shown == [(str(number), name) for number, name in enumerate(names)]


def test_a_tune_with_parts_has_no_such_names() -> None:
    (tune,) = rollstave.read(NO_SHEETS["parts"])
    assert exercises_of(tune.score) == ()


def test_a_repeat_without_its_beginning_stays_in_its_exercise() -> None:
    loops = Sheet(
        name="loops",
        title="Loops",
        head="Loops",
        exercises=(Exercise("1) once", ((FORWARD,),)), Exercise("2) again", ((FORWARD,),))),
    )
    text = loops.text
    again = text.index("2) again")
    text = text[:again] + text[again:].replace("-|\n", "-:|\n")
    (tune,) = rollstave.read(text)
    first, second = tune.score.measures
    assert (first.right, second.left, second.right) == (
        Bar.FINAL,
        Bar.REPEAT_START,
        Bar.REPEAT_END,
    )


def test_each_one_four_times() -> None:
    sheet = next(sheet for sheet in SHEETS if sheet.name == "changes")
    ends = [m for m in read(sheet).score.measures if m.right is Bar.REPEAT_END]
    assert [m.times for m in ends] == [4, 4, 4]


SYSTEM = "\n".join(f"{s}|-0---2---0---2---|-0---2---0---2---|" for s in "DBGDg")
ONE = "\n".join(f"{s}|-0---2---0---2---|" for s in "DBGDg")
DRESSED = {
    "markdown": ("## Exercise {}: {}\n\n{s}", "Exercise {}: {}"),
    "stars": ("**Exercise {} - {}**\n{s}", "Exercise {} - {}"),
    "lesson": ("Lesson {}: {}\n{s}", "Lesson {}: {}"),
    "indented": ("      {}. {}\n\n{s}", "{}. {}"),
    "brackets": ("({}) {}\n{s}", "({}) {}"),
}


@pytest.mark.parametrize(("typed", "shown"), DRESSED.values(), ids=DRESSED)
def test_what_dresses_a_heading_is_not_shown(typed: str, shown: str) -> None:
    """Common practice, no source: signs of markup and blanks set a heading apart."""
    pairs = ((1, "Thumb"), (2, "Index"), (4, "Both"))  # the third is left out of this sheet
    pairs = pairs if "Exercise" in typed else pairs[:2]
    text = "\n\n".join(typed.format(*pair, s=SYSTEM) for pair in pairs)
    (tune,) = rollstave.read(text)
    sections = [m.section for m in tune.score.measures if m.section]
    assert sections == [shown.format(*pair) for pair in pairs]


def test_words_of_the_trade_head_exercises_without_numbers() -> None:
    """ "Pinch" alone is a direction to the hand under a system, and a heading between two."""
    names = ("PINCH", "FORWARD ROLL", "Brush")
    (tune,) = rollstave.read("\n\n".join(f"{name}\n\n{SYSTEM}" for name in names))
    assert [m.section for m in tune.score.measures if m.section] == list(names)
    assert tune.score.title == ""


def test_an_exercise_may_have_a_time_of_its_own() -> None:
    three = "\n".join(f"{s}|-0---2---0---|" for s in "DBGDg")
    text = (
        f"Drills\nTime: 4/4\n\nExercise 1: Four\n{ONE}\n\nExercise 2: Three\nTime: 3/4\n\n{three}\n"
    )
    (tune,) = rollstave.read(text)
    assert [m.section for m in tune.score.measures] == ["Exercise 1: Four", "Exercise 2: Three"]
    assert [m.length for m in tune.score.measures] == [4, 3]


NO_SHEETS = {
    "endings": f"Gull Street\n\n{SYSTEM}\n\n1.\n{SYSTEM}\n\n2.\n{SYSTEM}\n",
    "tunes with headings": (
        f"1. Gull Street\nTuning: gDGBD\n\n{SYSTEM}\n\n2. Quay Walk\nTuning: gDGCD\n\n{SYSTEM}\n"
    ),
    "long tunes": "\n\n".join(
        f"{number}. {name}\n\n" + "\n\n".join([SYSTEM] * 5)
        for number, name in enumerate(("Gull Street", "Quay Walk", "Ferry Bell"), start=1)
    ),
    "parts": f"Gull Street\n\nA part\n{SYSTEM}\n\nB part\n{SYSTEM}\n",
    "drills": f"Drills\n\n{SYSTEM}\n\nDrills again\n\n{SYSTEM}\n",
    "one name": f"Gull Street\n\n{SYSTEM}\n\nForward roll\n\n{SYSTEM}\n",
    "numbers that do not follow": f"Tune\n\n3. slowly\n{SYSTEM}\n\n9. quickly\n{SYSTEM}\n",
}


@pytest.mark.parametrize("text", NO_SHEETS.values(), ids=NO_SHEETS)
def test_what_is_no_sheet_of_exercises(text: str) -> None:
    """Final bars within a tune are only set between exercises."""
    for tune in rollstave.read(text):
        inside = tune.score.measures[:-1]
        assert not any(m.right is Bar.FINAL for m in inside)


def test_numbered_tunes_with_a_tuning_each_are_no_exercises() -> None:
    """Who tunes anew, or counts otherwise, begins another tune (common practice, no source)."""
    rows = "\n".join(f"{label}|-0---2---0---2---|" for label in "DCGC") + "\ng|-----------------|"
    first, second = "1. GOOSE ON THE WEIR  (gCGCD), 4/4", "2. THE LAMPLIGHTER  (gCGCD), 2/4"
    tunes = rollstave.read(f"{first}\n\n{rows}\n\n{second}\n\n{rows}\n")
    assert [tune.score.title for tune in tunes] == ["GOOSE ON THE WEIR", "THE LAMPLIGHTER"]


ROWS = """\
D|-------0-------0-|-------2-------2-|
B|---0-------0-----|---1-------1-----|
G|-0-------2-------|-0-------0-------|
D|-----------------|-----------------|
g|-----0-------0---|-----0-------0---|
"""
LONG = ("{}Forward, three lines", "{}Thumb on the fourth string", "{}Changes, C to F")


def long_sheet(top: str, numbers: Sequence[str], headings: Sequence[str]) -> str:
    """Exercises of three, four and one system under one heading each."""
    blocks = [top] if top else []
    for number, heading, systems in zip(numbers, headings, (3, 4, 1), strict=True):
        blocks += [heading.format(number), *[ROWS] * systems]
    return "\n\n".join(blocks)


@pytest.mark.parametrize("numbers", [("1. ", "2. ", "3. "), ("a) ", "b) ", "c) "), ("", "", "")])
def test_exercises_of_several_systems_are_one_sheet(numbers: Sequence[str]) -> None:
    (tune,) = rollstave.read(long_sheet("Warm-ups for Monday", numbers, LONG))
    names = [h.format(n) for n, h in zip(numbers, LONG, strict=True)]
    begins = {m.index: m.section for m in tune.score.measures if m.section}
    assert list(begins) == [0, 6, 14]
    assert [begins[at].removeprefix(n) for at, n in zip(begins, numbers, strict=True)] == [
        name.removeprefix(n) for name, n in zip(names, numbers, strict=True)
    ]
    ends = [m.index for m in tune.score.measures if m.right is rollstave.Bar.FINAL]
    assert ends == [5, 13, 15]
    (typed,) = rollstave.write(tune, "text")
    (again,) = rollstave.read(typed.decode())
    assert {m.index: m.section for m in again.score.measures if m.section} == begins


@pytest.mark.parametrize(
    ("over", "chords"),
    [
        # Common practice, no source: a chord in parentheses may be left out.
        (("(A)   Em      D      A", "(B)   Em      A      D"), ["A", "Em", "D"]),
        (("(A)   Em7     D", "(B)   Em      A", "(C)   Am      G"), ["A", "Em7", "D"]),
    ],
)
def test_chords_in_parentheses_over_each_system_head_no_exercise(
    over: Sequence[str], chords: Sequence[str]
) -> None:
    blocks = [f"{line}\n{ROWS}" for line in over]
    (tune,) = rollstave.read("Title: Nettle Hill\n\n" + "\n\n".join(blocks))
    assert not any(m.section for m in tune.score.measures)
    found = [c.text for m in tune.score.measures for c in m.chords]
    assert found[: len(chords)] == list(chords)


def test_numbered_tunes_of_several_systems_stay_tunes() -> None:
    titles = ("{}Nettle Hill", "{}The Slate Roof", "{}Quince Orchard")
    tunes = rollstave.read(long_sheet("", ("1. ", "2. ", "3. "), titles))
    assert len(tunes) == 3


def test_the_title_of_a_sheet_over_exercises_is_no_doubt() -> None:
    (tune,) = rollstave.read(f"Larkspur Ferry lesson seven\n\nEx. 1\n{SYSTEM}\n\nEx. 2\n{SYSTEM}\n")
    assert "title-line" not in {p.code for p in tune.problems}
