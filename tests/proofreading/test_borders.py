"""Each rule of proofreading beside its border: a tab that is just right and one that is just wrong.

What is right is common practice, no source; the numbers of the borders are those that the rules
state (frets of a grip, notes under a chord name, how wide two measures in one are).
"""

from __future__ import annotations

import pytest

import rollstave
from rollstave.proofreading import Correction, proofread
from rollstave.proofreading.row_evidence import _effort
from tests.proofreading.test_checks import CLEAN

HEAD = "Title: Gull Street\nTuning: open G\nKey: G\nTime: 4/4\n\n"
REST = "-----------------"


def marks(text: str) -> tuple[Correction, ...]:
    (tune,) = rollstave.read(text)
    return proofread(tune)


def codes(text: str) -> list[str]:
    return [m.code for m in marks(text)]


def system(*rows: str, above: str = "") -> str:
    """A system of five rows, from string 1 down."""
    lines = [f"{label}{row}" for label, row in zip("DBGDg", rows, strict=True)]
    return "\n".join(([above] if above else []) + lines) + "\n"


def tab(*rows: str, above: str = "", head: str = HEAD) -> str:
    return head + system(*rows, above=above)


# Links --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("typed", "mend"),
    [
        ("0h1", None),
        ("1h2", None),
        ("2h2", ""),
        ("3h2", "3p2"),
        ("2p0", None),
        ("3p2", None),
        ("2p2", ""),
        ("2p3", "2h3"),
        # A slide goes both ways.
        ("4s2", None),
        ("2s4", None),
    ],
)
def test_a_hammer_on_rises_and_a_pull_off_falls(typed: str, mend: str | None) -> None:
    row = f"|-{typed}---0-------0---|"
    found = [m for m in marks(tab(row, *["|" + REST + "|"] * 4)) if m.code == "link"]
    assert [m.mend for m in found] == ([] if mend is None else [mend])
    if found:
        # The second fret is what is wrong.
        assert (found[0].place.line, found[0].place.column) == (6, 6)
        start, end = typed[0], typed[2]
        assert f"from fret {start} to fret {end} on string 1" in found[0].message
        assert ("rise" if "h" in typed else "fall") in found[0].message


# Stretches ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("low", "high", "too_far"),
    [
        # Five frets low on the neck, six from the ninth fret on.
        (1, 6, False),
        (1, 7, True),
        (8, 13, False),
        (8, 14, True),
        (9, 15, False),
        (9, 16, True),
        # Open strings are no finger's.
        (0, 12, False),
    ],
)
def test_a_grip_is_as_wide_as_a_hand(low: int, high: int, too_far: bool) -> None:
    def row(fret: int) -> str:
        return f"|-{fret}".ljust(5, "-") + "0---0---0----|"

    found = [
        m
        for m in marks(tab(row(high), row(low), *["|" + "-" * 16 + "|"] * 3))
        if m.code == "stretch"
    ]
    assert bool(found) == too_far
    if found:
        (mark,) = found
        assert (mark.place.line, mark.place.column) == (6, 4)
        assert f"frets {low} (string 2) and {high} (string 1)" in mark.message


def test_a_harmonic_is_no_finger_of_a_grip() -> None:
    rest = ["|" + "-" * 16 + "|"] * 3
    assert "stretch" not in codes(tab("|-<12>----0-----|", "|-2-------------|", *rest))
    assert "stretch" in codes(tab("|-12------0-----|", "|-2-------------|", *rest))


# Chord names --------------------------------------------------------------------------------


def _named(name: str, row: str, count: int = 1) -> list[Correction]:
    above = f"   {name}"
    text = tab(f"|{row}|", *["|" + "-" * len(row) + "|"] * 4, above=above)
    return [m for m in marks(text) if m.code == "chord"]


