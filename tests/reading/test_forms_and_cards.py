"""Heads typed as forms, lines numbered in steps, tunes by number, parts played twice, odd bars.

What each text means is what its words say to a reader (common practice, no source).
"""

from __future__ import annotations

from fractions import Fraction

import pytest

import rollstave

SYSTEM = """D|-0-------0-------|-----0---0-------|
B|---0-------0-----|---0-------0-----|
G|-----0-------0---|-0-------0-------|
D|-----------------|-----------------|
g|-------0-------0-|-------0-------0-|
"""


def played(text: str) -> list[list[tuple[Fraction, list[tuple[int, int]]]]]:
    """The onsets of each measure, and the strings and frets that are struck there."""
    measures = rollstave.read(text)[0].score.measures
    return [[(e.onset, [(n.string, n.fret) for n in e.notes]) for e in m.events] for m in measures]


HEAD = "Title: Tar Barrel\nTuning: gDGBD\nTime: 4/4\n"


@pytest.mark.parametrize("form", ["{}. {}", "{} .. {}", "{} ......... {}"])
def test_a_form_leads_from_names_to_values(form: str) -> None:
    facts = {"TITLE": "TAR BARREL", "TUNING": "gDGCD", "METER": "4/4", "TEMPO": "112"}
    head = "\n".join(form.format(name, f"{'':5}{value}") for name, value in facts.items())
    score = rollstave.read(f"{head}\n\n{SYSTEM}")[0].score
    assert (score.title, score.setup.tuning.written) == ("TAR BARREL", "gDGCD")
    assert (str(score.meter), score.tempo) == ("4/4", 112)


@pytest.mark.parametrize("front", ["{:06d}*", "{:04d} ", "{:03d}: "])
def test_lines_numbered_in_steps(front: str) -> None:
    lines = f"{HEAD}\n{SYSTEM}".split("\n")
    typed = "\n".join(front.format(10 * n) + line for n, line in enumerate(lines, 1))
    assert played(typed) == played("\n".join(lines))


@pytest.mark.parametrize("number", ["No. {}   {}", "No. {}: {}", "{}. {}"])
def test_tunes_by_number(number: str) -> None:
    names = ("Tin And Copper", "The Cracked Tenor")
    text = "\n\n".join(
        f"{number.format(n, name)}\n        gDGBD; 4/4\n\n{SYSTEM}"
        for n, name in enumerate(names, 1)
    )
    assert tuple(t.score.title for t in rollstave.read(text)) == names


@pytest.mark.parametrize(
    "words", ["First half, to be played twice", "First half, likewise twice", "First half, twice"]
)
def test_a_part_to_be_played_twice(words: str) -> None:
    score = rollstave.read(f"{HEAD}\n{words}\n\n{SYSTEM}")[0].score
    assert [m.section for m in score.measures] == ["First half", None]
    assert score.measures[-1].right is rollstave.Bar.REPEAT_END


@pytest.mark.parametrize("fill", "-_.=")
def test_brackets_with_dots_are_repeats_whatever_the_fill(fill: str) -> None:
    rows = SYSTEM.replace("-", fill)
    rows = "\n".join(f"{r[0]} [:{r[2:-1]}:]" for r in rows.strip().split("\n"))
    measures = rollstave.read(f"{HEAD}\n{rows}\n")[0].score.measures
    assert measures[-1].right is rollstave.Bar.REPEAT_END
    assert played(f"{HEAD}\n{rows}\n") == played(f"{HEAD}\n{SYSTEM}")


@pytest.mark.parametrize(
    ("words", "severity"),
    [
        ("The last bar is a short one, mind the dancers.", "NOTICE"),
        ("last measure has two beats only", "NOTICE"),
        ("The dancers wait at the bar.", "WARNING"),
    ],
)
def test_a_short_measure_that_words_speak_of_is_meant(words: str, severity: str) -> None:
    """In the middle of a line of full ones, so that no pickup or strain's end explains it."""
    rows = SYSTEM.strip().split("\n")
    short = "\n".join(f"{r[:19]}{r[2:11]}{'|' if r[10] != '|' else ''}{r[2:]}" for r in rows)
    tune = rollstave.read(f"{HEAD}\n{words}\n\n{short}\n\n{SYSTEM}")[0]
    found = {p.severity for p in tune.problems if p.code == "measure-length"}
    assert found == {getattr(rollstave.Severity, severity)}


@pytest.mark.parametrize(
    ("line", "pace"),
    [
        ("banjo, gDGBD, 4/4, lively", "lively"),
        ("banjo / gDGBD / 4/4 / slow and easy", "slow and easy"),
        ("banjo; gDGBD; 4/4, not too fast now", "not too fast now"),
    ],
)
def test_a_pace_at_the_end_of_a_list_of_facts(line: str, pace: str) -> None:
    score = rollstave.read(f"Tar Barrel\n{line}\n\n{SYSTEM}")[0].score
    assert dict(score.headings).get("pace") == pace


def test_a_tempo_behind_a_key_on_one_line_and_in_a_long_line() -> None:
    long = (
        "I was told this by a man who keeps bees behind the ferry house, and he had it as a boy. "
        * 4
    )
    text = (
        f"Tar Barrel\n{long}Key of G and goes in four-four time at about 96 beats to the minute.\n"
    )
    assert rollstave.read(f"{text}\n{SYSTEM}")[0].score.tempo == 96
    text = "Tar Barrel\nkey of G and goes in four-four time at about 96 beats to the minute.\n"
    assert rollstave.read(f"{text}\n{SYSTEM}")[0].score.tempo == 96


@pytest.mark.parametrize("value", ["gDGHD", "gDGHD (offenes G)", "g D G H D"])
def test_germans_call_b_by_the_letter_h(value: str) -> None:
    """DIN-like usage in German handbooks: H is B natural (common practice, no source)."""
    rows = SYSTEM.replace("B|", "h|").replace("D|", "d|").replace("G|", "g|")
    tune = rollstave.read(f"Titel: Kahn am Steg\nStimmung: {value}\nTakt: 4/4\n\n{rows}")[0]
    assert tune.score.setup.tuning.written == "gDGBD"
    assert not [p for p in tune.problems if p.severity is rollstave.Severity.WARNING]


@pytest.mark.parametrize(
    "words", ["The whole of it is played twice.", "Play all of it twice.", "ALL OF IT TWICE."]
)
def test_the_whole_of_a_tune_played_twice_is_told_before_it(words: str) -> None:
    score = rollstave.read(f"{HEAD}\n{words}\n\n{SYSTEM}")[0].score
    assert score.measures[-1].right is rollstave.Bar.REPEAT_END


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ("Oars in (x2)", "Oars out (only once)"),
        ("Teil A (zweimal)", "Teil B (einmal)"),
        ("Première partie (deux fois)", "Deuxième partie (une fois)"),
        ("A-part (everybody, x2)", "B-part"),
    ],
)
def test_parts_with_names_of_any_kind_and_how_often(first: str, second: str) -> None:
    score = rollstave.read(f"{HEAD}\n{first}\n\n{SYSTEM}\n{second}\n\n{SYSTEM}")[0].score
    names = [name.split(" (")[0] for name in (first, second)]
    assert [m.section for m in score.measures if m.section] == names
    assert [m.right is rollstave.Bar.REPEAT_END for m in score.measures] == [
        False,
        True,
        False,
        False,
    ]
