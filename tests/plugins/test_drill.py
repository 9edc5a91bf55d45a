"""Sheets of exercises that are made: chords with their changes, and rolls.

Fingers and strings of rolls, shapes and their places are common practice, no source; music21 finds
the chords and the semitones.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import pytest
from click.testing import CliRunner
from music21 import converter

import rollstave
import rollstave_teaching
from rollstave.assembly.handouts import written
from rollstave.cli.handout import command_of
from tests.chord_tones import root, tones

SAMPLES = Path(__file__).parent.parent.parent / "samples"
CFG = ("chords", "C", "F", "G")


@pytest.fixture(scope="module")
def cfg() -> rollstave.Handout:
    return rollstave_teaching.drill(CFG, tuning="gCGBD", roll="TITIMITI", up_to=12)


def names(handout: rollstave.Handout) -> list[str]:
    return [re.sub(r"^Exercise \d+: ", "", e.name) for e in handout.exercises]


def by_name(handout: rollstave.Handout, name: str) -> rollstave.Score:
    return handout.exercises[names(handout).index(name)].score


def spans(score: rollstave.Score) -> Iterator[tuple[str, list[rollstave.Note]]]:
    """Each chord name with what is struck under it."""
    for measure in score.measures:
        ends = [c.onset for c in measure.chords[1:]] + [measure.length]
        for chord, end in zip(measure.chords, ends, strict=True):
            events = [e for e in measure.events if chord.onset <= e.onset < end]
            yield chord.text, [note for event in events for note in event.notes]


def struck(measure: rollstave.Measure) -> list[tuple[int, int | None]]:
    return [(n.string, n.fret) for e in measure.events for n in e.notes]


def letters(measure: rollstave.Measure) -> str:
    return "".join(n.finger.value for e in measure.events for n in e.notes if n.finger)


def test_what_a_sheet_of_three_chords_has(cfg: rollstave.Handout) -> None:
    assert names(cfg) == [
        *("C alone", "F alone", "G alone", "C to F", "C to G", "F to G", "C, F and G in a row"),
        *("C, F and G from fret 3 up", "C, F and G from fret 7 up", "C, F and G from fret 10 up"),
        *("C up the neck", "F up the neck", "G up the neck"),
        *("the bar, fret by fret", "the F shape, fret by fret", "the C shape, fret by fret"),
    ]
    assert [part.name for part in cfg.parts] == [
        *("Low on the neck", "Side by side up the neck"),
        *("Each chord up the neck", "Each shape fret by fret"),
    ]


def test_low_shapes_are_those_that_teachers_show(cfg: rollstave.Handout) -> None:
    shapes = next(b for p in cfg.parts for b in p.blocks if isinstance(b, rollstave.Shapes))
    assert [(s.name, s.frets[:4]) for s in shapes.shapes] == [
        ("C", (2, 1, 0, 0)),
        ("F", (3, 1, 2, 0)),
        ("G", (0, 0, 0, 2)),
    ]


def test_the_places_of_c_are_those_of_the_trade(cfg: rollstave.Handout) -> None:
    """Open, the bar at fret 5, the F shape at 8-9-10, the C shape at 12-13-14."""
    places = []
    for measure in by_name(cfg, "C up the neck").measures:
        frets = {n.string: n.fret for e in measure.events for n in e.notes if n.string < 4}
        places.append((frets[3], frets[2], frets[1]) if 3 in frets else (frets[2], frets[1]))
    assert places == [(0, 1, 2), (5, 5, 5), (9, 8, 10), (12, 13, 14)]


@pytest.mark.parametrize(
    ("chords", "options"),
    [
        (CFG, {"tuning": "gCGBD", "roll": "TITIMITI"}),
        (("chords", "G", "C", "D7"), {"roll": "forward"}),
        (("chords", "Am", "Dm", "E7"), {"roll": "TIMTIM", "time": "6/8"}),
        (("chords", "D", "Bm"), {"tuning": "f#DF#AD", "roll": "32514251", "up_to": 9}),
        (("chords", "C"), {"tuning": "gCGCD", "up_to": 17}),
    ],
)
def test_music21_finds_every_note_in_its_chord(
    chords: tuple[str, ...], options: dict[str, str]
) -> None:
    """All but the short string, which sounds through every chord."""
    handout = rollstave_teaching.drill(chords, **options)  # type: ignore[arg-type]
    seen = 0
    for exercise in handout.exercises:
        for name, notes in spans(exercise.score):
            for note in notes:
                if (note.string, note.fret) != (5, 0):
                    seen += 1
                    assert note.pitch.midi % 12 in tones(name), (exercise.name, name, note)
    assert seen > 100


def test_a_shape_rises_by_semitones_and_keeps_its_form(cfg: rollstave.Handout) -> None:
    for what in ("bar", "F shape", "C shape"):
        score = by_name(cfg, f"the {what}, fret by fret")
        assert len(score.measures) == 12
        roots = [root(m.chords[0].text) for m in score.measures]
        for low, high in pairwise(roots):
            assert (high - low) % 12 == 1
        for low, high in pairwise(score.measures):
            upper = [[f for s, f in struck(m) if s < 3 and f is not None] for m in (low, high)]
            assert [fret + 1 for fret in upper[0]] == upper[1]


def test_the_right_hand_does_what_was_asked(cfg: rollstave.Handout) -> None:
    for exercise in cfg.exercises:
        for measure in exercise.score.measures:
            assert letters(measure) == "TITIMITI", exercise.name
            assert {e.duration for e in measure.events} == {Fraction(1, 2)}


def test_changes_come_in_whole_and_half_measures(cfg: rollstave.Handout) -> None:
    score = by_name(cfg, "C to F")
    assert [[c.text for c in m.chords] for m in score.measures] == [
        *(["C"], ["F"], ["C", "F"], ["C", "F"])
    ]
    assert score.measures[0].left is rollstave.Bar.REPEAT_START
    assert score.measures[-1].right is rollstave.Bar.REPEAT_END


def test_a_string_that_has_no_place_in_the_shape(cfg: rollstave.Handout) -> None:
    """String 4 is C: it sounds open under C and F, and under a closed G the thumb takes the
    third."""
    score = by_name(cfg, "C, F and G from fret 7 up")
    firsts = [struck(m)[0] for m in score.measures]
    assert firsts == [(4, 0), (4, 0), (3, 7), (4, 0)]


@pytest.mark.parametrize(
    ("words", "options"),
    [
        (CFG, {"tuning": "gCGBD", "roll": "TITIMITI"}),
        (("rolls",), {}),
        (("rolls",), {"time": "3/4"}),
        (("rolls",), {"of": str(SAMPLES / "lantern-stairs.txt")}),
    ],
)
def test_each_exercise_is_read_again_as_tab(
    words: tuple[str, ...], options: dict[str, str]
) -> None:
    handout = rollstave_teaching.drill(words, **options)  # type: ignore[arg-type]
    (text,) = rollstave.write(handout, "text")
    (again,) = rollstave.read(text.decode())
    heads = [m.index for m in again.score.measures if m.section]
    assert len(heads) == len(handout.exercises)
    for exercise, (begin, end) in zip(
        handout.exercises, pairwise([*heads, len(again.score.measures)]), strict=True
    ):
        read = again.score.measures[begin:end]
        assert [struck(m) for m in read] == [struck(m) for m in exercise.score.measures]
        assert [[(e.onset, e.duration) for e in m.events] for m in read] == [
            [(e.onset, e.duration) for e in m.events] for m in exercise.score.measures
        ]
        assert read[0].section is not None
        assert read[0].section.endswith(re.sub(r"^Exercise \d+: ", "", exercise.name))


def test_musicxml_has_each_exercise_as_music21_reads_it(cfg: rollstave.Handout) -> None:
    (xml,) = written(cfg, "musicxml", None, {})
    part = converter.parseData(xml, format="musicxml").parts[0]
    marks = [m.content for m in part.recurse().getElementsByClass("RehearsalMark")]
    assert marks == [exercise.name for exercise in cfg.exercises]
    (again,) = rollstave.read(xml)
    assert [struck(m) for m in again.score.measures] == [
        struck(m) for e in cfg.exercises for m in e.score.measures
    ]


# Rolls --------------------------------------------------------------------------------------------


def test_each_named_roll_is_the_roll_of_that_name() -> None:
    for time in ("4/4", "2/4", "3/4"):
        handout = rollstave_teaching.drill(("rolls",), time=time)
        first = handout.parts[0]
        for exercise in (b for b in first.blocks if isinstance(b, rollstave.Exercise)):
            for measure in exercise.score.measures:
                use = rollstave.roll_of(measure)
                assert use is not None
                assert exercise.name.endswith(use.name)


def test_the_thumb_goes_to_its_other_bass_string() -> None:
    handout = rollstave_teaching.drill(("rolls",), roll="forward")
    first, second = by_name(handout, "forward roll").measures
    assert [s for s, _ in struck(first)] == [3, 2, 1, 5, 2, 1, 5, 1]
    assert [s for s, _ in struck(second)] == [4, 2, 1, 5, 2, 1, 5, 1]


def test_pinches_are_quarters_of_thumb_and_middle_finger() -> None:
    handout = rollstave_teaching.drill(("rolls",), roll="TIMTIMTM")
    _, measure = by_name(handout, "forward, then pinches").measures
    ends = measure.events[-2:]
    assert [(e.duration, [n.string for n in e.notes]) for e in ends] == [(Fraction(1), [1, 3])] * 2
    assert [e.onset for e in ends] == [2, 3]


def test_the_rolls_of_a_tune_are_on_its_own_shapes() -> None:
    handout = rollstave_teaching.drill(("rolls",), of=str(SAMPLES / "lantern-stairs.txt"))
    assert [part.name for part in handout.parts] == ["Paired pattern"]
    score = by_name(handout, "paired pattern on each shape of the tune")
    assert [m.chords[0].text for m in score.measures][:4] == ["C", "F", "Am", "G"]
    assert {letters(m) for m in score.measures} == {"TITIMITI"}


# What there is not --------------------------------------------------------------------------------

REFUSED = {
    "no chord": (("chords", "H"), {}, "'H' is no chord that is known: write a root from A to G"),
    "a small letter": (("chords", "c"), {}, "did you mean C?"),
    "no chords": (("chords",), {}, "which chords?"),
    "too many": (("chords", *"ABCDEFG", "Am", "Bm"), {}, "the most are 8"),
    "no drill": (("rols",), {}, "did you mean rolls?"),
    "no finger": (CFG, {"roll": "TITIMITX"}, "'X' is no finger of the right hand. Write T (thumb)"),
    "too short": (CFG, {"roll": "TITIM"}, "it has 5 strokes; a roll has 8 in 4/4, 2/2 and 2/4"),
    "not in this time": (CFG, {"roll": "TITIMITI", "time": "3/4"}, "6 in 3/4 and 6/8"),
    "a name with a slip": (CFG, {"roll": "forwad"}, "did you mean forward?"),
    "no string": (CFG, {"roll": "42521282"}, "there is no string 8; they are 1 to 5"),
    "no time": (CFG, {"time": "7/8"}, "there are rolls in 4/4, 2/2, 2/4, 3/4, 6/8"),
    "no tuning": (CFG, {"tuning": "gXX"}, "those that are known are gDGBD, gCGBD"),
    "beyond the neck": (CFG, {"up_to": 40}, "shapes are known from fret 1 to fret 17"),
    "no fret": (CFG, {"up_to": 0}, "shapes are known from fret 1 to fret 17"),
    "no file": (("rolls",), {"of": "gone.txt"}, "gone.txt: No such file"),
}


@pytest.mark.parametrize(("words", "options", "said"), REFUSED.values(), ids=REFUSED)
def test_what_is_refused_says_what_there_is(
    words: tuple[str, ...], options: dict[str, str], said: str
) -> None:
    with pytest.raises(rollstave.TabError) as caught:
        rollstave_teaching.drill(words, **options)  # type: ignore[arg-type]
    assert said in caught.value.problems[0].message


# The command --------------------------------------------------------------------------------------


def run(*arguments: str) -> tuple[int, str]:
    command = command_of("drill")
    assert command is not None
    result = CliRunner().invoke(command, [*arguments])
    return result.exit_code, result.output


@pytest.fixture
def teaching(monkeypatch: pytest.MonkeyPatch) -> None:
    """The command, also where the package is not installed anew since it was added."""
    from rollstave.assembly import handouts

    if not any(m.name == "drill" for m in handouts.makers()):
        makers = tuple(rollstave_teaching.rollstave_handouts())
        monkeypatch.setattr(handouts, "makers", lambda: makers)
        monkeypatch.setattr(
            handouts,
            "made",
            lambda name, given, options: rollstave_teaching.drill(given, **options),
        )


@pytest.mark.usefixtures("teaching")
def test_the_command_writes_each_format(tmp_path: Path) -> None:
    for ending in ("txt", "musicxml", "mid", "html"):
        out = tmp_path / f"drill.{ending}"
        status, said = run("chords", "C", "G", "--up-to", "3", "--out", str(out))
        assert (status, out.exists()) == (0, True), said
        assert said.startswith(f"wrote {out}: ")
    page = (tmp_path / "drill.html").read_text(encoding="utf-8")
    stretches = re.findall(r'data-stretch="\d+">([^<]*)<', page)
    assert stretches[:3] == ["Exercise 1: C alone", "Exercise 2: G alone", "Exercise 3: C to G"]


@pytest.mark.usefixtures("teaching")
def test_without_a_file_the_text_is_printed() -> None:
    status, said = run("rolls", "--roll", "backward")
    assert status == 0
    assert "Exercise 1: backward roll" in said


@pytest.mark.usefixtures("teaching")
def test_errors_have_their_exit_code_and_the_tune_is_not_written_over(tmp_path: Path) -> None:
    assert run("chords", "H")[0] == 2
    tune = tmp_path / "tune.txt"
    tune.write_bytes((SAMPLES / "lantern-stairs.txt").read_bytes())
    before = tune.read_bytes()
    status, _ = run("rolls", "--of", str(tune), "--out", str(tune), "--overwrite")
    assert (status, tune.read_bytes()) == (2, before)