@pytest.mark.parametrize(
    ("name", "row", "wrong"),
    [
        # On the D string: 0 D, 1 D#, 2 E, 4 F#, 5 G, 9 B. All of D major (D F# A) under D; E G B
        # under D is E minor; half of the notes in the chord is enough.
        ("D", "-0---4---7---0---", False),
        ("D", "-2---5---9---2---", True),
        ("D", "-2---5---0---4---", False),
        # Three notes cannot contradict a name, four can.
        ("D", "-2---5-------9---", False),
        # What fits no common chord is left alone.
        ("D", "-1---2---3---6---", False),
    ],
)
def test_a_chord_name_and_the_notes_under_it(name: str, row: str, wrong: bool) -> None:
    found = _named(name, row)
    assert bool(found) == wrong
    if found:
        (mark,) = found
        assert mark.mend == "Em"
        assert mark.message == f"{name} stands over notes of which 0 of 4 belong to it"
        assert (mark.place.line, mark.place.column) == (6, 4)


def test_the_drone_and_dead_strokes_say_nothing_of_a_chord() -> None:
    # Four notes of E minor under D, of which two are on the short string or dead.
    rows = ["|-2---5-----------|", *["|" + REST + "|"] * 3, "|---------0---0---|"]
    assert "chord" not in codes(tab(*rows, above="   D"))
    dead = ["|-2---5---x---x---|", *["|" + REST + "|"] * 4]
    assert "chord" not in codes(tab(*dead, above="   D"))


def test_a_chord_name_lasts_until_the_next() -> None:
    # E G B E under Em, then D F# A D under D: right; with the names exchanged both are wrong.
    row = "|-2-5-9-2-0-4-7-0-|"
    rest = ["|" + REST + "|"] * 4
    assert "chord" not in codes(tab(row, *rest, above="   Em      D"))
    found = [m for m in marks(tab(row, *rest, above="   D       Em")) if m.code == "chord"]
    assert [(m.place.column, m.mend) for m in found] == [(4, "Em"), (12, "D")]


# Lengths ------------------------------------------------------------------------------------


def spaced(*lengths: int) -> str:
    """Measures of so many quarter notes, each with the room of four dashes."""
    row = "|" + "|".join("-" + "0---" * length for length in lengths) + "|"
    rest = "".join("|" if c == "|" else "-" for c in row)
    return tab(row, *[rest] * 4)


def _lengths(text: str) -> list[tuple[str, int]]:
    return [(m.message.split(":")[0], m.place.column) for m in marks(text) if m.code == "length"]


def test_a_measure_that_is_shorter_or_longer_than_the_meter() -> None:
    assert _lengths(spaced(4, 4, 4, 4)) == []
    assert _lengths(spaced(4, 4, 3, 4)) == [("measure 3 is 1 beat too short", 39)]
    assert _lengths(spaced(4, 5, 4, 4)) == [("measure 2 is 1 beat too long", 21)]
    # At the edges of a strain a short measure is a pickup or completes one; a long one is neither.
    assert _lengths(spaced(4, 4, 4, 3)) == []
    assert _lengths(spaced(4, 4, 4, 5)) == [("measure 4 is 1 beat too long", 57)]
    (mark,) = [m for m in marks(spaced(4, 4, 3, 4)) if m.code == "length"]
    assert mark.message.endswith("it has 3 beats where 4/4 has 4 beats")


@pytest.mark.parametrize(
    ("close", "opened", "right"),
    [("|", "", False), ("||", "", True), (":|", "", True), ("|", ":", True)],
)
def test_a_short_measure_at_the_edge_of_a_strain(close: str, opened: str, right: bool) -> None:
    """Before a double bar, at the end of a repeat and before one; not in the middle."""
    four, three = "-0---0---0---0---", "-0---0---0---"
    row = f"|{four}|{three}{close}{opened}{four}|{four}{':|' if opened else '|'}"
    rest = "".join(c if c in "|:" else "-" for c in row)
    assert bool(_lengths(tab(row, *[rest] * 4))) != right


WIDE = "-0-0-0-0-0-0-0-0-"


