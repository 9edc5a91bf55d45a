"""The rows of a system: measures typed in a hand's manner, and where each slot came to stand."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from fractions import Fraction

from tests.benchmarks.grammar.model import Event, Measure, Note, Tune, Unreadable


@dataclass(frozen=True)
class Repeat:
    """How repeats are typed: at bars (a text for row and rows), with a part's heading, or on a
    line after the part. ``opens``: whether the opening is typed too."""

    left: Callable[[int, int], str] | None = None
    right: Callable[[int, int], str] | None = None
    heading: str = ""
    after: str = ""
    opens: bool = True


def dots(row: int, rows: int) -> bool:
    """Whether the row is one of the middle ones, where a repeat's dots stand."""
    return row in ((rows - 1) // 2, rows // 2) if rows % 2 == 0 else row in (1, rows - 2)


@dataclass
class Hand:
    """How rows are typed."""

    labels: tuple[str, ...]
    joint: str = "|"
    bar: str = "|"
    end: str = "|"
    fill: str = "-"
    after: int = 1
    before: int = 0
    spread: int = 2
    wide: str = "pushes"
    links: dict[str, str] = field(default_factory=dict)
    link_place: str = "before"
    marks: dict[str, str] = field(default_factory=dict)
    tie: str = ""
    repeat: Repeat = field(default_factory=Repeat)
    upside_down: bool = False
    open_string: Callable[[int], str] = lambda string: "0"
    indent: str = ""
    rest: str = ""
    same: str = "%"


@dataclass
class System:
    """Typed rows, the column of each slot of each measure, of each measure's start and end."""

    rows: list[str]
    columns: list[list[int]]
    starts: list[int]
    ends: list[int]


def shown(note: Note, hand: Hand) -> str:
    """A note as it is typed, without the sign of how it is reached."""
    fret = hand.open_string(note.string) if note.fret == 0 else str(note.fret)
    if note.link == "=":
        return hand.tie.format(fret)
    if note.mark:
        return hand.marks[note.mark].format(fret)
    return fret


def type_system(tune: Tune, measures: list[Measure], hand: Hand) -> System:
    """Type measures as rows from the top one down."""
    strings = list(range(1, tune.tuning.strings + 1))
    if hand.upside_down:
        strings.reverse()
    labels = hand.labels[: len(strings)] if hand.labels else ("",) * len(strings)
    width = max(len(label) for label in labels)
    joint = hand.joint if hand.labels else hand.joint.lstrip(" :")
    rows = [hand.indent + label.ljust(width) + joint for label in labels]
    system = System(rows=rows, columns=[], starts=[], ends=[])
    for index, measure in enumerate(measures):
        _type_measure(measure, strings, hand, system)
        if index + 1 < len(measures):
            closes = measure.right == "repeat" and hand.repeat.right is not None
            system.rows = [row + ("" if closes else hand.bar) for row in system.rows]
    if not (measures[-1].right == "repeat" and hand.repeat.right is not None):
        system.rows = [
            row + hand.end.format(label=label)
            for row, label in zip(system.rows, labels, strict=True)
        ]
    return system


def _type_measure(measure: Measure, strings: list[int], hand: Hand, system: System) -> None:
    rows, count, repeat = system.rows, len(strings), hand.repeat
    opens = measure.left == "repeat" and repeat.left is not None
    if opens and repeat.left is not None:
        rows = [_opened(row, repeat.left(i, count), hand) for i, row in enumerate(rows)]
    system.starts.append(len(rows[0]))
    rows = [row + hand.fill * hand.after for row in rows]
    columns = []
    cells = _cells(measure, strings, hand)
    for slot in range(measure.slots):
        columns.append(len(rows[0]))
        wide = max(hand.spread, max(len(cell.replace("\t", "")) for cell in cells[slot]))
        if hand.wide == "pushes":
            wide = max(wide, hand.spread + max(_pushed(cell, hand) for cell in cells[slot]))
        rows = [
            row + _padded(cell, wide, hand.fill)
            for row, cell in zip(rows, cells[slot], strict=True)
        ]
    rows = [row + hand.fill * hand.before for row in _slipped(rows, measure, hand)]
    system.ends.append(len(rows[0]))
    if measure.right == "repeat" and repeat.right is not None:
        rows = [row + repeat.right(i, count) for i, row in enumerate(rows)]
    system.columns.append(columns)
    system.rows = rows
    if not measure.same:
        _check(measure, strings, system, hand)


def _pushed(cell: str, hand: Hand) -> int:
    """The columns by which what stands in a slot is wider than a digit, slurs left aside."""
    typed = cell.split("\t")[0].rstrip("hpsHPS/^v").split(hand.fill)
    return sum(len(text) - 1 for text in typed if text)


def _slipped(rows: list[str], measure: Measure, hand: Hand) -> list[str]:
    """The rows with the typist's slip at the measure's end."""
    if not measure.slip:
        return rows
    if hand.spread < 2 or (measure.events[-1].slot == measure.slots - 1 and hand.spread < 3):
        raise Unreadable("a slip that changes the music")
    if measure.slip == "a column too many":
        return [row + hand.fill for row in rows]
    if measure.slip == "a column too few":
        if any(not row.endswith(hand.fill) for row in rows):
            raise Unreadable("no column to leave out")
        return [row[:-1] for row in rows]
    if measure.slip == "two columns too many":
        if hand.spread < 4:
            raise Unreadable("a slip that changes the music")
        return [row + hand.fill * 2 for row in rows]
    if measure.slip == "a dash too few on one row":
        if not rows[2].endswith(hand.fill * 2):
            raise Unreadable("no column to leave out")
        return [row[:-1] if index == 2 else row for index, row in enumerate(rows)]
    return [row + hand.fill * (index == 1) for index, row in enumerate(rows)]


def _opened(row: str, left: str, hand: Hand) -> str:
    """The opening sign in place of the bar before it."""
    for bar in (hand.bar, hand.joint[-1:]):
        if bar and bar in "||!:I" and row.endswith(bar):
            return row.removesuffix(bar) + left
    return row + left


def _padded(cell: str, wide: int, fill: str) -> str:
    if cell.startswith("\t"):  # a link that stands at the slot's end
        link = cell[1:]
        return fill * (wide - len(link)) + link
    if "\t" in cell:
        text, link = cell.split("\t")
        return text + fill * (wide - len(text) - len(link)) + link
    return cell + fill * (wide - len(cell))


def _cells(measure: Measure, strings: list[int], hand: Hand) -> list[list[str]]:
    """What stands in each slot on each row; a link at a slot's end comes after a tab."""
    cells = [["" for _ in strings] for _ in range(measure.slots)]
    if measure.same:
        cells[measure.slots // 2 - 1][len(strings) // 2] = hand.same
        return cells
    for event in measure.events:
        if not event.notes and hand.rest and event.slot:
            cells[int(event.slot)][strings.index(3)] = hand.rest
    for event in measure.events:
        for note in event.notes:
            row, between = strings.index(note.string), event.slot % 1
            gap = hand.fill * (int(between * hand.spread) - len(cells[int(event.slot)][row]))
            cells[int(event.slot)][row] += gap + shown(note, hand)
    for before, event in zip(measure.events, measure.events[1:], strict=False):
        for note in event.notes:
            if note.link and note.link in hand.links:
                _link(cells, before, event, strings.index(note.string), hand.links[note.link], hand)
    return cells


def _link(
    cells: list[list[str]], before: Event, event: Event, row: int, sign: str, hand: Hand
) -> None:
    if hand.link_place == "after":
        cells[int(before.slot)][row] += sign
    elif hand.link_place == "glued":
        cells[int(event.slot)][row] = sign + cells[int(event.slot)][row]
    else:
        last = int(event.slot) - 1
        cells[last][row] += "\t" + sign


def _check(measure: Measure, strings: list[int], system: System, hand: Hand) -> None:
    """No two notes of a row run together, and no slot takes another's column."""
    for row, string in enumerate(strings):
        for event in measure.events:
            for note in event.notes:
                if note.string != string:
                    continue
                at = column(system.columns[-1], event.slot, hand.spread)
                text = system.rows[row]
                after = at + len(shown(note, hand))
                if hand.link_place == "glued":
                    after += len(hand.links.get(note.link, ""))
                if text[after : after + 1].isdigit() or text[after : after + 1] in "oO":
                    raise Unreadable("frets run together")
                sign = len(hand.links.get(note.link, ""))
                if hand.link_place != "glued" and text[at - 1].isdigit() and not sign:
                    raise Unreadable("frets run together")


def column(columns: list[int], slot: Fraction, spread: int) -> int:
    """The column of a slot, or of a place between two."""
    return columns[int(slot)] + int(slot % 1 * spread)


def over(places: list[tuple[int, str]], gap: int = 1) -> str:
    """A line with texts at columns, each pushed right where the one before is in its way."""
    line = ""
    for column, text in places:
        if line and len(line) + gap > column:
            line += " " * gap
        else:
            line = line.ljust(column)
        line += text
    return line
