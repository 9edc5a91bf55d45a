"""The order of the chords, and the shapes they are held with."""

from __future__ import annotations

from collections.abc import Mapping

from rollstave import Bar, Chart, ChartBar, Part, Score, Shapes, Words, shape_row
from rollstave_teaching.held import Strain, chords_by_measure, strains, stretches
from rollstave_teaching.prose import words_of


def chords(score: Score) -> Part | None:
    """The shapes in the order in which they come, and the chart. None where no chord is known."""
    named = chords_by_measure(score)
    if not any(named):
        return None
    blocks: list[Words | Shapes | Chart] = [*words_of(score, "chords")]
    shapes = shape_row(score)
    if shapes:
        blocks.append(
            Words(
                "The chords in the order in which they come; the numbers under a shape are the "
                "fingers of the left hand, 1 for the index finger."
            )
        )
        blocks.append(Shapes(shapes=shapes))
        said = ["The fingers are suggestions."]
        if any(shape.suggested for shape in shapes):
            said.append(
                "A name in italics has a suggested shape: the tune never holds that chord plainly."
            )
        if any(shape.partial for shape in shapes):
            said.append("A string without a sign is no part of the shape.")
        blocks.append(Words(" ".join(said), inferred=True))
        if caution := stretches(shapes):
            blocks.append(Words(caution))
    blocks.append(Words("The order of the chords, measure by measure:"))
    if names_inferred(score):
        blocks.append(Words("The names are worked out from the notes.", inferred=True))
    blocks += [chart_of(score, strain) for strain in strains(score)]
    return Part(name="The chords", blocks=tuple(blocks))


def names_inferred(score: Score) -> bool:
    """True if the typist named no chord."""
    names = [c for m in score.measures for c in m.chords]
    return bool(names) and all(c.inferred for c in names)


def chart_of(score: Score, strain: Strain, under: Mapping[int, str] | None = None) -> Chart:
    """The chart of a strain, with what stands under its measures."""
    named = chords_by_measure(score)
    bars = []
    for measure in score.measures[strain.begin : strain.end]:
        if not measure.number and not named[measure.index]:
            continue  # a pickup leads into the chart
        bars.append(
            ChartBar(
                number=measure.number,
                chords=named[measure.index],
                under=(under or {}).get(measure.index, ""),
                left=measure.left is Bar.REPEAT_START,
                right=measure.right is Bar.REPEAT_END,
                ending=measure.ending or "",
            )
        )
    return Chart(bars=tuple(bars), name=strain.name)