def test_a_measure_as_wide_and_as_full_as_two() -> None:
    # 1.7 times the usual width and number of notes is two measures in one, once in a tune.
    usual, double = WIDE, WIDE + WIDE[1:]
    for measures, wrong in (
        ([usual, usual, double, usual], True),
        # As wide, but no fuller.
        ([usual, usual, usual + "-" * 16, usual], False),
        # Three measures show nothing usual.
        ([usual, double, usual], False),
        # A tune with a broad part.
        ([usual, double, double, usual, usual], False),
    ):
        row = "|" + "|".join(measures) + "|"
        rest = "".join("|" if c == "|" else "-" for c in row)
        found = [m for m in marks(tab(row, *[rest] * 4)) if m.code == "long"]
        assert bool(found) == wrong, measures
        if found:
            (mark,) = found
            # The number that is printed: beside a measure of two, the first is read as a pickup.
            assert "measure 2" in mark.message
            assert mark.place.column == 3 + 2 * (len(usual) + 1)


# Repeats, endings, jumps --------------------------------------------------------------------


def strains(*bars: str, above: str = "") -> str:
    """Measures with the bar lines as given: one before each measure and one at the end."""
    body = "-0---0---0---0---"
    row = "".join(bar + body for bar in bars[:-1]) + bars[-1]
    rest = "".join(bar + "-" * len(body) for bar in bars[:-1]) + bars[-1]
    return tab(row, *[rest] * 4, above=above)


@pytest.mark.parametrize(
    ("bars", "wrong"),
    [
        (("|", "|", "|"), []),
        (("|:", "|", ":|"), []),
        # The first repeat goes back to the beginning.
        (("|", "|", ":|"), []),
        (("|", ":|", "|", "|:", ":|"), []),
        # Never closed, at the end and before the next one is opened.
        (("|:", "|", "|"), ["measure 1"]),
        (("|:", "|", "|:", ":|"), ["measure 1"]),
        (("|:", ":|", "|:", "|", "|"), ["measure 3"]),
        # Closed and not opened, in a tune that opens its repeats.
        (("|:", ":|", "|:", ":|", "|", ":|"), ["measure 5"]),
    ],
)
def test_repeats_come_in_pairs(bars: tuple[str, ...], wrong: list[str]) -> None:
    found = [m for m in marks(strains(*bars)) if m.code == "repeat"]
    assert [m.message.count("repeat") for m in found] == [1] * len(wrong)
    for mark, measure in zip(found, wrong, strict=True):
        assert measure in mark.message


def test_endings_lead_back_and_have_a_first() -> None:
    bars = ("|:", "|", ":|", "|", "||")
    at = " " * 21
    right = strains(*bars, above=f"{at}1.{' ' * 17}2.")
    assert "ending" not in codes(right)
    only_second = strains("|:", "|", ":|", "|", "||", above=f"{at}{' ' * 19}2.")
    found = [m for m in marks(only_second) if m.code == "ending"]
    assert ["no first ending" in m.message for m in found] == [True]
    unclosed = strains("|", "|", "|", "|", "||", above=f"{at}1.{' ' * 17}2.")
    assert "ending" not in codes(unclosed)  # it is read as leading back, which reading tells
    begun = strains("|", "|", "|", "|", "||", above=f"  1.{' ' * 17}2.")
    found = [m for m in marks(begun) if m.code == "ending"]
    assert ["does not lead back" in m.message for m in found] == [True]


JUMPS = {
    "D.S.": (("Segno",), ()),
    "D.S. al Fine": (("Segno", "Fine"), ("Segno",)),
    "D.C. al Fine": (("Fine",), ()),
    "D.C. al Coda": (("To Coda", "Coda"), ("To Coda",)),
    "D.S. al Coda": (("Segno", "To Coda", "Coda"), ("Segno", "Coda")),
}


@pytest.mark.parametrize("jump", JUMPS)
def test_a_jump_has_where_to_go(jump: str) -> None:
    """With all that it names, and with one thing missing."""
    full, lacking = JUMPS[jump]
    assert _with(jump, *full) == []
    (mark,) = _with(jump, *lacking)
    (missing,) = set(full) - set(lacking)
    assert missing.lower().removeprefix("to ") in mark.message.lower().split("there is")[1]
    assert mark.message.startswith(f"{jump} stands after measure 2")


