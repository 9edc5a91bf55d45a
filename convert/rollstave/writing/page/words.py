"""What stands around the music: how to tune, the signs and rolls, what was worked out and why."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lxml import etree
from msgspec import Struct

from rollstave.deciding.retuning import CAUTION as STRING_CAUTION
from rollstave.deciding.retuning import retuned
from rollstave.deciding.rolls import first_uses
from rollstave.deciding.shape_row import shape_row
from rollstave.deciding.shapes import CAUTION as HAND_CAUTION
from rollstave.deciding.shapes import NamedShape
from rollstave.instruments.instrument import Instrument
from rollstave.score.records import Score
from rollstave.vocabulary.headings import Stands
from rollstave.writing.headings import head_lines
from rollstave.writing.options import SheetOptions
from rollstave.writing.page.slim import Slimmer
from rollstave.writing.sheet.chordrow import places_of
from rollstave.writing.sheet.diagram import HEIGHT, ON_A_PAGE, PLACE_LINE, draw_diagram, width_of
from rollstave.writing.sheet.drawing import number, with_signs
from rollstave.writing.sheet.engraving import SVG
from rollstave.writing.sheet.foot import paragraphs
from rollstave.writing.sheet.head import (
    capo_line,
    manner_line,
    tuning_line,
    with_signs_of_tuning,
)
from rollstave.writing.sheet.key import SIGNS, features
from rollstave.writing.xml import root_element

_SIGN_BOX = (0.0, -250.0, 260.0, 320.0)  # left, top, width, height of a drawn sign, in units


class SignShown(Struct, frozen=True):
    """A sign of the key: a word, or a drawing as SVG, and what it means."""

    words: str
    sample: str = ""
    drawing: str = ""


class Words(Struct, frozen=True):
    """Everything that is said around the music; lines of plain text unless it says SVG."""

    facts: tuple[str, ...]
    retuning: tuple[str, ...]
    caution: str
    credits: tuple[str, ...]
    shapes: tuple[tuple[str, str], ...]
    shapes_caution: str
    notes: tuple[str, ...]
    rolls: tuple[tuple[str, str], ...]
    signs: tuple[SignShown, ...]
    unsure: tuple[str, ...]
    suggested: str


def words_of(score: Score, options: SheetOptions, slimmer: Slimmer) -> Words:
    """The words of a score's page."""
    facts = [with_signs_of_tuning(tuning_line(score)), with_signs(capo_line(score))]
    facts.append(manner_line(score))
    changes = retuned(score.setup)
    shapes = shape_row(score) if options.chord_row else ()
    return Words(
        facts=tuple(line for line in facts if line),
        retuning=tuple(_retuning(score)),
        caution=STRING_CAUTION if any(change.semitones > 0 for change in changes) else "",
        credits=head_lines(score, Stands.RIGHT),
        shapes=tuple(_shapes(score, shapes, slimmer)),
        shapes_caution=_shapes_caution(shapes),
        notes=tuple(paragraphs(score)),
        rolls=tuple((use.name, " ".join(use.fingers)) for use in first_uses(score.measures)),
        signs=tuple(_signs(score, options, slimmer)),
        unsure=tuple(_unsure(score)),
        suggested=_suggested(score),
    )


def _retuning(score: Score) -> Iterator[str]:
    """One line for each string that is tuned otherwise than usual."""
    for change in retuned(score.setup):
        size = abs(change.semitones)
        steps = f"{size} semitone{'s' if size > 1 else ''}"
        way = "up" if change.semitones > 0 else "down"
        usual, wanted = with_signs(str(change.usual)), with_signs(str(change.wanted))
        yield f"string {change.string} {way} {steps}, from {usual} to {wanted}"


def _shapes(
    score: Score, shapes: Sequence[NamedShape], slimmer: Slimmer
) -> Iterator[tuple[str, str]]:
    """Each shape in words and drawn, all of one height."""
    places = places_of(score, ON_A_PAGE) if shapes else {}
    most = max((len(lines) for lines in places.values()), default=0)
    for held in shapes:
        lines = places.get(held, ())
        where = " ".join(lines).replace("mm.", "measures").replace("m.", "measure")
        words = ", ".join((shape_words(held), where))
        drawn = diagram_of(held, score.setup.instrument, slimmer, lines, most)
        yield words.removesuffix(", "), drawn


def shape_words(held: NamedShape) -> str:
    """A shape in words, string 1 first."""
    frets = ", ".join("not played" if f is None else str(f) if f else "open" for f in held.frets)
    kind = " (suggested)" if held.suggested else ""
    return f"{with_signs(held.name)}{kind}, from string 1: {frets}"


def diagram_of(
    held: NamedShape,
    instrument: Instrument,
    slimmer: Slimmer,
    places: Sequence[str] = (),
    most: int = 0,
) -> str:
    """A shape as a small SVG, with the lines that say where it is held and room for so many."""
    group = root_element(f"{{{SVG}}}g", {None: SVG})
    draw_diagram(group, held, instrument, 0.0, 0.0, places=places)
    height = HEIGHT + 60 + most * PLACE_LINE
    return _drawing(group, (0.0, 0.0, width_of(instrument), height), slimmer)


def _drawing(
    group: etree._Element, box: tuple[float, float, float, float], slimmer: Slimmer
) -> str:
    """A small drawing as an SVG that says nothing by itself: its words stand beside it."""
    view = " ".join(number(value) for value in box)
    size = f'width="{box[2] / 100:.1f}mm" height="{box[3] / 100:.1f}mm"'
    drawn = slimmer.slimmed(group)
    return f'<svg class="small" viewBox="{view}" {size} aria-hidden="true">{drawn}</svg>'


def _shapes_caution(shapes: tuple[NamedShape, ...]) -> str:
    if not any(any(held.frets) for held in shapes):
        return ""
    return f"The fingers of the shapes are suggestions. {HAND_CAUTION}"


def _signs(score: Score, options: SheetOptions, slimmer: Slimmer) -> Iterator[SignShown]:
    """The signs that stand on this page, as the printed sheet explains them."""
    used = features(score, options)
    for sign in SIGNS:
        if sign.feature not in used:
            continue
        if isinstance(sign.sample, str):
            yield SignShown(sign.words, sample=sign.sample)
        else:
            group = root_element(f"{{{SVG}}}g", {None: SVG})
            sign.sample(group, 0.0, 0.0)
            yield SignShown(sign.words, drawing=_drawing(group, _SIGN_BOX, slimmer))


def _unsure(score: Score) -> Iterator[str]:
    for measure in score.measures:
        if not measure.rhythm.sure:
            reasons = "; ".join(measure.rhythm.reasons)
            yield f"Measure {measure.number}: {measure.rhythm.confidence:.0%} sure. {reasons}"


def _suggested(score: Score) -> str:
    """What of the page was added by us."""
    notes = [n for m in score.measures for e in m.events for n in e.notes]
    parts = []
    if any(n.finger and n.inferred_finger for n in notes):
        parts.append("letters")
    if any(c.inferred for m in score.measures for c in m.chords):
        parts.append("chord names")
    if not parts:
        return ""
    which = " and ".join(parts)
    return f"{which[0].upper()}{which[1:]} in italics are suggestions: the tab does not have them."
