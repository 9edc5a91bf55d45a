"""Whether two headings of a kind say the same: ``open G`` and ``gDGBD`` are no conflict."""

from __future__ import annotations

import re

from rollstave.grid.typed import Heading
from rollstave.instruments.instrument import Instrument
from rollstave.instruments.tunings import parse_tuning
from rollstave.pitch import parse_key


def agree(one: Heading, other: Heading, instrument: Instrument) -> bool:
    """True if both are understood as the same, or one of them only says less in the same words."""
    first, second = (_words(h.text) for h in (one, other))
    if first == second or not second:
        return True
    meant = [meaning(h, instrument) for h in (one, other)]
    if meant[0] is not None and meant[1] is not None:
        return meant[0] == meant[1]
    return set(first) <= set(second) or set(second) <= set(first)


def _words(text: str) -> list[str]:
    return re.findall(r"[\w#♯♭/]+", text.casefold())


def meaning(heading: Heading, instrument: Instrument) -> object:
    """What a heading is understood as; None where nothing is."""
    text = heading.text
    if heading.key == "tuning":
        tuning = parse_tuning(text, instrument)
        return None if tuning is None else tuning.written
    if heading.key == "key":
        return parse_key(text)
    if heading.key == "time":
        return _time(text)
    if heading.key == "tempo":
        return re.findall(r"\d+", text) or None
    return None


_NAMED = {"common": "4/4", "cut": "2/2", "alla breve": "2/2"}


def _time(text: str) -> str | None:
    """A time signature in figures, by what is commonly written."""
    figures = re.search(r"(\d+)\s*/\s*(\d+)", text)
    if figures is not None:
        return f"{figures[1]}/{figures[2]}"
    return next((time for name, time in _NAMED.items() if name in text.casefold()), None)
