"""The instruments that a text may be for, as they are handed to whoever reads one."""

from __future__ import annotations

from collections.abc import Callable

from msgspec import Struct

from rollstave.instruments.instrument import Instrument
from rollstave.instruments.table import INSTRUMENTS


class Known(Struct, frozen=True):
    """The instruments that are known. They are functions, so that others than the project's own
    are looked for only when something needs them.

    ``instruments()`` are all, in the order in which rows are tried; ``tuning_names()`` the names
    of all their tunings in small letters; ``completed(instrument)`` is one of the project's own
    with the tunings that others add to it.
    """

    instruments: Callable[[], tuple[Instrument, ...]]
    tuning_names: Callable[[], frozenset[str]]
    completed: Callable[[Instrument], Instrument]


def names_of_tunings(instruments: tuple[Instrument, ...]) -> frozenset[str]:
    """The names of all tunings of instruments, in small letters."""
    return frozenset(n.lower() for i in instruments for t in i.tunings for n in t.names)


OWN = Known(
    instruments=lambda: INSTRUMENTS,
    tuning_names=lambda: names_of_tunings(INSTRUMENTS),
    completed=lambda instrument: instrument,
)
