"""The title of the first tune is chosen among all that its head may name.

Common practice, no source: what people set over a tune and around its name. All names are invented.
"""

from __future__ import annotations

import pytest

import rollstave

ROWS = """\
D|0-------2-------|0-------2-------|
B|----1-------0---|----1-------0---|
G|--0-------0-----|--0-------0-----|
D|----------------|----------------|
g|------0-------0-|------0-------0-|
"""
FACTS = "Tuning: gDGBD, Key: G, 4/4"


def _read(head: str) -> rollstave.Tune:
    return rollstave.read(f"{head}\n\n{ROWS}", name="a file")[0]


def _loud(tune: rollstave.Tune) -> list[str]:
    warning = rollstave.Severity.WARNING
    return [p.message for p in tune.problems if p.code == "title-line" and p.severity is warning]


@pytest.mark.parametrize(
    ("over", "line"),
    [
        ("MARSH END STRUMMERS, Thursday, back room of the Kettle", "song no. 4: {}"),
        ("Practice for Odile, 5th week", "My second tune: {}"),
        ("SONG OF THE WEEK", '"{}" by Odile Farrant'),
        ("Summer concert in the cider barn", '"{}", a march by Odile Farrant'),
    ],
)
def test_what_heads_a_page_is_no_title(over: str, line: str) -> None:
    tune = _read(f"{over}\n\n{line.format('The Candle Snuffer')}\n{FACTS}")
    assert tune.score.title == "The Candle Snuffer"
    kept = " ".join(tune.score.notes)
    assert all(word in kept for word in over.replace(",", "").split())
    assert not _loud(tune)
    assert [p for p in tune.problems if p.code == "title-line"]  # it is told all the same


def test_what_stands_around_the_chosen_name_is_kept() -> None:
    tune = _read(f'SONG OF THE WEEK\n\nfor us all: "The Candle Snuffer" by Odile Farrant\n{FACTS}')
    assert tune.score.title == "The Candle Snuffer"
    assert tune.score.composer == "Odile Farrant"
    assert {"SONG OF THE WEEK", "for us all"} <= set(tune.score.notes)


def test_a_title_that_says_so_is_never_chosen_again() -> None:
    tune = _read(f'Title: Song of the Week\n\n"The Candle Snuffer" by Odile Farrant\n{FACTS}')
    assert tune.score.title == "Song of the Week"


def test_of_two_names_the_choice_is_a_warning() -> None:
    tune = _read("Odile Farrant\n\nThe Candle Snuffer")
    (said,) = _loud(tune)
    assert "Odile Farrant" in said
    assert "The Candle Snuffer" in said


def test_a_name_at_the_top_stays_the_title() -> None:
    tune = _read(f"The Candle Snuffer\nfor the Thursday class, room 4\n{FACTS}")
    assert tune.score.title == "The Candle Snuffer"
    assert not _loud(tune)


def test_where_no_name_is_a_title_is_doubted() -> None:
    """A night nurse typed so, and meant that the tune has no name."""
    head = "heres the banjo tune the porter was playing, dont know what its called"
    tune = _read(f"hiya its me, just off nights so excuse the state of this\n\n{head}")
    assert _loud(tune)


def test_a_name_that_is_hardly_likelier_than_others_is_told() -> None:
    """Nell Varga is a pupil, and the typist meant Goodbye, Pantry."""
    tune = _read("Nell Varga\nukulele comp class, assignment 3\n\nGoodbye, Pantry\n\n96 bpm")
    assert tune.score.title in ("Nell Varga", "Goodbye, Pantry")
    assert any("Goodbye, Pantry" in said for said in _loud(tune))
