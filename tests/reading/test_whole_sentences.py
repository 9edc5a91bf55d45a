"""Sentences stay whole though facts are taken out of them, and lines that hold two kinds of words
keep both. Common practice, no source: the lines are those of invented teachers."""

from __future__ import annotations

import pytest

import rollstave

ROWS = """\
D|-----0-----0---0-|-----2-----2---2-|
B|---0-----0-------|---1-----1-------|
G|-0---------------|-----------------|
D|-----------------|-2---------------|
g|-------0-----0---|-------0-----0---|
"""


def _read(head: str, rows: str = ROWS) -> rollstave.Tune:
    (tune,) = rollstave.read(f"Otter Steps\n{head}\n\n{rows}")
    return tune


@pytest.mark.parametrize(
    ("line", "kept"),
    [
        (
            "I play this with the capo on 2 and the short string up to a, the numbers count from "
            "the capo.",
            "I play this with the capo on 2 and the short string up to a, the numbers count from "
            "the capo.",
        ),
        (
            "Tuning gDGBD. 4/4. The dashes mean nothing, I type them all alike; go by ear",
            "The dashes mean nothing, I type them all alike; go by ear",
        ),
        (
            "gDGBD. Nothing fancy, play it as fast as you like.",
            "Nothing fancy, play it as fast as you like.",
        ),
        ("gDGBD, goes slow, like the wipers", "goes slow, like the wipers"),
    ],
)
def test_a_sentence_is_one_remark(line: str, kept: str) -> None:
    tune = _read(line)
    assert kept in tune.score.notes
    assert tune.score.setup.tuning.written == "gDGBD"


def test_headings_alone_are_no_remarks() -> None:
    assert _read("Tuning: gDGBD, 4/4, key of G").score.notes == ()


@pytest.mark.parametrize("line", ["key of G, tuning as always", "key of G, tuning as usual"])
def test_a_tuning_as_always_is_none(line: str) -> None:
    assert not [p for p in _read(line).problems if p.code == "tuning"]


def test_chords_and_words_behind_them() -> None:
    tune = _read("gDGBD, 4/4", "G                 Am      let it ring\n" + ROWS)
    assert [c.text for m in tune.score.measures for c in m.chords if not c.inferred] == ["G", "Am"]
    assert "let it ring" in tune.score.notes


def test_two_chords_of_a_numbered_measure() -> None:
    one = "\n".join(row[: row.index("|", 2) + 1] for row in ROWS.splitlines()) + "\n"
    text = f"Bar 1 (G)\n{one}\nBar 2 (C, then D7 from the third beat)\n{one}\nBar 3 (G)\n{one}"
    tune = _read("gDGBD, 4/4", text)
    found = [(i, c.onset, c.text) for i, m in enumerate(tune.score.measures) for c in m.chords]
    assert (1, 2, "D7") in found
    assert (1, 0, "C") in found


def test_charts_of_parts() -> None:
    text = f"A:  | G  | C  |\nB:  | F/G | C  |\n\nA:\n{ROWS}\nB:\n{ROWS}"
    tune = _read("gDGBD, 4/4", text)
    found = [
        (i, c.onset, c.text)
        for i, m in enumerate(tune.score.measures)
        for c in m.chords
        if not c.inferred
    ]
    assert found == [(0, 0, "G"), (1, 0, "C"), (2, 0, "F"), (2, 2, "G"), (3, 0, "C")]


@pytest.mark.parametrize(
    ("line", "ending"),
    [
        ("G                 (second time:)", ("2",)),
        ("1. (measures 1 and 2)", ("1",)),
        ("  1. time           2. time", ("1", "2")),
    ],
)
def test_endings_in_words_over_rows(line: str, ending: tuple[str, ...]) -> None:
    tune = _read("gDGBD, 4/4", f"{ROWS}\n{line}\n{ROWS}")
    assert tuple(m.ending for m in tune.score.measures if m.ending) == ending


