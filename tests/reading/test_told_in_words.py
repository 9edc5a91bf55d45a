"""What sentences tell in their own way is taken where it is sure, and asked about where it may be.

Common practice, no source: what people say of a tune. All sentences are invented.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

import rollstave
from rollstave.reading.saying.judge import ASKED, TAKEN, probability
from rollstave.reading.saying.parse import found_in
from rollstave.reading.saying.tokens import tokens_of

ROWS = """\
|0-------2-------|0-------2-------|
|----1-------0---|----1-------0---|
|--0-------0-----|--0-------0-----|
|----------------|----------------|
|------0-------0-|------0-------0-|"""


def _read(words: str, rows: str = ROWS) -> rollstave.Tune:
    (tune,) = rollstave.read(f"Title: Reed Gate\n\n{words}\n\n{rows}\n")
    return tune


def test_a_capo_in_another_language() -> None:
    assert _read("Kapodaster 3. Bund").score.setup.capo == 3
    assert _read("cejilla en el traste 3").score.setup.capo == 3


def test_a_finger_over_all_strings_is_no_capo() -> None:
    tune = _read("The first two bars are one barre at the 5th fret.")
    assert tune.score.setup.capo == 0
    assert not [p for p in tune.problems if "capo" in p.message]


def test_a_spike_raises_the_short_string() -> None:
    """By arithmetic: from its peg at fret 5 to fret 7 are two semitones."""
    assert (
        _read("hook the short string under the spike at the 7th fret").score.setup.short_raise == 2
    )


@pytest.mark.parametrize(
    ("words", "time"),
    [
        ("Dreivierteltakt", "3/4"),
        ("Count it in six-eight, please.", "6/8"),
        ("three crotchet beats in every bar", "3/4"),
    ],
)
def test_a_time_in_words(words: str, time: str) -> None:
    assert str(_read(words).score.meter) == time


def test_what_a_column_lasts_tells_the_time() -> None:
    """By arithmetic: eight columns of a sixteenth are two quarter notes."""
    rows = "\n".join(f"|{row[1:9]}|{row[18:26]}|" for row in ROWS.split("\n"))
    tune = _read("one dash is one sixteenth note", rows)
    assert str(tune.score.meter) == "2/4"
    assert tune.score.measures[0].events[0].duration == Fraction(1, 2)


def test_a_string_that_is_moved_makes_another_tuning() -> None:
    assert _read("Please lower the fourth string to C.").score.setup.tuning.written == "gCGBD"


def test_an_order_in_another_language() -> None:
    text = (
        f"Title: Reed Gate\n\nTeil A zweimal, Teil B dreimal\n\nTeil A\n{ROWS}\n\nTeil B\n{ROWS}\n"
    )
    (tune,) = rollstave.read(text)
    assert [m.times or 2 for m in tune.score.measures if m.right is rollstave.Bar.REPEAT_END] == [
        2,
        3,
    ]


def test_the_way_back_told_in_a_sentence() -> None:
    assert _read("then from the end you go back to the beginning").score.measures[-1].jump == "D.C."


def test_who_it_is_from() -> None:
    assert (
        _read("I learned this from Odile Marchbank at a dance.").score.source == "Odile Marchbank"
    )


@pytest.mark.parametrize(
    "words",
    [
        "The key to the shed hangs by the door.",
        "My capo is in the mouth of the dog.",
        "We had three bars of chocolate on the way.",
        "Is it in D or G? Nobody could say.",
        "I got 3/4 of the way through the hay.",
    ],
)
def test_prose_states_nothing(words: str) -> None:
    tune = _read(words)
    declared = {f.subject for f in tune.findings if f.how is rollstave.How.DECLARED}
    assert declared == {"title"}


def test_words_with_a_slip_are_understood() -> None:
    (token,) = tokens_of("tunning")
    assert token.typo
    assert token.code == tokens_of("tuning")[0].code


def test_numbers_in_words() -> None:
    assert [t.value for t in tokens_of("a hundred and twelve")] == [112]
    assert [t.value for t in tokens_of("ninety-six")] == [96]


def test_what_is_asked_names_the_line_to_type() -> None:
    """A fact that may be told is a warning at its place with what to type."""
    words = "The capo goes somewhere near the two, I think."
    tune = _read(words)
    (asked,) = [p for p in tune.problems if p.place and p.place.line == 3]
    assert asked.severity is rollstave.Severity.WARNING
    assert "Capo: 2" in asked.message


def test_the_weights_tell_facts_from_prose() -> None:
    (sure,) = [f for f in found_in("Capo on the 4th fret") if f.fact == "capo"]
    assert probability(sure) >= TAKEN
    prose = [f for f in found_in("Five people and one capo, that was all.") if f.fact == "capo"]
    assert all(probability(f) < ASKED for f in prose)


# Two that agree are no doubt -------------------------------------------------------------------

LABELLED = "\n".join(f"{label}{row}" for label, row in zip("DBGDg", ROWS.splitlines(), strict=True))
ASKED_OF = "Drawn for the Wednesday table, {}, from an old napkin, the way she had it on her wall."


def _warnings(tune: rollstave.Tune) -> list[str]:
    return [p.message for p in tune.problems if p.severity is rollstave.Severity.WARNING]


@pytest.mark.parametrize(
    "words",
    [
        "gDGBD - typed the wrong way round, as my neighbour sees it from her side of the table",
        "There are two of us who play it in G so bring a friend",
        "There are two of us who would play it in 4/4 or so they told me on the ferry",
    ],
)
def test_words_that_agree_with_what_is_read_are_not_asked_about(words: str) -> None:
    assert not _warnings(_read(words, LABELLED))


def test_words_that_disagree_are_still_asked_about() -> None:
    words = "gDGCD - typed the wrong way round, as my neighbour sees it from her side of the table"
    tune = _read(words, LABELLED)
    assert [
        m for m in _warnings(tune) if "gDGCD" in m
    ] or "gDGCD" in tune.score.setup.tuning.written


UP_HERE = ROWS.replace("------0-------0-|", "------0-------9-|")


def test_the_short_string_at_a_fret_that_is_typed_there_is_no_capo() -> None:
    """By the rows: the string sounds open, and once it is stopped at that fret."""
    words = "Fifth string at the 9th fret is stopped with the thumb, it rings like the first."
    tune = _read(words, UP_HERE)
    assert tune.score.setup.short_raise == 0
    assert not [m for m in _warnings(tune) if "fifth" in m]
    other = _read("Fifth string at the 7th fret.", UP_HERE)
    assert other.score.setup.short_raise == 2 or [m for m in _warnings(other) if "fifth" in m]


CLOSE = """\
Title: Reed Gate
Time: 2/4

