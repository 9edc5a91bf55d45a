"""Texts that fuzzing found to be read wrongly (``python -m tests.benchmarks.fuzzing``).

That notes of one string follow one another in time is common practice, no source.
"""

from __future__ import annotations

import pytest

import rollstave

SIGN_FOR_A_GAP = """
D+-----0-------0---+-----2-------2---+
B+---0-------1-----+---0-------1-----+
++-0------2-2h4-----+
D+-----------------+-----------------+
g+-------0-------0-+-------0-------0-+
"""
RAGGED = """
|-----0-------0---|-----2h4-------2---|
---
|-|---2h4|
---
-------0-------0-|----0
"""


# Two rows of the four that end it leave no measure between their bars, and a count stands below.
WITHOUT_A_MEASURE = """
c|9-9---------|0--------------|
g|------5---7-|9---7-5--------|
c|----9-------|--------9-12-11|
g|------------|---------------|
c|--:|-|
c|9-:|0|
g|--:|-|
1"""


@pytest.mark.parametrize("text", [SIGN_FOR_A_GAP, RAGGED])
def test_no_two_columns_have_one_onset(text: str) -> None:
    """A sign may take all the room between two notes; they are still two, one after the other."""
    tunes = rollstave.read(text)
    measures = [m for tune in tunes for m in tune.score.measures]
    assert sum(len(m.events) for m in measures) > 4
    for measure in measures:
        assert all(event.duration > 0 for event in measure.events)


def test_a_line_of_counts_below_rows_without_a_measure_is_no_failure() -> None:
    (tune,) = rollstave.read(WITHOUT_A_MEASURE)
    assert len(tune.score.measures) == 2
    assert "'1'" in " ".join(problem.message for problem in tune.problems)


def test_a_key_in_capitals_is_read() -> None:
    """KEY OF BB is B flat: two flats (common practice, no source)."""
    (tune,) = rollstave.read("KEY: BB\n" + SIGN_FOR_A_GAP)
    assert (tune.score.key.tonic, tune.score.key.fifths) == ("Bb", -2)


# Rows that are left out as words stand in the text that is written, and must not be rows there; a
# measure may be as long as the columns say.
WRITTEN = (
    (
        b"Ke3ey: G|:\nTime: 4/|:4\n|:> \nL|:H 213 1|:  2\nD|-----0-------0"
        b"-----%2--\xd6\xf5---\r2---|\nB|---0-------1------0-------1-----| D.C"
        b".\nG|-0-------2-----0-----N.C.h4-----|\nD|--------------------"
        b"---------|\ng|m\xe2\x80\xae------0-------0------0-------0-|\n"
    ),
    (
        b"Key: G\nTime: 4/4\n\n   C    !    !       F                \nD|-"
        b"--------5------|---------7-------|\nB|---5---5---5--5-|---6--"
        b"-6---6---6-|\nG|-5--------------|-5--------------------------"
        b"------------|\nC|---I---------0--|-------------0---|\ng|-----0"
        b"----------|---\xbfV\xb8-0-----------|\n   T I T I M I TI   T I T I "
        b"M I T |] \nC|---I-------Tempo:-------------0---|\ng|-----0----"
        b"------|---\xbfV\xb8-0-----------|\n\n\n   C    !    !       F        "
        b"        \nD|---------5------|---------7-------|\nB|---5---5---"
        b"5--5-|---6---6---6---6-|\nG|-5--------------|-5--------------"
        b"------------------------|\nC|---I---\xf0\x9f\xaa\x95-----0---|-----------"
        b"--0---|\ng|-----0-\xf0\x9f\xaa\x95---------|---\xbfV\xb8-0-----------|"
    ),
    (
        b"Key: G\nTime: \n\n    C   C    \xa0G     -2- \nE|:-3-|2s4---0------"
        b"---|\nA|||:---|-3--------------------------------------------"
        b"---------------------3-2---0-|\nD|||:---|-------------|\nG|||:"
        b"---|---=---------|\n||\n>|| "
    ),
)


@pytest.mark.parametrize("data", WRITTEN)
def test_what_is_written_is_read_again(data: bytes) -> None:
    for tune in rollstave.read(data):
        (xml,) = rollstave.write(tune, "musicxml")
        assert rollstave.read(xml)
        (text,) = rollstave.write(tune, "text")
        (again,) = rollstave.read(text)
        assert len(again.score.measures) == len(tune.score.measures)
        assert len(again.score.notes) == len(tune.score.notes)


def test_a_line_that_says_it_is_a_remark_is_nothing_else() -> None:
    (tune,) = rollstave.read("Remark: Key: A, D|--0--|--2--|\n" + SIGN_FOR_A_GAP)
    assert tune.score.notes[0] == "Key: A, D|--0--|--2--|"
    assert tune.score.key.tonic != "A"
