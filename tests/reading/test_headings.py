"""Headings in any order, case and wording."""

from __future__ import annotations

import itertools

import pytest

import rollstave
from rollstave.score.finding import How

TAB = """
D|-------0-------0-|
B|---0-------0-----|
G|-0---------------|
D|---------0-------|
g|-----0-------0---|
"""


def read(headings: str, tab: str = TAB) -> rollstave.Tune:
    (tune,) = rollstave.read(f"{headings}\n{tab}")
    return tune


# What is typed, what is asked of the score, and what the typist means.
WORDINGS = [
    # title
    ("Title: The Brass Lantern", "title", "The Brass Lantern"),
    ("TITLE: The Brass Lantern", "title", "The Brass Lantern"),
    ("title = The Brass Lantern", "title", "The Brass Lantern"),
    ("Tune: The Brass Lantern", "title", "The Brass Lantern"),
    ("The Brass Lantern", "title", "The Brass Lantern"),
    # tuning
    ("Tuning: gCGBD", "tuning", "gCGBD"),
    ("tuning = sawmill", "tuning", "gDGCD"),
    ("TUNING: DOUBLE C", "tuning", "gCGCD"),
    ("Sawmill tuning (gDGCD)", "tuning", "gDGCD"),
    ("Tuned to gCGCD", "tuning", "gCGCD"),
    ("Drop C tuning", "tuning", "gCGBD"),
    # key
    ("Key: D", "key", "D major"),
    ("key of d", "key", "D major"),
    ("KEY OF A MINOR", "key", "A minor"),
    ("Key: G dorian", "key", "G dorian"),
    ("In the key of Bb", "key", "Bb major"),
    # time
    ("Time: 3/4", "meter", "3/4"),
    ("Time signature: 6/8", "meter", "6/8"),
    ("Meter: cut time", "meter", "2/2"),
    ("metre = 2/4", "meter", "2/4"),
    ("3/4 time", "meter", "3/4"),
    ("Cut time", "meter", "2/2"),
    ("Common time", "meter", "4/4"),
    # tempo: the number counts beats
    ("Tempo: 100\nTime: 4/4", "tempo", "100"),
    ("tempo = 100 bpm\nTime: 4/4", "tempo", "100"),
    ("Speed: 100\nTime: 4/4", "tempo", "100"),
    ("100 bpm\nTime: 4/4", "tempo", "100"),
    # half notes in cut time; dotted quarters in 6/8
    ("Tempo: 80\nTime: cut time", "tempo", "160"),
    ("Tempo: 80\nTime: 6/8", "tempo", "120"),
    # another note value than the beat, in British and American terms
    ("quaver = 120\nTime: 4/4", "tempo", "60"),
    ("dotted crotchet = 60\nTime: 4/4", "tempo", "90"),
    ("dotted 1/4 = 60\nTime: 4/4", "tempo", "90"),
    ("half note = ca. 50\nTime: 4/4", "tempo", "100"),
    ("M.M. q. = 60\nTime: 4/4", "tempo", "90"),
    # capo and fifth string
    ("Capo: 2", "capo", "2"),
    ("capo on the 2nd fret", "capo", "2"),
    ("Capo 2", "capo", "2"),
    ("CAPO AT FRET 3", "capo", "3"),
    ("no capo", "capo", "0"),
    ("Capo: none", "capo", "0"),
    ("Capo: 2", "fifth", "A4"),
    ("Capo: 2\nFifth string: not raised", "fifth", "G4"),
    ("5th string: raised to A", "fifth", "A4"),
    ("Fifth string raised to A", "fifth", "A4"),
    ("5th: capo 7", "fifth", "A4"),
    ("Thumb string: up 2", "fifth", "A4"),
    # composer and source
    ("Composer: Larkspur Ferry school", "composer", "Larkspur Ferry school"),
    ("composed by: Larkspur Ferry school", "composer", "Larkspur Ferry school"),
    ("By: Larkspur Ferry school", "composer", "Larkspur Ferry school"),
    ("Source: the school's book", "source", "the school's book"),
    ("From the school's book", "source", "From the school's book"),
    ("Arranger: Mara Quay", "arranger", "Mara Quay"),
    ("Arr. by: Mara Quay", "arranger", "Mara Quay"),
    ("arranged by Mara Quay", "arranger", "Mara Quay"),
    ("Two Oars, arr. Mara Quay", "arranger", "Mara Quay"),
]


def asked(tune: rollstave.Tune, what: str) -> str:
    score = tune.score
    setup = score.setup
    return {
        "title": score.title,
        "tuning": setup.tuning.written,
        "key": str(score.key),
        "meter": str(score.meter),
        "tempo": str(score.tempo),
        "capo": str(setup.capo),
        "fifth": {67: "G4", 69: "A4"}.get(setup.open_midi(5), "?"),
        "composer": score.composer,
        "source": score.source,
        "arranger": dict(score.headings).get("arranger", ""),
    }[what]


