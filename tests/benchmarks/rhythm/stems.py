"""Stems and beams drawn in characters under a system, and the conventions they follow.

- A stem ``|`` stands under a note of a quarter, dotted or not, or less; a longer note has none.
- Notes shorter than a quarter that lie in one beat share beams: the first line of characters has
  the beam of the eighths, the next one that of the sixteenths, then that of the 32nds. A note
  alone in its beat has flags instead: ``|\\``, one a line.
- A beam that only one note of its neighbours needs is a stub beside its stem.
- A dot is typed after its stem on a line of its own; a ``3`` in the first beam makes it a triplet.

Durations are those until the next onset, as with letters (``letters``). What has no such value (a
sum of two) has no stem either: its length is what the others leave of the measure.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from .model import ArrangedMeasure, Event, Meter

LINES = 4  # three beams, then the dots
_DOTTED = ((Fraction(1), 0), (Fraction(3, 2), 1), (Fraction(7, 4), 2))


def _value(duration: Fraction) -> tuple[int, int, bool] | None:
    """Beams, dots, and whether it is a third of the next longer note; None for no stem."""
    for beams in range(LINES):
        plain = Fraction(1, 2**beams)
        for factor, dots in _DOTTED:
            if duration == plain * factor:
                return beams, dots, False
        if beams and duration == plain * Fraction(2, 3):
            return beams, 0, True
    return None


def stem_labels(measure: ArrangedMeasure) -> list[str]:
    """What takes room under each event: its stem with its dots or a flag."""
    values = [_value(event.duration) for event in measure.events]
    return ["" if v is None else "|" + "." * max(v[1], bool(v[0])) for v in values]


def drawn_under(
    measure: ArrangedMeasure, positions: Sequence[int], width: int, meter: Meter
) -> list[str]:
    """The lines of characters under a measure, each as wide as its rows."""
    lines = [[" "] * width for _ in range(LINES)]
    values = [_value(event.duration) for event in measure.events]
    for group in _groups(measure.events, values, meter):
        _draw(lines, [positions[i] for i in group], [v for i in group if (v := values[i])])
    return ["".join(line) for line in lines]


def _groups(
    events: Sequence[Event], values: Sequence[tuple[int, int, bool] | None], meter: Meter
) -> list[list[int]]:
    """Notes that share beams; a quarter note is a group of its own."""
    beat = Fraction(3, 2) if meter.unit == 8 and meter.count % 3 == 0 else Fraction(1)
    groups: list[list[int]] = []
    for index, (event, value) in enumerate(zip(events, values, strict=True)):
        if value is None:
            continue
        before = values[index - 1] if index else None
        joined = (
            before is not None
            and before[0] > 0
            and value[0] > 0
            and before[2] == value[2]
            and events[index - 1].onset // beat == event.onset // beat
        )
        if joined:
            groups[-1].append(index)
        else:
            groups.append([index])
    return groups


def _draw(
    lines: list[list[str]], places: Sequence[int], values: Sequence[tuple[int, int, bool]]
) -> None:
    for level, line in enumerate(lines[: LINES - 1], start=1):
        has = [beams >= level for beams, _, _ in values]
        for number, place in enumerate(places):
            if level == 1 or has[number]:
                line[place] = "|"
            if not has[number]:
                continue
            if len(places) == 1:
                line[place + 1] = "\\"
            elif number + 1 < len(places) and has[number + 1]:
                between = range(place + 1, places[number + 1])
                for at in between:
                    line[at] = "_"
                if values[number][2] and level == 1:
                    line[between[len(between) // 2]] = "3"
            elif number == 0:
                line[place + 1] = "_"
            elif not has[number - 1]:
                line[place - 1] = "_"
    for place, (_, dots, _) in zip(places, values, strict=True):
        if dots:
            lines[-1][place] = "|"
            lines[-1][place + 1 : place + 1 + dots] = "." * dots
