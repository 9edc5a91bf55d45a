"""Which instrument rows are for where no heading names one: labels, words, their number.

Tunings of guitar (EADGBE), tenor banjo (CGDA) and mandolin (GDAE): common practice, no source.
"""

from __future__ import annotations

import pytest

import rollstave

SIX = ("-0-------", "---1-----", "-----0---", "---------", "---------", "-3-----3-")
FOUR = ("-0-------", "---2-----", "-----0---", "-0-------")


def _system(rows: tuple[str, ...], labels: str = "") -> str:
    names = labels.split() or [""] * len(rows)
    return "".join(f"{n}|{row}|{row}|\n" for n, row in zip(names, rows, strict=True))


def _read(text: str) -> rollstave.Tune:
    (tune,) = rollstave.read(text)
    return tune


def _said(tune: rollstave.Tune) -> list[rollstave.Problem]:
    return [p for p in tune.problems if p.code == "instrument"]


def _low_first(tune: rollstave.Tune) -> list[str]:
    return [p.letter for p in reversed(tune.score.setup.tuning.pitches)]


def test_six_bare_rows_are_a_guitars_and_that_is_warned_of() -> None:
    tune = _read(_system(SIX))
    assert tune.score.setup.instrument.name == "guitar"
    assert _low_first(tune) == ["E", "A", "D", "G", "B", "E"]
    (said,) = _said(tune)
    assert said.severity is rollstave.Severity.WARNING
    assert "6 rows" in said.message
    assert "Instrument: " in said.message
    assert said.place is not None
    assert said.place.line == 1


@pytest.mark.parametrize(
    ("words", "name"),
    [
        ("Chitarra, piano piano", "guitar"),
        ("für Gitarre", "guitar"),
        ("in EADGBE", "guitar"),
    ],
)
def test_words_in_other_tongues_decide_over_six_rows(words: str, name: str) -> None:
    tune = _read(f"Lantern Song\n------------\n{words}\n\n{_system(SIX)}")
    assert tune.score.setup.instrument.name == name
    assert all(p.severity is rollstave.Severity.NOTICE for p in _said(tune))


@pytest.mark.parametrize(
    ("words", "name"),
    [
        ("Tuning: CGDA", "tenor banjo"),
        ("tenor banjo", "tenor banjo"),
        ("mandolina", "mandolin"),
        ("tuned G D A E", "mandolin"),
    ],
)
def test_words_decide_over_four_rows(words: str, name: str) -> None:
    tune = _read(f"Lantern Song\n\n{words}\n\n{_system(FOUR)}\n{_system(FOUR)}")
    assert tune.score.setup.instrument.name == name


def test_four_rows_that_nothing_speaks_of_are_warned_of() -> None:
    tune = _read(f"{_system(FOUR)}\n{_system(FOUR)}")
    (said,) = _said(tune)
    assert said.severity is rollstave.Severity.WARNING
    assert "the likeliest of those with 4 strings" in said.message


@pytest.mark.parametrize("words", ["banjo", "gDGBD", "g D G B D"])
def test_rows_left_out_of_a_banjos_tab_are_refused(words: str) -> None:
    with pytest.raises(rollstave.TabError, match="5 strings"):
        rollstave.read(f"Lantern Song\n\n{words}\n\n{_system(FOUR)}\n{_system(FOUR)}")


def test_labels_of_a_romance_tongue_cut_short() -> None:
    tune = _read(_system(SIX, "ré la so ré la RÉ"))
    assert tune.score.setup.instrument.name == "guitar"
    assert _low_first(tune) == ["D", "A", "D", "G", "A", "D"]


def test_the_letter_of_a_part_between_two_systems_is_no_row() -> None:
    rows = _system(FOUR, "A D G C")
    tune = _read(f"tenor banjo\n\nA\n{rows}B\n{rows}")
    assert [m.section for m in tune.score.measures] == ["A", None, "B", None]
