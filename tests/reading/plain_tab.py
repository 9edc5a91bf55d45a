"""A small plain tab of two measures, beside which the same is typed otherwise, and its music."""

from __future__ import annotations

import rollstave

HEAD = "Larkspur Landing\n\nTuning: gDGBD\nTime: 4/4\n\n"
ROWS = """D|-------0-------0-|-------2-------2-|
B|---0-------0-----|---1-------1-----|
G|-0-------0-------|---------0-------|
D|-----------------|-2---------------|
g|-----0-------0---|-----0-------0---|
"""


def tune_of(text: str) -> rollstave.Tune:
    (tune,) = rollstave.read(text)
    return tune


def music(text: str) -> list[list[tuple[str, int, int | None, str]]]:
    """For each measure the onset, string, fret and link of each note."""
    return [
        [
            (str(e.onset), n.string, n.fret, n.link.value if n.link else "")
            for e in m.events
            for n in e.notes
        ]
        for m in tune_of(text).score.measures
    ]
