"""Letters, counts and chord names that stand off their notes. Common practice, no source."""

from __future__ import annotations

from fractions import Fraction

import pytest

import rollstave

ROLL = ("----0-------0---", "--0-------0-----", "0-------0-------", "-" * 16, "------0-------0-")
HEAD = "Title: Ferry Bell\nTuning: gDGBD\nTime: 4/4\n\n"


def _tune(*, above: str = "", below: str = "", measures: int = 3, pad: str = "") -> rollstave.Score:
    rows = ["|" + "|".join([pad + row] * measures) + "|" for row in ROLL]
    lines = [line for line in (above, *rows, below) if line]
    (tune,) = rollstave.read(HEAD + "\n".join(lines) + "\n")
    assert not [p for p in tune.problems if p.severity is rollstave.Severity.WARNING]
    return tune.score


def _chords(score: rollstave.Score) -> list[list[tuple[Fraction, str]]]:
    return [[(c.onset, c.text) for c in m.chords if not c.inferred] for m in score.measures]


@pytest.mark.parametrize(
    "above",
    [
        " G" + " " * 16 + "C" + " " * 16 + "D7",  # over the first notes
        "   G" + " " * 16 + "C" + " " * 16 + "D7",  # two columns off, where other notes stand
        "    G" + " " * 16 + "C" + " " * 16 + "D7",
        "  G" + " " * 17 + "C" + " " * 17 + "D7",  # steps wider than the measures
        "       G" + " " * 16 + "C" + " " * 16 + "D7",  # over the middle of every measure
    ],
)
def test_a_row_of_names_by_measure(above: str) -> None:
    assert _chords(_tune(above=above)) == [[(0, "G")], [(0, "C")], [(0, "D7")]]


def test_names_inside_a_measure_stay_where_they_are() -> None:
    # Two in one measure: the second at its middle; a lone one far from the beginning.
    above = " G       C" + " " * 16 + "D7"
    assert _chords(_tune(above=above)) == [[(0, "G"), (2, "C")], [(2, "D7")], []]


def _letters(score: rollstave.Score) -> list[str]:
    return ["".join(n.finger.value for e in m.events for n in e.notes) for m in score.measures]


@pytest.mark.parametrize("off", [-1, 0, 1, 2, 3])
@pytest.mark.parametrize("gap", [3, 4])
def test_as_many_letters_as_notes(off: int, gap: int) -> None:
    group = "T I M T M I T M"
    below = " " * (2 + off) + (" " * gap).join([group] * 3)
    found = _letters(_tune(below=below, pad="-"))
    assert found == ["TIMTMITM"] * 3


@pytest.mark.parametrize("off", [-1, 1, 2])
def test_counts_beside_their_notes(off: int) -> None:
    group = "1 & 2 & 3 & 4 &"
    score = _tune(above=" " * (2 + off) + "   ".join([group] * 3), pad="-")
    for measure in score.measures:
        assert [e.onset for e in measure.events] == [Fraction(i, 2) for i in range(8)]


JIG = """Title: Otter's Jig
Tuning: gDGBD
Time: 6/8

{counts}
|-0-------0---|---0-----0---|-----0-------|
|---0-------0-|-0-----0-----|-----------0-|
|-------0-----|-----------0-|-0-----0-----|
|-------------|-------------|-------------|
|-----0-------|-----0-------|---0-----0---|
"""


@pytest.mark.parametrize("off", [1, 2, 3, 4])
@pytest.mark.parametrize("group", ["1 2 3 4 5 6", "1 2 3  4 5 6"])
def test_a_jig_counted_to_six(off: int, group: str) -> None:
    """The counts decide by their order; in the last measure of each row nothing else is wrong."""
    counts = " " * off + "   ".join([group] * 3)
    (tune,) = rollstave.read(JIG.format(counts=counts))
    halves = [[e.onset * 2 for e in m.events] for m in tune.score.measures]
    assert halves == [[0, 1, 2, 3, 4, 5]] * 3


def test_counts_with_no_note_on_any_one_are_not_off() -> None:
    """A chop strikes on 2 and rests on 1 (common practice): each note has its count."""
    rows = ("E|:-----3---|-----0---:|", "A|:-----2---|-----3---:|", "D|:-----0---|-----2---:|")
    counts = "    1   2     1   2"
    head = "Instrument: mandolin\nTuning: GDAE\nTime: 2/4\n"
    (tune,) = rollstave.read("\n".join([head, *rows, "G|:---------|---------:|", counts, ""]))
    struck = [[e.onset for e in m.events if e.notes] for m in tune.score.measures]
    assert struck == [[1], [1]]


def test_counts_before_their_notes_do_not_begin_on_a_bar() -> None:
    # Every note stands between two counts; one column to the left, the 1 would be on the bar.
    one = ("----2---0-------", "0---------------", "-" * 16, "-" * 16, "------------0---")
    two = ("-2---2---0-------", "---------1---0---", "-" * 17, "-" * 17, "-------0---------")
    rows = ["|" + "|".join(pair) + "|" for pair in zip(one, two, strict=True)]
    group = "1 + 2 + 3 + 4 +"
    text = HEAD + "\n".join([*rows, f" {group}  {group}"]) + "\n"
    (tune,) = rollstave.read(text)
    onsets = [e.onset for e in tune.score.measures[1].events if e.notes]
    assert onsets == [0, 1, Fraction(3, 2), 2, 3]


def test_a_word_to_sing_behind_the_last_note_is_sung_while_it_is_held() -> None:
    rows = ("0---2---4---6---|0---------------", *["-" * 16 + "|" + "-" * 16] * 4)
    text = HEAD + "\n".join(f"|{row}|" for row in rows)
    text += "\n low a-  way and  still    and gray\n"
    (tune,) = rollstave.read(text)
    sung = [[e.lyric for e in m.events if e.notes] for m in tune.score.measures]
    assert sung == [["low", "a-", "way", "and"], ["still and gray"]]
    assert "stray" not in [p.code for p in tune.problems]


def test_a_further_phrase_begins_with_a_pickup_as_the_tune_does() -> None:
    # Common practice, no source: the last measure of a phrase gives its beat to the pickup.
    def system(last: str) -> str:
        cells = ("--", "0---2---", "4---2---", last)
        rows = ("0-|--------|--------|" + "-" * len(last), "|".join(cells))
        empty = "|".join("-" * len(cell) for cell in cells)
        return "".join(f"|{row}|\n" for row in (rows[1], rows[0], *[empty] * 3))

    (tune,) = rollstave.read(f"{HEAD}{system('0-------')}\n{system('0-----')}")
    assert [m.length for m in tune.score.measures] == [1, 4, 4, 4, 1, 4, 4, 3]
    assert "measure-length" not in [p.code for p in tune.problems]
