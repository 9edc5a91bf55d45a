"""H, P and S over the notes in place of signs in the rows. Common practice, no source: a hammer-on
sounds a higher fret of the same string, a pull-off a lower one."""

from __future__ import annotations

import pytest

import rollstave

SYSTEM = """D|-0-2-----0---|-4-2-----0---|
B|-------1-----|-------1-----|
G|-----0-----0-|-2-4-0-----0-|
D|-------------|-------------|
g|-----------0-|-----------0-|
"""
LEGEND = "H = hammer-on, P = pull-off, S = slide (over the note)\n"


def _links(text: str) -> list[list[str]]:
    (tune,) = rollstave.read(text)
    return [
        [f"{n.string}:{n.fret}{n.link.value[0]}" for e in m.events for n in e.notes if n.link]
        for m in tune.score.measures
    ]


@pytest.mark.parametrize(
    "legend", ["", LEGEND, "The H, P and S over notes: hammer, pull, slide.\n"]
)
@pytest.mark.parametrize("letters", ["HP", "hp", ("ho", "po")])
def test_letters_over_notes_are_slurs_to_them(legend: str, letters: str) -> None:
    one, other = letters
    over = " " * 5 + one.ljust(14) + other
    assert _links(f"Title: Tar Bucket\n{legend}\n{over}\n{SYSTEM}") == [["1:2h"], ["1:2p"]]


def test_a_slide_takes_the_string_that_moves() -> None:
    found = _links(f"Title: Tar Bucket\n{LEGEND}\n{' ' * 19}S\n{SYSTEM}")
    assert found == [[], ["1:2s", "3:4s"]]


def test_a_letter_that_no_note_is_reached_by_is_said() -> None:
    over = " " * 9 + "H"
    (tune,) = rollstave.read(f"Title: Tar Bucket\n{LEGEND}\n{over}\n{SYSTEM}")
    (said,) = [p for p in tune.problems if p.code == "stray"]
    assert said.place is not None
    assert said.place.line == 4


@pytest.mark.parametrize("over", ["         S", "     S", "     h       h"])
def test_without_a_legend_other_letters_are_no_slurs(over: str) -> None:
    assert _links(f"Title: Tar Bucket\n\n{over}\n{SYSTEM}") == [[], []]


def test_letters_under_notes_are_slurs_to_them() -> None:
    """Told by a legend, also one alone; without it two that fit. Nobody sings them."""
    for legend, under in ((LEGEND, " " * 5 + "H"), ("", " " * 5 + "H" + " " * 13 + "P")):
        text = f"Title: Tar Bucket\n{legend}\n{SYSTEM}{under}\n"
        found = _links(text)
        assert found[0] == ["1:2h"]
        assert found[1] == ([] if legend else ["1:2p"])
        (tune,) = rollstave.read(text)
        assert not any(e.lyric for m in tune.score.measures for e in m.events)