@pytest.mark.parametrize(
    ("head", "key"),
    [
        ("double C: gCGCD. We play it in C.", "C major"),
        ("gDGBD, capo 3 so it sounds in B flat", "Bb major"),
        ("gCGCD, capo 4, so we are in E with the fiddles", "E major"),
    ],
)
def test_keys_in_sentences(head: str, key: str) -> None:
    assert str(_read(head).score.key) == key


@pytest.mark.parametrize(
    ("head", "time"), [("In four: count 1 2 3 4.", "4/4"), ("In three: count 1 2 3.", "3/4")]
)
def test_times_counted_out(head: str, time: str) -> None:
    rows = "\n".join(row[: 14 if time == "3/4" else 18] + "|" for row in ROWS.splitlines())
    assert str(_read(f"gDGBD. {head}", rows + "\n").score.meter) == time


def test_hammers_over_neighbours() -> None:
    """``hh`` over two notes of a measure with a column a note."""
    rows = """\
           hh
|--0--0-0|--------|
|-0--0---|--------|
|0-------|--------|
|--------|024-0---|
|---0--0-|---0----|
"""
    tune = _read("gDGBD, 4/4\nh or p over a number: hammer or pull to that one", rows)
    links = [n.link for e in tune.score.measures[1].events for n in e.notes]
    assert links.count(rollstave.Link.HAMMER_ON) == 2


def test_a_sign_told_as_a_sentence() -> None:
    rows = ROWS.replace("G|-0---------------|-", "G|-0^2-------------|-")
    tune = _read("gDGBD, 4/4\nGo by the ear. ^ hammer or pull.", rows)
    notes = [n for e in tune.score.measures[0].events for n in e.notes if n.string == 3]
    assert [n.link for n in notes] == [None, rollstave.Link.HAMMER_ON]


def test_rows_with_remarks_between_them_are_a_guitars() -> None:
    """Three strings, a remark, three strings: no dulcimer, where a guitar is named."""
    rows = """\
e|-----------------|
B|---------0-------|  ring finger!
G|-----0-------2---|
    (don't look at the left hand)
D|-0---------------|
A|-----------------|
E|-3---------------|
"""
    tune = _read("Normal guitar tuning. 4/4, in G.", rows)
    assert tune.score.setup.instrument.name == "guitar"
    assert len(tune.score.measures) == 1


def test_facts_at_the_foot_with_the_instrument() -> None:
    (tune,) = rollstave.read(f"Fox Run\n\n{ROWS}\nInstrument: banjo\nTuning: gDGBD\nTime: 4/4\n")
    assert (tune.score.title, str(tune.score.meter)) == ("Fox Run", "4/4")


def test_dressed_titles_are_two_tunes() -> None:
    head = "=== {} ===\nbanjo, G minor, sawmill gDGCD, 4/4\n\n"
    text = head.format("Apple Pie Morning") + ROWS + "\n" + head.format("Mutton Pie Night") + ROWS
    assert [t.score.title for t in rollstave.read(text)] == [
        "Apple Pie Morning",
        "Mutton Pie Night",
    ]


@pytest.mark.parametrize(
    ("line", "title"),
    [
        ("Thread: The Salt Barge", "The Salt Barge"),
        ("XVII.  THE MILLRACE JIG", "THE MILLRACE JIG"),
        ("Rowan at the Gate, a song", "Rowan at the Gate"),
    ],
)
def test_titles_in_their_dress(line: str, title: str) -> None:
    (tune,) = rollstave.read(f"{line}\nTuning: gDGBD\n\n{ROWS}")
    assert tune.score.title == title


