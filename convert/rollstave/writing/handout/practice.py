"""A hand-out as a page that plays: the practice page, with words and shapes among the music.

Each exercise is played, round and round, by touching its name. The words stand in each engraving
of the page between the systems they belong to, so they move with the music when its size changes.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from markupsafe import escape
from msgspec.structs import replace

from rollstave.deciding.playback import play_order
from rollstave.score.records import Score
from rollstave.writing.handout.joining import Joined, joined
from rollstave.writing.handout.pages import handout_options
from rollstave.writing.handout.records import (
    Block,
    Chart,
    ChartBar,
    Exercise,
    Handout,
    Shapes,
    Words,
)
from rollstave.writing.options import SheetOptions
from rollstave.writing.others import OtherMarks, no_others
from rollstave.writing.page.engravings import EDGE, WIDTHS, Engraved, Engravings, system_html
from rollstave.writing.page.html import Stretch, Version, filled_in, fingers_of
from rollstave.writing.page.slim import Slimmer
from rollstave.writing.page.timing import play_data
from rollstave.writing.page.words import diagram_of, shape_words, words_of
from rollstave.writing.sheet.drawing import with_signs
from rollstave.writing.sheet.engraving import Engraving
from rollstave.writing.sheet.pages import music_width
from rollstave.writing.sheet.pagination import gaps_of
from rollstave.writing.sheet.svg import engraved

_PLAIN = SheetOptions()


def write_html(
    handout: Handout, options: SheetOptions = _PLAIN, others: OtherMarks = no_others
) -> bytes:
    """The page, complete in itself. Raises ValueError for a hand-out without music."""
    found = joined(handout, named=False)
    options = handout_options(options)
    slimmer = Slimmer()
    words = words_of(found.score, options, slimmer)
    words = replace(words, unsure=tuple(dict.fromkeys(words.unsure)))
    order, stretches = _stretches(handout, found.score, found.spans)
    engravings = _engravings(handout, found, options, slimmer, others)
    data = play_data(found.score, order)
    version = Version(
        says="",
        words=words,
        engravings=engravings,
        data=data,
        fingers=fingers_of(found.score),
    )
    return filled_in(found.score, [version], slimmer, stretches)


def _stretches(
    handout: Handout, score: Score, spans: Sequence[tuple[int, int]]
) -> tuple[list[int], list[Stretch]]:
    """The order in which everything is played, exercise by exercise, and each with its name."""
    order: list[int] = []
    found = []
    for exercise, (begin, end) in zip(handout.exercises, spans, strict=True):
        own = [begin + index for index in play_order(exercise.score.measures)]
        begins = len(order)
        order += own
        found.append(
            Stretch(
                name=with_signs(exercise.name),
                first=begin,
                last=end - 1,
                begins=begins,
                ends=len(order) - 1,
            )
        )
    return order, found


def _engravings(
    handout: Handout,
    found: Joined,
    options: SheetOptions,
    slimmer: Slimmer,
    others: OtherMarks,
) -> Engravings:
    """Everything at each width of the page."""
    every = Engraving([], [])
    made = []
    for width in WIDTHS:
        wanted = replace(options, title_block=False, width=float(width), mark_unsure=True)
        engraving = engraved(found.score, wanted, others, natural=True, full=found.tunes)
        every.add_glyphs(engraving.glyphs)
        length = music_width(wanted)
        music = []
        for exercise, (begin, end) in zip(handout.exercises, found.spans, strict=True):
            systems = [s for s in engraving.systems if s.measures[0] in range(begin, end)]
            gaps = [*gaps_of(systems)[1:], EDGE]
            label = with_signs(exercise.name)
            music.append(
                "".join(
                    system_html(found.score, system, gap, length, slimmer, f"w{width}-", label)
                    for system, gap in zip(systems, gaps, strict=True)
                )
            )
        made.append(Engraved(width, "".join(_html(handout, music, slimmer))))
    return Engravings(tuple(made), every.glyphs)


# Words ------------------------------------------------------------------------------------------


def _html(handout: Handout, music: Sequence[str], slimmer: Slimmer) -> Iterator[str]:
    """The parts in order; ``music`` has the systems of each exercise."""
    number = 0
    for part in handout.parts:
        if part.name:
            yield f'<div class="said"><h2>{escape(part.name)}</h2></div>'
        for block in part.blocks:
            if isinstance(block, Exercise):
                yield _heading(block, number) + music[number]
                number += 1
            else:
                yield f'<div class="said">{_block(block, handout, slimmer)}</div>'


def _heading(exercise: Exercise, number: int) -> str:
    name = escape(with_signs(exercise.name))
    why = f"<p>{escape(with_signs(exercise.why))}</p>" if exercise.why else ""
    button = f'<button type="button" data-stretch="{number}">{name}</button>'
    return f'<div class="said"><h3>{button}</h3>{why}</div>'


def _block(block: Block, handout: Handout, slimmer: Slimmer) -> str:
    if isinstance(block, Words):
        kind = "inferred" if block.inferred else "teacher" if block.teacher else "plain"
        return f'<p class="{kind}">{escape(with_signs(block.text))}</p>'
    if isinstance(block, Shapes):
        return _shapes(block, handout, slimmer)
    return _chart(block) if isinstance(block, Chart) else ""


def _shapes(block: Shapes, handout: Handout, slimmer: Slimmer) -> str:
    instrument = handout.score.setup.instrument
    items = []
    for place, held in enumerate(block.shapes):
        words = block.captions[place] if place < len(block.captions) else ""
        drawn = diagram_of(held, instrument, slimmer)
        said = f'<span class="unseen">{escape(shape_words(held))}</span>'
        items.append(f"<li>{said}{drawn}{escape(with_signs(words))}</li>")
    name = f"<h3>{escape(with_signs(block.name))}</h3>" if block.name else ""
    return f'{name}<ul class="held">{"".join(items)}</ul>'


def _chart(chart: Chart) -> str:
    rows = [f"<tr>{''.join(_cell(bar) for bar in line)}</tr>" for line in chart.lines]
    caption = f"<caption>{escape(chart.name)}</caption>" if chart.name else ""
    return f'<table class="chart">{caption}{"".join(rows)}</table>'


def _cell(bar: ChartBar) -> str:
    kinds = " ".join(
        name for name, on in (("repeat-begins", bar.left), ("repeat-ends", bar.right)) if on
    )
    chords = escape(with_signs(" ".join(bar.chords)))
    under = f"<small>{escape(with_signs(bar.under))}</small>" if bar.under else ""
    ending = f"<small>{escape(bar.ending)}.</small>" if bar.ending else ""
    return f'<td class="{kinds}">{ending}{chords}{under}</td>'
