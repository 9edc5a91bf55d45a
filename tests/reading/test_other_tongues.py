"""Tabs whose strings, bars and headings are those of other tongues. Common practice, no source."""

from __future__ import annotations

import pytest

import rollstave

ROWS = (
    "-------0-------0-",
    "---1-------1-----",
    "-----------------",
    "-2-------2-------",
    "-----0-------0---",
)
ROLL = "4:2 2:1 5:0 1:0"


def _notes(tune: rollstave.Tune) -> list[str]:
    return [
        " ".join(f"{n.string}:{n.fret}" for e in m.events for n in e.notes)
        for m in tune.score.measures
    ]


def _typed(names: tuple[str, ...], left: str = "|", bar: str = "|", right: str = "|") -> str:
    width = max(map(len, names)) + 1
    return "".join(
        name.ljust(width) + left + row + bar + row + right + "\n"
        for name, row in zip(names, ROWS, strict=True)
    )


FRENCH = ("ré", "si", "sol", "ré", "sol*")
ITALIAN = ("Re", "Si", "Sol", "Re", "sol'")
GERMAN = ("D", "H", "G", "D", "g")


@pytest.mark.parametrize("names", [FRENCH, ITALIAN, GERMAN, ("re", "si", "sol", "re", "sol")])
def test_names_of_strings(names: tuple[str, ...]) -> None:
    (tune,) = rollstave.read(f"Title: The Ferry Cat\nTime: 4/4\n\n{_typed(names)}")
    assert not [p for p in tune.problems if p.severity is rollstave.Severity.WARNING]
    assert _notes(tune) == [f"{ROLL} {ROLL}"] * 2
    assert tune.score.setup.instrument.name == "five-string banjo"
    assert tune.score.setup.tuning.written == "gDGBD"


def test_rows_named_so_are_those_of_a_guitar() -> None:
    names = ("mi", "si", "sol", "ré", "la", "mi")
    rows = (*ROWS[:4], "-" * 17, "-" * 17)
    typed = "".join(f"{n:<4}|{r}|{r}|\n" for n, r in zip(names, rows, strict=True))
    (tune,) = rollstave.read(f"Title: The Ferry Cat\nTime: 4/4\n\n{typed}")
    assert tune.score.setup.instrument.name == "guitar"
    assert not [p for p in tune.problems if p.severity is rollstave.Severity.WARNING]


@pytest.mark.parametrize("names", [GERMAN, ("D", "B", "G", "D", "g")])
def test_capital_i_for_bars_with_repeats(names: tuple[str, ...]) -> None:
    (tune,) = rollstave.read(
        f"Title: The Ferry Cat\nTime: 4/4\n\n{_typed(names, left='I:', bar='I', right=':I')}"
    )
    assert not [p for p in tune.problems if p.severity is rollstave.Severity.WARNING]
    assert _notes(tune) == [f"{ROLL} {ROLL}"] * 2
    first, last = tune.score.measures
    assert first.left is rollstave.Bar.REPEAT_START
    assert last.right is rollstave.Bar.REPEAT_END


@pytest.mark.parametrize(
    ("heads", "tuning"),
    [
        ("Stimmung: g D G H D\nTakt: 3/4\nTonart: G-Dur", "gDGBD"),
        ("Accordage: sol do sol do ré (gCGCD)\nMesure: 3/4\nTonalité: C", "gCGCD"),
        ("Afinación: gDGBD\nCompás: 3/4\nTonalidad: G", "gDGBD"),
        ("Accordatura: gDGBD\nTempo: 3/4\nTonalità: G", "gDGBD"),
    ],
)
def test_headings(heads: str, tuning: str) -> None:
    row = "|--0---0---0--|"
    typed = "\n".join([row, *["|------------|"] * 4])
    (tune,) = rollstave.read(f"The Ferry Cat\n{heads}\n\n{typed}\n")
    assert tune.score.title == "The Ferry Cat"
    assert tune.score.setup.tuning.written == tuning
    assert str(tune.score.meter) == "3/4"
    assert str(tune.score.key).startswith(("G", "C"))


@pytest.mark.parametrize(
    "names",
    [("1. Mal", "2. Mal"), ("1re fois", "2e fois"), ("1a vez", "2a vez"), ("1ª vez", "2ª vez")],
)
def test_endings(names: tuple[str, str]) -> None:
    row, end = "|-0-------0-------", "|-0---------------"
    rows = [f"{row}{end}:{end}|", *[f"|{'-' * 17}|{'-' * 17}:|{'-' * 17}|"] * 4]
    over = " " * 19 + names[0].ljust(19) + names[1]
    (tune,) = rollstave.read(
        f"Title: The Ferry Cat\nTime: 4/4\n\n{over}\n" + "\n".join(rows) + "\n"
    )
    assert [m.ending for m in tune.score.measures] == [None, "1", "2"]


def test_a_legend() -> None:
    rows = [f"|{'-' * 9}|"] * 2 + ["|-0h2----|"] + [f"|{'-' * 9}|"] * 2
    legend = "All notes are Achtel. h = Aufschlag, p = Abzug."
    (tune,) = rollstave.read(f"Title: The Ferry Cat\n{legend}\n\n" + "\n".join(rows) + "\n")
    assert not [p for p in tune.problems if p.code == "legend"]


@pytest.mark.parametrize(
    ("typed", "title"),
    [
        ("« The Ferry Cat »", "The Ferry Cat"),
        ("„The Ferry Cat“", "The Ferry Cat"),
        ("Waltz for the Tin Cat (Walzer)", "Waltz for the Tin Cat"),
        ("Jig for Agnes Quill", "Jig for Agnes Quill"),
    ],
)
def test_titles(typed: str, title: str) -> None:
    rows = ["|-0---2---|", *["|---------|"] * 4]
    (tune,) = rollstave.read(f"{typed}\n\n" + "\n".join(rows) + "\n")
    assert tune.score.title == title