{}

|0-2-|3-2-|0-2-|3-2-|0-2-|3-2-|310-|0---|
|----|----|----|----|----|----|----|----|
|----|----|----|----|----|----|----|--2-|
|----|----|----|----|----|----|----|----|
|----|----|----|----|----|----|----|----|
"""


def test_figures_side_by_side_are_no_doubt_where_words_say_what_a_character_lasts() -> None:
    said = rollstave.read(CLOSE.format("Two signs are a quarter note, two dashes to a quarter."))
    doubted = rollstave.read(CLOSE.format("It is a quick one."))
    assert not [m for m in _warnings(said[0]) if "310" in m]
    assert [m for m in _warnings(doubted[0]) if "310" in m]


def test_where_lines_are_cut_is_no_tempo() -> None:
    words = "The post office machine breaks every row at seventy, so glue the ends on again."
    rows = "\n".join(f"{name}|-0---0---0---0---|" for name in "DBGDg")
    (tune,) = rollstave.read(f"Title: Weir Post\nTuning: gDGBD\n\n{words}\n\n{rows}\n")
    assert "tempo" not in {p.code for p in tune.problems}
    assert tune.score.tempo is None


SPOKEN = {
    **{"forty": 40, "fifty": 50, "sixty": 60, "seventy": 70, "eighty": 80, "ninety": 90},
    **{"forty-four": 44, "ninety-six": 96, "a hundred": 100, "one hundred and twenty": 120},
}


@pytest.mark.parametrize("words", SPOKEN)
@pytest.mark.parametrize("sentence", ["Take it at {}.", "It goes at {} beats per minute."])
def test_a_tempo_in_words_is_the_number_that_they_say(sentence: str, words: str) -> None:
    rows = "\n".join(f"{label}|-0---7-|-0---7-|" for label in "DBGDg")
    said = sentence.format(words)
    (tune,) = rollstave.read(f"Title: Nettle Hill\nKey: G\nTime: 4/4\n\n{said}\n\n{rows}\n")
    assert tune.score.tempo == SPOKEN[words]
