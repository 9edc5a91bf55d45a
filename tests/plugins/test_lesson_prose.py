"""A teacher's own remarks stand in the part of the lesson that they speak of.

The tabs and their remarks are invented, and each remark was put into its part by a person first
(common practice, no source).
"""

from __future__ import annotations

import pytest

import rollstave
from rollstave import Part, Score
from rollstave_teaching import lesson

ROLLED = """\
    C                 F                 C                 G
D|-------2-------2-|-------3-------3-|-------2-------2-|-------0-------0-|
B|---1-------1-----|---1-------1-----|---1-------1-----|---0-------0-----|
G|-0-------0-------|-2-------2-------|-0-------0-------|-0-------0-------|
C|-----------------|-----------------|-----------------|-----------------|
g|-----0-------0---|-----0-------0---|-----0-------0---|-----0-------0---|
"""
PLAIN = """\
D|-0---2---4---5---|-4---2---0-------|
B|-----------------|-----------------|
G|-----------------|-----------------|
C|-----------------|-----------------|
g|-----------------|-----------------|
"""
# The title, the remarks over the music, those under it, each with its part.
TABS: dict[str, tuple[tuple[tuple[str, str], ...], tuple[tuple[str, str], ...]]] = {
    "The Heron's Gate": (
        (("Tune the fourth string down before the others.", "Tune up"),),
        (("Repeat the last two measures, very softly.", "The phrases"),),
    ),
    "Willow Bridge": (
        (("The thumb plays on every beat and the index answers it.", "The right hand"),),
        (("Leave the first finger down when you go from C to F.", "The changes"),),
    ),
    "Cold Harbour Lane": (
        (("Put the middle finger on the second fret before you begin.", "The chords"),),
        (("Brush downwards with the nails on the second beat.", "The right hand"),),
    ),
    "Tin Kettle": (
        (("Hold each chord as long as it lasts.", "The chords"),),
        (("The two pickup notes belong to the second time round.", "The phrases"),),
    ),
    "Marsh Lights": (
        (("Sing it once before you play it.", "The whole tune"),),
        (("Pluck strings 1 and 2 together at the close.", "The right hand"),),
    ),
    "Apple Loft": (
        (("Check the fifth string after tuning, for it drifts.", "Tune up"),),
        (("The same shape moves up two frets for the second strain.", "Up the neck"),),
    ),
    "Three Ferrymen": (
        (("Keep the wrist still and let the drone ring.", "The right hand"),),
        (("The second phrase is a question.", "The phrases"),),
    ),
    "The Copper Bell": (
        (("Hammered in the smithy of Larkspur Ferry, they say.", "The whole tune"),),
        (("The thumb frets the short string here.", "The chords"),),
    ),
    "Windfall": (
        (("Pick the strings near the bridge for a bright sound.", "The right hand"),),
        (("Practise the change from C to F by itself.", "The changes"),),
    ),
    "Slack Water": (
        (("Anchor two fingers on the head, lightly.", "The right hand"),),
        (("Further up the neck it sounds sweeter.", "Up the neck"),),
    ),
}


def score_of(title: str, over: str, music: str, under: str) -> Score:
    head = f"Title: {title}\nTuning: gCGBD\nKey: C\nTime: 4/4\n"
    (tune,) = rollstave.read("\n".join([head, over, "", music, under, ""]))
    return tune.score


def said(parts: tuple[Part, ...]) -> dict[str, list[str]]:
    """The teacher's paragraphs by the part that they stand in."""
    return {
        part.name: [b.text for b in part.blocks if getattr(b, "teacher", False)]  # type: ignore[union-attr]
        for part in parts
    }


@pytest.mark.parametrize("title", TABS)
def test_each_remark_stands_in_its_part_and_nowhere_else(title: str) -> None:
    over, under = TABS[title]
    score = score_of(
        title, "\n".join(w for w, _ in over), ROLLED, "\n".join(words for words, _ in under)
    )
    found = said(lesson(score).parts)
    for words, name in (*over, *under):
        where = [part for part, texts in found.items() for text in texts if text.endswith(words)]
        assert where == [name], (words, found)


def test_a_remark_of_a_part_that_is_left_out_is_not_lost() -> None:
    """Without chords and without a roll there is no part of either: the tune keeps the words."""
    words = "The thumb plays on every beat and the index answers it."
    score = score_of("Plain Song", words, PLAIN, "Practise the change from C to F by itself.")
    parts = lesson(score).parts
    assert "The changes" not in [part.name for part in parts]
    everywhere = [text for paragraphs in said(parts).values() for text in paragraphs]
    assert len(everywhere) == 2
    assert any("change from C to F" in text for text in said(parts)["The whole tune"])
