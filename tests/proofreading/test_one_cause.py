"""One cause is one mark, and what the roll, the chord and the typist's habit allow is none.

That a capo at 2 makes a G shape sound A, that no roll strikes a string twice running, and that a
first ending has a second is common practice, no source.
"""

from __future__ import annotations

import rollstave
from rollstave.proofreading import Correction, proofread
from tests.proofreading.test_checks import CLEAN

HEAD = "Title: Gull Street\nTuning: open G\nTime: 4/4\n\n"
ROLL = (
    "---0---0---0---0-",
    "-----0-------0---",
    "-0-------0-------",
    "-" * 17,
    "-------0-------0-",
)


def marks(text: str) -> tuple[Correction, ...]:
    (tune,) = rollstave.read(text)
    return proofread(tune)


def rolled(*measures: tuple[str, ...]) -> str:
    """Systems of four measures each, given by their five rows."""
    lines = []
    for first in range(0, len(measures), 4):
        for string, label in enumerate("DBGDg"):
            cells = [m[string] for m in measures[first : first + 4]]
            lines.append(f"{label}|{'|'.join(cells)}|")
        lines.append("")
    return HEAD + "\n".join(lines)


# 3 2 5 1 3 2 5 1, each an eighth.
FORWARD = (
    "-------0-------0-",
    "---0-------0-----",
    "-0-------0-------",
    "-" * 17,
    "-----0-------0---",
)
# The last two strokes the other way round: 3 2 5 1 3 2 1 5.
TURNED = (
    "-------0-----0---",
    "---0-------0-----",
    "-0-------0-------",
    "-" * 17,
    "-----0---------0-",
)


def test_a_measure_that_departs_from_the_roll() -> None:
    found = [m for m in marks(rolled(*[FORWARD] * 5, TURNED, *[FORWARD] * 2)) if m.code == "roll"]
    (mark,) = found
    assert mark.message.startswith("measure 6 departs from the tune's roll: strings 1 and 5 are")
    assert mark.mend == "strings 3 2 5 1 3 2 5 1"
    # Line 11 is the first row of the second system; its second measure begins in column 21.
    assert (mark.place.line, mark.place.column) == (11, 34)


# The second and third strokes the other way round: 3 5 2 1 3 2 5 1.
TURNED_EARLY = (
    "-------0-------0-",
    "-----0-----0-----",
    "-0-------0-------",
    "-" * 17,
    "---0---------0---",
)


def test_each_measure_that_departs_is_marked_by_itself() -> None:
    measures = [FORWARD] * 9
    measures[2], measures[6] = TURNED, TURNED_EARLY
    found = [m.message for m in marks(rolled(*measures)) if m.code == "roll"]
    assert [message.partition(" departs")[0] for message in found] == ["measure 3", "measure 7"]
    assert "strings 1 and 5 are" in found[0]
    assert "strings 2 and 5 are" in found[1] or "strings 5 and 2 are" in found[1]


def test_what_the_typist_repeats_is_no_departure() -> None:
    assert "roll" not in {m.code for m in marks(rolled(*[FORWARD] * 4, TURNED, TURNED))}


def _with_ending(second: str) -> str:
    lines = CLEAN.split("\n")
    for index in range(6, 11):
        lines[index] = lines[index][:-1] + ":|"
    lines[5] = "   G                 C                 G                 1."
    lines[12] = second
    return "\n".join(lines)


def test_a_first_ending_wants_a_second() -> None:
    (mark,) = [m for m in marks(_with_ending("   G                 C")) if m.code == "ending"]
    assert "(1.) stands over measure 4, and no second one comes after it" in mark.message
    assert mark.mend.startswith("2. over the measure after the repeat")
    assert "ending" not in {m.code for m in marks(_with_ending("   2.                C"))}


def test_a_lacking_dash_has_its_measure_its_place_and_its_mend() -> None:
    text = CLEAN.replace(
        "B|---0-------0-----|---1-------1-----|", "B|---0-------0-----|---1------1-----|", 1
    )
    (mark,) = marks(text)
    assert (mark.code, mark.place.line, mark.place.column) == ("rows-out-of-step", 8, 21)
    assert mark.message.startswith("in measure 2 this row has 1 character too few")
    assert mark.mend == "one dash more in this row, before the 1 in column 31"


def test_a_bar_that_one_row_lacks_is_marked_where_it_lacks() -> None:
    text = CLEAN.replace("D|-----0-------0---|-----2", "D|-----0-------0---------2", 1)
    (mark,) = [m for m in marks(text) if m.code == "bars-differ"]
    assert (mark.place.line, mark.place.column) == (7, 20)


def test_rows_that_are_exchanged_are_said_instead_of_what_looks_wrong_then() -> None:
    lines = CLEAN.split("\n")
    # A third system, so that it is clear which of them is wrong.
    lines += lines[5:11]
    a, b = lines[13], lines[14]
    lines[13], lines[14] = a[:1] + b[1:], b[:1] + a[1:]
    found = [m for m in marks("\n".join(lines)) if 12 <= m.place.line <= 17]
    assert [m.code for m in found] == ["rows-exchanged"]


def test_with_a_capo_names_of_shapes_are_said_once() -> None:
    text = CLEAN.replace("Key: G", "Capo: 2")
    (mark,) = [m for m in marks(text) if m.code == "chord"]
    assert "with the capo at fret 2, G sounds A" in mark.message
    assert mark.mend.startswith("the names that sound (A for G)")
    # Sounding names: G, C and D7 are A, D and E7 under the capo.
    for old, new in (("D7", "E7"), ("   C  ", "   D  "), ("G   ", "A   "), (" G\n", " A\n")):
        text = text.replace(old, new)
    assert "chord" not in {m.code for m in marks(text)}


def test_a_minor_of_a_modal_tune_is_no_seventh() -> None:
    """G, D, F and C under Gm in sawmill: there is no third, so it is no G7."""
    text = (
        "Title: Cold Weir\nTuning: sawmill\nTime: 4/4\n\n   Gm\n"
        "D|-----0---3---0---|\nC|---0-------0-----|\nG|-0-------------0-|\n"
        "D|-------0---------|\ng|-----------------|\n"
    )
    assert [m for m in marks(text) if m.code == "chord"] == []


def test_an_extra_eighth_is_half_a_beat_too_long() -> None:
    long = tuple(row + ("0-" if string == 2 else "--") for string, row in enumerate(FORWARD))
    found = [m for m in marks(rolled(*[FORWARD] * 5, long, *[FORWARD] * 2)) if m.code == "length"]
    (mark,) = found
    assert mark.message == (
        "measure 6 is half a beat too long: it has 4 1/2 beats where 4/4 has 4 beats"
    )


def test_a_crooked_tune_has_measures_of_other_lengths() -> None:
    long = tuple(row + ("0-" if string == 2 else "--") for string, row in enumerate(FORWARD))
    text = rolled(*[FORWARD] * 5, long, *[FORWARD] * 2)
    text = text.replace("Time: 4/4", "Time: 4/4\n\nThis tune is crooked.")
    assert "length" not in {m.code for m in marks(text)}