def _with(jump: str, *signs: str) -> list[Correction]:
    one = strains("|", "|").split("\n\n", 1)[1]
    lines = [HEAD]
    lines += ["Segno\n"] if "Segno" in signs else []
    lines += [one]
    lines += ["Fine\n\n"] if "Fine" in signs else []
    lines += ["To Coda\n\n"] if "To Coda" in signs else []
    lines += [one, f"{jump}\n\n"]
    lines += ["Coda\n"] if "Coda" in signs else []
    lines += [one]
    return [m for m in marks("".join(lines)) if m.code == "jump"]


# Many of a kind -----------------------------------------------------------------------------


@pytest.mark.parametrize(("count", "more"), [(20, 0), (21, 1), (25, 5)])
def test_of_one_kind_twenty_are_given(count: int, more: int) -> None:
    # Each measure has one hammer-on that falls; the last mark says how many more there are.
    row = "|" + "-4h2---0---0---0-|" * 5
    rest = "|" + ("-" * 17 + "|") * 5
    short = "|" + "-4h2---0---0---0-|" * (count % 5)
    systems = [system(row, *[rest] * 4)] * (count // 5)
    if count % 5:
        systems.append(system(short, *["|" + ("-" * 17 + "|") * (count % 5)] * 4))
    found = [m for m in marks(HEAD + "\n".join(systems)) if m.code == "link"]
    assert len(found) == 20 if more else len(found) == count
    told = [m.message.partition("; and ")[2] for m in found]
    assert told[:-1] == [""] * (len(found) - 1)
    assert told[-1] == (f"{more} more like it" if more else "")
    assert all(m.mend == "4p2" for m in found)


def test_marks_come_in_the_order_of_the_text() -> None:
    text = CLEAN.replace("2p0", "2h0").replace("D|-----0", "D|:----0", 1)
    found = [(m.place.line, m.place.column) for m in marks(text)]
    assert found == sorted(found)
    assert len(found) >= 2


# Slips --------------------------------------------------------------------------------------


def test_a_slip_says_where_the_same_stands_otherwise() -> None:
    text = CLEAN.replace(
        "G|-0-------2-----0-|-0-------0-----0-|", "G|-0-------1-----0-|-0-------0-----0-|", 1
    )
    (mark,) = [m for m in marks(text) if m.code == "slip"]
    # Measures 3, 5 and 8 are the same tune with a 2.
    assert mark.message.startswith("fret 1 stands here where measure ")
    assert " has fret 2, and " in mark.message
    assert mark.mend == "2"
    measure = int(mark.message.split("measure ")[1].split()[0])
    assert measure in (3, 5, 8)


def test_a_note_on_the_wrong_string_says_on_which_it_was_meant() -> None:
    text = CLEAN.replace("B|---0-------0-----|---1", "B|-----------0-----|---1", 1).replace(
        "G|-0-------2-----0-|-0-------0-----0-|", "G|-0-0-----2-----0-|-0-------0-----0-|", 1
    )
    found = [m for m in marks(text) if m.code == "slip"]
    assert [m.mend for m in found] == ["0 on string 2"]
    assert "this note is on string 3 where measure" in found[0].message
    assert "has it on 2" in found[0].message


# The hand -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("columns", "effort"),
    [
        # Fret 2, an open string, fret 5: the hand goes three frets, and the open string in between
        # is no end of it.
        ((((1, 2),), ((2, 0),), ((1, 5),)), 3),
        # Open strings cost nothing, nor does staying.
        ((((1, 0),), ((2, 0),)), 0),
        ((((1, 2),), ((2, 2),)), 0),
        # A leap counts six frets at the most.
        ((((1, 1),), ((1, 12),)), 6),
        # A grip of five frets stretches one beyond the easy four.
        ((((1, 2), (2, 6)),), 1),
        # The middle of a grip is where the hand is: 3, then 5.
        ((((1, 2), (2, 4)), ((1, 5),)), 2),
    ],
)
def test_how_far_a_hand_moves_and_stretches(
    columns: tuple[tuple[tuple[int, int], ...], ...], effort: float
) -> None:
    assert sum(_effort([columns])) == effort
