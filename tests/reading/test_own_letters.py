"""Letters and signs of the striking hand, by the tab's own legend.

What the letters mean is what each legend says; that an arrow is a brush is common practice of
typists, no source.
"""

from __future__ import annotations

import pytest

import rollstave

HEAD = "Ferry Bell\nTuning: gDGBD\nTime: 4/4\n\n"
ROWS = """\
D|-----0-------0---|-----2-------2---|
B|-----0-------0---|-----1-------1---|
G|-0-------2-------|-0-------2-------|
D|-----------------|-----------------|
g|-------0-------0-|-------0-------0-|
"""
LETTERS = "   {n}   {b} {t} {n}   {b} {t}   {n}   {b} {t} {n}   {b} {t}\n"


def _struck(tune: rollstave.Tune) -> list[str]:
    """For each event its finger, as it is typed, or a brush."""
    found = []
    for event in (e for m in tune.score.measures for e in m.events):
        typed = {n.finger.value for n in event.notes if n.finger and not n.inferred_finger}
        found.append("brush" if event.brush else "".join(typed))
    return found


@pytest.mark.parametrize("over", [False, True])
@pytest.mark.parametrize(
    ("legend", "letters"),
    [
        ("f = finger, t = thumb, b = brush down", ("f", "b", "t")),
        ("N = nail     B = brush     T = thumb string      2 columns = 1 eighth", ("N", "B", "T")),
        ("x is the index, y is a strum, z is my thumb", ("x", "y", "z")),
    ],
)
def test_letters_mean_what_the_legend_says(
    legend: str, letters: tuple[str, str, str], over: bool
) -> None:
    line = LETTERS.format(**dict(zip("nbt", letters, strict=True)))
    (tune,) = rollstave.read(
        f"{HEAD}{legend}\n\n{line if over else ''}{ROWS}{'' if over else line}"
    )
    assert _struck(tune) == ["I", "brush", "T"] * 4
    assert not [p for p in tune.problems if p.severity is rollstave.Severity.WARNING]


def test_letters_of_a_legend_that_are_common_stay() -> None:
    line = LETTERS.format(n="I", b="M", t="T")
    (tune,) = rollstave.read(f"{HEAD}I = index, M = middle, T = thumb\n\n{ROWS}{line}")
    assert _struck(tune) == ["I", "M", "T"] * 4
    assert "legend" not in {p.code for p in tune.problems}


def test_strokes_at_single_notes_are_kept() -> None:
    rows = ROWS.replace("B|-----0-------0---|-----1-------1---|", "B|" + ("-" * 17 + "|") * 2)
    line = LETTERS.format(n="v", b="^", t="v")
    (tune,) = rollstave.read(f"{HEAD}{rows}{line}")
    assert not [p for p in tune.problems if p.severity is rollstave.Severity.WARNING]
    events = [e for m in tune.score.measures for e in m.events if e.notes]
    assert "".join("D" * e.down_stroke + "U" * e.up_stroke for e in events) == "DUD" * 4
    (tune,) = rollstave.read(f"{HEAD}{ROWS}" + LETTERS.format(n=" ", b="v", t=" "))
    assert not [p for p in tune.problems if p.severity is rollstave.Severity.WARNING]
    assert _struck(tune).count("brush") == 4
