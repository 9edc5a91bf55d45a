"""Names of sections head what follows: read, written as text, in MusicXML and on the sheet."""

from __future__ import annotations

import pytest

import rollstave

ROWS = """|---0---0|---0---0|
|-0---0--|-0---0--|
|0---0---|0---2---|
|--------|--------|
|--0---0-|--0---0-|
"""
HEAD = "Ferry Bell\nTuning: gDGBD\nTime: 4/4\n"


def _read(text: str) -> rollstave.Tune:
    (tune,) = rollstave.read(text)
    assert not [p for p in tune.problems if p.severity is rollstave.Severity.WARNING]
    return tune


def _sections(tune: rollstave.Tune) -> list[tuple[int, str]]:
    return [(m.index, m.section) for m in tune.score.measures if m.section]


# As typed, and the name that is read.
NAMES = [
    ("A-PART", "A-PART"),
    ("B part", "B part"),
    ("The B part", "B part"),
    ("Part 2 - up the neck", "Part 2 - up the neck"),
    ("B part, of seven measures", "B part, of seven measures"),
    ("PART TWO - Up The Neck", "PART TWO - Up The Neck"),
    ("Version 2", "Version 2"),
    ("VERSION 1 (easy)", "VERSION 1 (easy)"),
    ("TAG (last time only)", "TAG (last time only)"),
    ("WALK-UP", "WALK-UP"),
    ("Walk down:", "Walk down"),
    ("Turnaround", "Turnaround"),
    ("# A", "A"),
    ("## B part", "B part"),
    ("**B part**", "B part"),
    ("[Intro]", "Intro"),
    ("Coda", "Coda"),
    ("(B)", "B"),
    ("(Tag)", "Tag"),
    ("(C)   down in the mud", "C"),
    ("high part", "high part"),
    ("Low break", "Low break"),
    ("*** DOWN LOW ***", "DOWN LOW"),
    ("=== Up the neck ===", "Up the neck"),
    ("Second half, a bit slower", "Second half"),
]


@pytest.mark.parametrize(("typed", "name"), NAMES)
@pytest.mark.parametrize("gap", ["\n", "\n\n"])
def test_a_name_heads_what_follows(typed: str, name: str, gap: str) -> None:
    tune = _read(f"{HEAD}\n{typed}{gap}{ROWS}\n{ROWS}\n[Outro]\n{ROWS}")
    assert _sections(tune) == [(0, name), (4, "Outro")]


@pytest.mark.parametrize("typed", ["UP THE NECK", "Forward roll", "--- Down Low ---", "Fancy way"])
def test_a_few_words_alone_between_systems(typed: str) -> None:
    tune = _read(f"{HEAD}\n{ROWS}\n{typed}\n\n{ROWS}")
    assert _sections(tune) == [(2, typed.strip("- "))]


@pytest.mark.parametrize(
    ("sentence", "name"),
    [
        ("And then the high part, which I only play once:", "high part"),
        ("Here comes the B part as Aunt Vetch had it:", "B part"),
        ("The chorus goes like this:", "chorus"),
        ("Now the second strain. It is harder:", "second strain"),
    ],
)
def test_a_sentence_introduces_a_section(sentence: str, name: str) -> None:
    tune = _read(f"{HEAD}\n{ROWS}\n{sentence}\n\n{ROWS}")
    assert _sections(tune) == [(2, name)]
    assert sentence in tune.score.notes


@pytest.mark.parametrize(
    "words",
    [
        "I learned the high part from a ferryman.",
        "The low part of the river:  where the otters are",
        "Play the chorus as you like, or the verse:",
    ],
)
def test_sentences_that_introduce_nothing(words: str) -> None:
    tune = _read(f"{HEAD}\n{ROWS}\n{words}\n\n{ROWS}")
    assert _sections(tune) == []


@pytest.mark.parametrize(("typed", "name"), [*NAMES, ("Fancy way", "Fancy way")])
def test_a_name_is_written_and_read_again(typed: str, name: str) -> None:
    tune = _read(f"{HEAD}\n{ROWS}\n{typed}\n\n{ROWS}")
    (text,) = rollstave.write(tune, "text")
    assert _sections(_read(text.decode())) == [(2, name)]
    (musicxml,) = rollstave.write(tune, "musicxml")
    assert f">{name}</rehearsal>" in musicxml.decode() or f">{name}</words>" in musicxml.decode()
    (svg,) = rollstave.write(tune, "svg")
    assert name in svg.decode()


@pytest.mark.parametrize("sign", ["(+)", "⊕", "𝄌"])
def test_one_sign_before_the_jump_and_one_behind(sign: str) -> None:
    above = f"{' ' * 12}{sign}\n"
    text = f"{HEAD}\nSegno\n{ROWS}\n{above}{ROWS}\n{ROWS}D.S. al Coda\n\n{sign} Coda\n{ROWS}"
    tune = _read(text)
    measures = tune.score.measures
    assert [m.index for m in measures if m.to_coda] == [3]
    assert [m.index for m in measures if m.coda] == [6]


def test_a_version_that_a_sentence_introduces_is_a_part() -> None:
    tune = _read(
        f"{HEAD}\nPlain version, melody only:\n\n{ROWS}\nFancy version, with a roll:\n\n{ROWS}"
    )
    assert _sections(tune) == [(0, "Plain version"), (2, "Fancy version")]
