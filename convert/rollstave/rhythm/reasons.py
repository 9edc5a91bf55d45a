"""Why a reading was chosen, in words for a teacher."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from msgspec import Struct

from rollstave.rhythm.evidence import Evidence
from rollstave.rhythm.model_data import Pattern
from rollstave.rhythm.roll_names import roll_name
from rollstave.rhythm.spacing import Spacing
from rollstave.rhythm.timed import Source


class Why(Struct, frozen=True):
    """The main ground of a reading: its source, a word for it, and the spacing if columns count.
    ``also`` is what evidence of plugins says for it."""

    source: Source
    text: str
    spacing: Spacing | None = None
    also: tuple[str, ...] = ()


_NAMES = {Fraction(1, 2): "eighth", Fraction(1, 4): "sixteenth", Fraction(1): "quarter"}


def explain(
    why: Why,
    index: int,
    evidence: Sequence[Evidence],
    patterns: Sequence[Pattern],
    length: int,
) -> tuple[Source, tuple[str, ...]]:
    """The source of a measure's rhythm and the reasons in words, the main one first."""
    found: list[str] = []
    source = why.source
    seen = evidence[index]
    even = _even(patterns[index])
    name = roll_name(seen.strings, seen.kinds) if even and seen.count in (6, 8) else None
    if why.text == "empty":
        found.append("nothing is struck")
    elif source is Source.WRITTEN:
        found.append(f"the {why.text} say so")
    elif why.spacing is not None:
        nearly = "nearly " if why.text.endswith("nearly") else ""
        found.append(f"columns {nearly}fit, {_unit(why.spacing)}")
    elif name is not None or (even and seen.count in (6, 8)):
        source = Source.ROLL
    elif source is Source.REPETITION:
        found.append(why.text)
    else:
        found.append("usual for so many notes in this meter, on these strings")
    if even and seen.count in (6, 8):
        found.append(name if name else f"{seen.count} even notes fill the measure")
    if source is not Source.WRITTEN and (same := _same_before(index, evidence)) is not None:
        found.append(f"same as measure {same + 1} of the tab")
        if source is Source.ORDER:
            source = Source.REPETITION
    if patterns[index][0] < length:
        found.append("a short measure")
    return source, (*found, *why.also)


def _even(pattern: Pattern) -> bool:
    length, onsets = pattern
    if not onsets:
        return False
    steps = {b - a for a, b in zip(onsets, (*onsets[1:], length), strict=True)}
    return len(onsets) > 1 and len(steps) == 1 and onsets[0] == 0


def _same_before(index: int, evidence: Sequence[Evidence]) -> int | None:
    """The first earlier measure that strikes the same, among the last 64."""
    signature = evidence[index].signature
    if not signature:
        return None
    for other in range(max(0, index - 64), index):
        if evidence[other].signature == signature:
            return other
    return None


def _unit(spacing: Spacing) -> str:
    """How wide the typist's unit is: ``2 per eighth``."""
    for unit, name in _NAMES.items():
        columns = Fraction(spacing.columns) * unit
        if columns.denominator == 1 and 1 <= columns <= 4:
            return f"{columns} per {name} note"
    return f"{spacing.columns:g} per quarter note"
