"""How the instrument is set up anew in the midst of a tune: another tuning, another capo."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec.structs import replace

from rollstave.deciding.capo import set_up
from rollstave.grid.typed import GridMeasure, Heading
from rollstave.instruments.setup import Setup
from rollstave.instruments.tunings import parse_tuning
from rollstave.problems import ProblemList, Severity
from rollstave.vocabulary import problems as kinds

_KEYS = ("tuning", "capo", "fifth string")


def setups_said(
    measures: Sequence[GridMeasure], setup: Setup, problems: ProblemList
) -> dict[int, Setup]:
    """The setups that begin later, by the places of measures in the tune. What is not understood is
    a problem, and changes nothing."""
    found: dict[int, Setup] = {}
    for index, measure in enumerate(measures):
        said = {h.key: h for h in measure.changes if h.key in _KEYS}
        if said:
            setup = found[index] = _changed(setup, said, problems)
    return found


def _changed(setup: Setup, said: Mapping[str, Heading], problems: ProblemList) -> Setup:
    """The setup with what headings say of it. A capo stays where it is in another tuning, and the
    short string is raised with the capo where nothing else is said."""
    tuning = setup.tuning
    if (heading := said.get("tuning")) is not None:
        named = parse_tuning(heading.text, setup.instrument)
        if named is None:
            problems.add(
                kinds.TUNING,
                f"the tuning {heading.text!r} is not known; the one before it stays",
                heading.place,
                severity=Severity.WARNING,
            )
        tuning = named or tuning
    first = next(iter(said.values()))
    headings = {"capo": Heading("capo", str(setup.capo), first.place), **said}
    new = set_up(tuning, headings, setup.instrument, problems, [])
    if "fifth string" in said:
        return new
    return replace(new, short_numbering=setup.short_numbering)


def new_in(setup: Setup, before: Setup) -> str:
    """In a word or two how the instrument is set up anew."""
    words = [setup.tuning.written] if setup.tuning != before.tuning else []
    if setup.capo != before.capo:
        words.append(f"capo {setup.capo}" if setup.capo else "no capo")
    if not words and setup != before:
        words.append("string raised")
    return ", ".join(words)
