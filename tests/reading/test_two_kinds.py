"""Lines that hold two kinds of words keep both. Common practice, no source."""

from __future__ import annotations

import pytest

import rollstave

ROLL = ("----0-------0---", "--0-------0-----", "0-------0-------", "-" * 16, "------0-------0-")
PINCH = ("0-------0-------", "-" * 16, "--------0-------", "-" * 16, "0---------------")
HEAD = "Title: Ferry Bell\nTuning: gDGBD\nTime: 4/4\n\n"


def _score(above: str = "", below: str = "") -> rollstave.Score:
    rows = [
        "|" + "|".join([roll, pinch, roll]) + "|" for roll, pinch in zip(ROLL, PINCH, strict=True)
    ]
    lines = [line for line in (above, *rows, below) if line]
    (tune,) = rollstave.read(HEAD + "\n".join(lines) + "\n")
    assert not [p for p in tune.problems if p.severity is rollstave.Severity.WARNING]
    return tune.score


@pytest.mark.parametrize(
    ("above", "field", "index"),
    [
        (" G                C       Fine     G", "fine", 1),
        (" G    Fine        C                G", "fine", 0),
        (" G                C                G   To Coda", "to_coda", 2),
        (" G                Segno C          D7", "segno", 1),
        (" G                𝄋C               D7", "segno", 1),
    ],
)
def test_chords_and_jumps(above: str, field: str, index: int) -> None:
    score = _score(above)
    assert [getattr(m, field) for m in score.measures] == [i == index for i in range(3)]
    assert [len([c for c in m.chords if not c.inferred]) for m in score.measures] == [1, 1, 1]


@pytest.mark.parametrize(
    ("below", "brush"),
    [
        (" T I M T M I T M  pinch   P        T I M T M I T M", []),
        (" T I M T M I T M  P       P        T I M T M I T M", []),
        (" T I M T M I T M  br      pinch    T I M T M I T M", [0]),
        (" T I M T M I T M  br!     pinch!   T I M T M I T M", [0]),
        (" T I M T M I T M  br.     brush    T I M T M I T M", [0, 1]),
    ],
)
def test_letters_and_words_of_the_hand(below: str, brush: list[int]) -> None:
    score = _score(below=below)
    first = score.measures[0]
    assert "".join(n.finger.value for e in first.events for n in e.notes) == "TIMTMITM"
    assert not any(n.inferred_finger for e in first.events for n in e.notes)
    assert [i for i, e in enumerate(score.measures[1].events) if e.brush] == brush


def test_letters_and_counts_with_a_jump() -> None:
    score = _score(below=" T I M T M I T M                   T I M T M I T M Fine")
    assert score.measures[2].fine
    assert not score.notes


@pytest.mark.parametrize("words", ["Fine weather for ducks", "A fine tune in G", "coda for Ann"])
def test_sentences_are_no_signs(words: str) -> None:
    score = _score(words)
    assert not any(m.fine or m.coda for m in score.measures)
    assert words in score.notes


@pytest.mark.parametrize(
    "words",
    [
        "  Fer- ry- man     wait by the       wa- ter",
        "  Larks     are    up and  away      from me",
    ],
)
def test_words_to_sing_between_chords_and_rows(words: str) -> None:
    score = _score(f" G                C                D7\n{words}")
    found = [[c.text for c in m.chords if not c.inferred] for m in score.measures]
    assert found == [["G"], ["C"], ["D7"]]
    assert words.strip() in score.notes


@pytest.mark.parametrize("remark", ["(let it ring)", "(slowly here)"])
@pytest.mark.parametrize("gap", [" ", "   "])
def test_a_remark_behind_letters(remark: str, gap: str) -> None:
    score = _score(below=f" T I M T M I T M  P       br       T I M T M I T M{gap}{remark}")
    assert score.notes == (remark,)
    assert score.measures[1].events[1].brush


@pytest.mark.parametrize("sign", ["H", "h", "S"])
def test_a_slur_among_the_letters(sign: str) -> None:
    rows = ("|------0-|", "|--------|", "|0-2-----|", "|--------|", "|----0---|")
    tune_text = HEAD + "\n".join([*rows, f" T {sign} T M"]) + "\n"
    (tune,) = rollstave.read(tune_text)
    notes = [n for e in tune.score.measures[0].events for n in e.notes]
    link = rollstave.Link.SLIDE if sign == "S" else rollstave.Link.HAMMER_ON
    assert [n.link for n in notes] == [None, link, None, None]
    assert "".join(n.finger.value for n in notes if n.finger) == "TTM"


def test_a_slur_that_nothing_comes_before() -> None:
    rows = ("|------0-|", "|--------|", "|--2-----|", "|0-------|", "|----0---|")
    (tune,) = rollstave.read(HEAD + "\n".join([*rows, " T H T M"]) + "\n")
    (stray,) = [p for p in tune.problems if p.code == "stray"]
    assert (stray.place.line, stray.place.column) == (10, 4)
    assert all(n.link is None for e in tune.score.measures[0].events for n in e.notes)


@pytest.mark.parametrize("label", ["Hand ", "hand:", "Roll ", "RH   ", "Fingers "])
def test_a_label_of_the_hand(label: str) -> None:
    width = len(label)
    rows = [name.ljust(width) + "|" + row + "|" for name, row in zip("DBGDg", ROLL, strict=True)]
    (tune,) = rollstave.read(HEAD + "\n".join([*rows, label + " T I M T M I T M"]) + "\n")
    assert not [p for p in tune.problems if p.severity is rollstave.Severity.WARNING]
    notes = [n for e in tune.score.measures[0].events for n in e.notes]
    assert "".join(n.finger.value for n in notes) == "TIMTMITM"
    assert not any(n.inferred_finger for n in notes)


@pytest.mark.parametrize("lead", ["", " ", "   "])
def test_letters_that_run_past_the_bars(lead: str) -> None:
    below = lead + " ".join("TIMTMITM" * 2 + "TM" + "TIMTMITM")
    rows = (
        "|" + "|".join([roll, roll, pinch, roll]) + "|"
        for roll, pinch in zip(
            ("---0---0", "-0---0--", "0---0---", "--------", "--0---0-"),
            ("----0---", "--------", "0-------", "--------", "--------"),
            strict=True,
        )
    )
    (tune,) = rollstave.read(HEAD + "\n".join([*rows, below]) + "\n")
    assert not [p for p in tune.problems if p.severity is rollstave.Severity.WARNING]
    found = [[n.finger.value for e in m.events for n in e.notes] for m in tune.score.measures]
    assert ["".join(f) for f in found] == ["TIMTMITM", "TIMTMITM", "TM", "TIMTMITM"]
