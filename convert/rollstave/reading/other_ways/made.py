"""Rows of dashes that are made of something else, and where their lines came from."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct, field

_SIGNS = "hpsHPS/\\^"  # before a fret: how it is reached
Onset = dict[int, str]  # frets by the row that they stand in, 0 on top


class Made(Struct):
    """Lines, and the number of the line that each came from, 0 for none."""

    lines: list[str] = field(default_factory=list)
    numbers: list[int] = field(default_factory=list)

    def add(self, line: str, number: int = 0) -> None:
        self.lines.append(line)
        self.numbers.append(number)

    def system(
        self,
        measures: Sequence[Sequence[Onset]],
        labels: Sequence[str],
        number: int,
        counts: Sequence[Sequence[str]] = (),
    ) -> None:
        """Add a system: for each measure its onsets, evenly spaced, with what is counted there."""
        wide = max(map(len, labels), default=0)
        rows = [f"{label:{wide}}|" for label in labels]
        below = " " * (wide + 1)
        for index, measure in enumerate(measures):
            frets = [fret for onset in measure for fret in onset.values()]
            width = max((len(fret.lstrip(_SIGNS)) for fret in frets), default=1) + 1
            for row in range(len(rows)):
                rows[row] += "".join(_typed(o.get(row, ""), width) for o in measure)
                rows[row] += "-|"
            said = counts[index] if index < len(counts) else [""] * len(measure)
            below += "".join(" " + word[: width - 1].ljust(width - 1) for word in said) + "  "
        if self.lines and self.lines[-1].strip():
            self.add("")
        for typed in rows:
            self.add(typed, number)
        if below.strip():
            self.add(below.rstrip(), number)
        self.add("")


def _typed(fret: str, width: int) -> str:
    """A moment of a row: the fret behind a dash, or behind the sign before it."""
    sign = fret[:1] if fret[:1] in tuple(_SIGNS) else "-"
    return sign + fret.lstrip(_SIGNS).ljust(width - 1, "-")
