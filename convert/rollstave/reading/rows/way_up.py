"""Systems that stand upside down, string 1 at the bottom."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from msgspec.structs import replace

from rollstave.instruments.instrument import Instrument
from rollstave.reading.rows.records import Block, Row, System
from rollstave.reading.state import ReadingState
from rollstave.vocabulary import problems as kinds


def upside_down(state: ReadingState) -> None:
    """Turn systems over that have string 1 at the bottom: by their labels, or else by those of
    the system before, or else by the notes of all systems."""
    instrument = state.instrument
    by_notes = _by_notes(state.blocks, instrument)
    current: tuple[bool, str] | None = None
    said = False
    blocks = []
    for block in state.blocks:
        systems = []
        for system in block.systems:
            by_labels = _by_labels(system.rows, instrument)
            if by_labels is not None:
                current = (by_labels, "the labels name the strings from the bottom up")
            over, reason = current or by_notes
            if over and not said:
                said = True
                first = system.rows[0]
                state.problems.add(
                    kinds.UPSIDE_DOWN,
                    f"the rows stand upside down, string {instrument.strings} on top: {reason}",
                    first.line.place(first.start),
                )
            systems.append(System(system.rows[::-1]) if over else system)
        blocks.append(replace(block, systems=tuple(systems)))
    state.blocks = blocks


def _by_labels(rows: Sequence[Row], instrument: Instrument) -> bool | None:
    """What the labels say, None if nothing: they spell a tuning one way or the other, or the
    short string's small letter stands at the top."""
    labels = [row.string_label for row in rows]
    if not all(labels):
        numbers = [row.label for row in rows]
        if all(n.isdigit() for n in numbers):
            return int(numbers[0]) > int(numbers[-1])
        return None
    spelled = tuple(
        label[0].upper() + label[1:].replace("♯", "#").replace("♭", "b") for label in labels
    )
    tunings = {tuple(p.letter for p in tuning.pitches) for tuning in instrument.tunings}
    forward, backward = spelled in tunings, spelled[::-1] in tunings
    if instrument.short_string and labels[0][0].islower() != labels[-1][0].islower():
        return labels[0][0].islower()
    if forward != backward:
        return backward
    return False if forward else None


def _by_notes(blocks: Sequence[Block], instrument: Instrument) -> tuple[bool, str]:
    """A short string has no frets below its peg: if the bottom rows have some, often, and the
    top rows have none, the rows are upside down."""
    short = instrument.short_string
    if short is None:
        return False, ""
    frets: dict[str, Counter[bool]] = {"top": Counter(), "bottom": Counter()}
    for block in blocks:
        for system in block.systems:
            for name, row in (("top", system.rows[0]), ("bottom", system.rows[-1])):
                for figure in row.figures:
                    frets[name][1 <= int(figure[:3]) <= short.peg_fret] += 1
    impossible = frets["bottom"][True]
    top = frets["top"]
    if impossible >= 3 and not top[True] and top[False] >= 3:
        return True, (
            f"the bottom row has {impossible} frets that string {short.string} does not have, "
            "the top row none"
        )
    return False, ""