@pytest.mark.parametrize(
    ("head", "tempo"),
    [
        ("jig time 6/8 - key D - dotted quarter about 66", 99),
        ("Banjo waltz - 3/4 - gDGBD - key G - slow, 84", 84),
        ("three beats to the bar, and it is in G. Not fast, 76 or so.", 76),
        ("Key of G minor, about 84 to the minute.", 84),
        ("Time ...... 3/4\nPace ...... 80", 80),
    ],
)
def test_tempos_as_people_say_them(head: str, tempo: int) -> None:
    """Quarter notes a minute; a dotted quarter is one and a half."""
    assert _read(head).score.tempo == tempo


def test_signs_listed_after_my_signs() -> None:
    legend = "My signs:   ^ hammer on    v pull off    > slide up    x dead string   ~ shake it"
    rows = ROWS.replace("G|-0---------------|-", "G|-0^2>4v2---------|-")
    links = [
        n.link
        for e in _read(f"gDGBD, 4/4\n{legend}", rows).score.measures[0].events
        for n in e.notes
        if n.string == 3
    ]
    link = rollstave.Link
    assert links == [None, link.HAMMER_ON, link.SLIDE, link.PULL_OFF]


def test_words_at_the_end_of_a_row_stay_with_their_system() -> None:
    """They stood over the next system on the sheet, as if they spoke of that."""
    rows = ROWS.replace("|-2---------------|", "|-2---------------|  thumb drops here", 1)
    score = _read("gDGBD, 4/4", f"{rows}\n{ROWS}").score
    assert dict(zip(score.notes, score.note_measures, strict=True))["thumb drops here"] == 1


def test_signs_told_by_an_example() -> None:
    rows = ROWS.replace("G|-0---------------|-", "G|-2>4-------7<5---|-")
    (tune,) = rollstave.read(f"Otter\ngDGBD, 4/4\nmy signs: 5>7 slide up, 7<5 slide down\n\n{rows}")
    links = [n.link for e in tune.score.measures[0].events for n in e.notes if n.string == 3]
    assert links == [None, rollstave.Link.SLIDE, None, rollstave.Link.SLIDE]


def test_a_key_beside_a_tuning_in_a_sentence() -> None:
    tune = _read("He tuned gDF#AD and played it in D, in 4/4.")
    assert str(tune.score.key) == "D major"


def test_an_equals_sign_denies_nothing_on_the_next_line() -> None:
    tune = _read("normal G tuning gDGBD, capo 4 = key of B\n4/4 at 120")
    assert (str(tune.score.meter), tune.score.tempo) == ("4/4", 120)


def test_a_minor_key_is_no_tuning_of_that_name() -> None:
    tune = _read("It is in the key of G minor and the banjo is\ntuned gDGCD. The time is 4/4.")
    assert not [p for p in tune.problems if p.severity is rollstave.Severity.WARNING]


def test_once_is_no_ending() -> None:
    tune = _read("gDGBD, 4/4", f"Verse, three times\n{ROWS}\nBridge, once\n{ROWS}")
    assert not [p for p in tune.problems if p.code == "not-followed"]


def test_a_chart_of_a_part_that_is_not_there() -> None:
    tune = _read("gDGBD, 4/4\n\nB:  | G | C |")
    found = [c.text for m in tune.score.measures for c in m.chords if not c.inferred]
    assert found == ["G", "C"]


def test_signs_in_columns_with_brackets_among_them() -> None:
    legend = "  ^  hammer on        >  pull off        /  slide up        ( )  barely there"
    rows = ROWS.replace("G|-0---------------|-", "G|-0^2>0---2/4-----|-")
    tune = _read(f"gDGBD, 4/4\n{legend}", rows)
    links = [n.link for e in tune.score.measures[0].events for n in e.notes if n.string == 3]
    link = rollstave.Link
    assert links == [None, link.HAMMER_ON, link.PULL_OFF, None, link.SLIDE]


def test_a_note_to_self_that_says_what_to_call_it() -> None:
    head = "note to self - the one I hummed\nbanjo, gDGBD, G, 4/4. call it Damp Boathouse"
    (tune,) = rollstave.read(f"{head}\n\n{ROWS}")
    assert tune.score.title == "Damp Boathouse"
