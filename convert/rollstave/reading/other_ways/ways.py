"""The table of other ways to type a tab, and which of them a text is typed in."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

from rollstave.reading.other_ways.made import Made

Way = Callable[[Sequence[str]], Made | None]


def ways() -> tuple[tuple[str, Way], ...]:
    """What each way is called, and what reads it; loaded for a text that may be typed in one."""
    from rollstave.reading.other_ways.cells import in_cells
    from rollstave.reading.other_ways.down_the_page import down_the_page
    from rollstave.reading.other_ways.string_and_fret import string_and_fret

    return (
        ("tab down the page, a line for each stroke", down_the_page),
        ("strings and frets, as 3/0", string_and_fret),
        ("cells of a table, a row for each string", in_cells),
    )


_BAR = re.compile(r"(?<![,;\t])\|")
_MOST_BARS = 8  # a text with more of them has rows of its own
_LARGEST = 200_000  # characters
_MOST_DASHES = 0.2  # of a text


def typed_otherwise(text: str) -> tuple[str, Made] | None:
    """What a text is typed as, and its rows; None for rows of dashes and for what is no tab."""
    # A bar may have a cell of its own in a table.
    if len(text) > _LARGEST or len(_BAR.findall(text)) > _MOST_BARS:
        return None
    if text.count("-") > _MOST_DASHES * len(text) or not any(map(str.isdigit, text)):
        return None
    lines = [line.rstrip().expandtabs() if "\t" not in line else line for line in text.split("\n")]
    for name, way in ways():
        if (made := way(lines)) is not None:
            return name, made
    return None