@pytest.mark.parametrize(("typed", "what", "meant"), WORDINGS)
def test_wordings(typed: str, what: str, meant: str) -> None:
    # Common practice of typists; MIDI 67 is G4 and 69 A4 (General MIDI).
    tab = TAB if what == "key" or "tun" not in typed.lower() else TAB.replace("D|", " |")
    assert asked(read(typed, tab), what) == meant


LINES = (
    "Title: Two Oars",
    "tuning: double C",
    "KEY: D",
    "Time: cut time",
    "tempo: 90",
    "Capo: 2",
    "Composer: Larkspur Ferry school",
)


@pytest.mark.parametrize("shift", range(len(LINES)))
def test_any_order(shift: int) -> None:
    lines = [*LINES[shift:], *LINES[:shift]]
    for typed in (lines, lines[::-1]):
        tune = read("\n".join(typed))
        found = [asked(tune, w) for w in ("title", "tuning", "key", "meter", "tempo", "capo")]
        assert found == ["Two Oars", "gCGCD", "D major", "2/2", "180", "2"]
        assert tune.score.composer == "Larkspur Ferry school"


@pytest.mark.parametrize(
    "order", list(itertools.permutations(["Key: C", "Time: 4/4", "Tempo: 96"]))
)
def test_several_on_one_line(order: tuple[str, ...]) -> None:
    tune = read("The Long Pier\n" + "     ".join(order))
    assert [asked(tune, w) for w in ("title", "key", "meter", "tempo")] == [
        "The Long Pier",
        "C major",
        "4/4",
        "96",
    ]


def test_commas_divide_headings_without_colons() -> None:
    tune = read("The Long Pier\nSawmill tuning, key of G dorian, capo 2")
    assert [asked(tune, w) for w in ("tuning", "key", "capo")] == ["gDGCD", "G dorian", "2"]


def test_what_is_said_is_declared_and_the_rest_is_not() -> None:
    tune = read("Title: Two Oars\nTuning: gDGBD")
    how = {f.subject: f.how for f in tune.findings}
    assert how["title"] is How.DECLARED
    assert how["tuning"] is How.DECLARED
    assert how["key"] is How.INFERRED
    assert how["meter"] is How.INFERRED


def test_labels_decide_where_no_tuning_is_named() -> None:
    # Labels from the top: D C G D g is gDGCD (common practice).
    tab = TAB.replace("B|", "C|")
    tune = read("Title: Two Oars", tab)
    assert tune.score.setup.tuning.written == "gDGCD"
    assert {f.subject: f.how for f in tune.findings}["tuning"] is How.INFERRED


def test_open_g_is_assumed_and_said_so() -> None:
    tab = "\n".join(line[1:] for line in TAB.splitlines())
    tune = read("Title: Two Oars", tab)
    assert tune.score.setup.tuning.written == "gDGBD"
    assert {f.subject: f.how for f in tune.findings}["tuning"] is How.ASSUMED
    assert any("open G" in p.message for p in tune.problems)


def test_the_raised_fifth_string_is_said_out_loud() -> None:
    tune = read("Capo: 2")
    found = next(f for f in tune.findings if f.subject == "fifth string")
    assert found.how is How.ASSUMED
    assert "A" in found.value


def test_a_capo_that_the_tuning_has_is_counted_once() -> None:
    # Common practice: double D is double C with a capo at 2. D4 on the first string becomes E4.
    tune = read("Tuning: double D\nCapo: 2")
    assert [tune.score.setup.open_midi(s) for s in (1, 2, 3, 4, 5)] == [64, 62, 57, 50, 69]


def test_free_text_is_kept() -> None:
    words = "Play it as the ferry rocks, and not faster."
    tune = read(f"Title: Two Oars\n\n{words}", TAB + "\nThe last note rings.\n")
    assert tune.score.notes == (words, "The last note rings.")


def test_two_headings_for_one_thing_warn() -> None:
    tune = read("Title: Two Oars\nKey: G\nKey: C")
    assert asked(tune, "key") == "G major"
    (problem,) = [p for p in tune.problems if p.severity is rollstave.Severity.WARNING]
    assert problem.place is not None
    assert problem.place.line == 3


def test_several_tunes_in_a_file() -> None:
    text = f"Title: Two Oars\nKey: G\n{TAB}\nTitle: Four Oars\nKey: C\n{TAB}"
    found = rollstave.read(text)
    assert [t.score.title for t in found] == ["Two Oars", "Four Oars"]
    assert [str(t.score.key) for t in found] == ["G major", "C major"]
