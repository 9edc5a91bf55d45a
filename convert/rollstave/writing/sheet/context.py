"""What the marks of one system are drawn from, and what stands on the lines of its tab."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct, field

from rollstave.deciding.rolls import RollUse
from rollstave.deciding.shape_use import ShapeAt
from rollstave.notating.notation import NotatedMeasure, Symbol
from rollstave.score.links import LinkPair, NoteAddress, note_at
from rollstave.score.records import GraceNote, Note, Score
from rollstave.writing.fonts import text_width
from rollstave.writing.frets import DIGIT_SIZE, GRACE_SIZE, digits
from rollstave.writing.note_ids import TAB_PREFIX, id_of, note_id
from rollstave.writing.options import SheetOptions
from rollstave.writing.sheet.engraving import FRET_STYLE, System
from rollstave.writing.sheet.skyline import Box, Skyline

_HALF_BAR = 20.0  # of a bar line
BRUSH_OFFSET = 92.0  # from the left edge of the digits to the arrow of a brush, in units


class MarkContext(Struct):
    """What the marks of one system are drawn from.

    ``taken`` has the ground of digits and of every mark drawn so far, ``figures`` that of digits;
    ``shapes`` each change of shape in the tune, where they are drawn over the music. ``label``
    says what the version is that stands under the tune, where this is its tab.
    """

    score: Score
    system: System
    notated: list[NotatedMeasure]
    links: list[LinkPair]
    last_part: dict[tuple[int, int, int], int]
    rolls: list[RollUse] = field(default_factory=list)
    options: SheetOptions = field(default_factory=SheetOptions)
    taken: Skyline = field(default_factory=Skyline)
    figures: Skyline = field(default_factory=Skyline)
    shapes: tuple[ShapeAt, ...] = ()
    label: str = ""

    def place(self, address: NoteAddress, last: bool) -> tuple[float, float] | None:
        """The middle of a tab digit: of the first or the last tied part of its event."""
        part = self._last_part(address) if last else 0
        return self.system.places.get(id_of(TAB_PREFIX, address, part))

    def note(self, address: NoteAddress) -> Note | GraceNote:
        return note_at(self.score.measures, address)

    def right_edge(self, address: NoteAddress) -> float:
        """How far right of its middle the last tied part of a digit reaches."""
        if address.grace is not None:
            return half_width(self.note(address))
        return half_width(self.note(address), self._last_part(address) > 0)

    def _last_part(self, address: NoteAddress) -> int:
        return self.last_part.get((address.measure, address.event, address.string), 0)

    def left_edge(self, address: NoteAddress) -> float:
        """How far left of a digit's middle it reaches, with the arrow of a brush before it."""
        event = self.score.measures[address.measure].events[address.event]
        if not event.brush or address.grace is not None:
            return half_width(self.note(address))
        return max(half_width(n) for n in event.notes) + BRUSH_OFFSET + 40

    def bar_lines(self) -> Skyline:
        """The bar lines of the system, which run from its first staff through its last."""
        system = self.system
        top, bottom = system.first.heights[0], system.last.heights[-1]
        ends = [right for _, right in system.spans.values()]
        return Skyline([Box(x - _HALF_BAR, top, x + _HALF_BAR, bottom) for x in ends])

    def heads(self) -> Iterator[tuple[NotatedMeasure, Symbol, Note, bool, str]]:
        """Every digit of the system: its measure, symbol, note, whether it is held, its id."""
        for notated in self.notated:
            for symbol in notated.symbols:
                for head in symbol.heads:
                    yield (
                        notated,
                        symbol,
                        head.note,
                        head.held,
                        tab_id(notated, symbol, head.note),
                    )


def tab_id(notated: NotatedMeasure, symbol: Symbol, note: Note) -> str:
    """The id of a note's digit."""
    return note_id(TAB_PREFIX, notated.measure.index, symbol.event_index, symbol.part, note.string)


def half_width(note: Note | GraceNote, tied: bool = False) -> float:
    """Half the width of a digit with its brackets."""
    size = GRACE_SIZE if isinstance(note, GraceNote) else DIGIT_SIZE
    return text_width(digits(note, tied), size, FRET_STYLE) / 2
