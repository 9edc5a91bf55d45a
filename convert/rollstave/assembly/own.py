"""The project's own parts, offered as any plugin offers its own."""

from __future__ import annotations

import re
from collections.abc import Sequence

from rollstave.contract.hooks import CONTRACT_VERSION, hookimpl
from rollstave.contract.offers import Dialect, Mark, RhythmEvidence, Writer, WriterOption
from rollstave.instruments.instrument import Instrument
from rollstave.instruments.table import INSTRUMENTS

rollstave_contract = CONTRACT_VERSION
HOUSE = "rows of dashes"
_OPTIONS = {"text": (WriterOption("width", 80, "characters of a line"),)}


@hookimpl
def rollstave_instruments() -> Sequence[Instrument]:
    return INSTRUMENTS


@hookimpl
def rollstave_dialects() -> Sequence[Dialect]:
    return (
        Dialect(
            name=HOUSE,
            recognise=recognise,
            read="rollstave.assembly.own:as_it_is",
            help="one row for each string, dashes, fret numbers and bars",
        ),
    )


def recognise(text: str) -> float:
    """Any text may be rows of dashes, since the reader says best what is wrong with one; rows
    there must be for more than a guess."""
    return 0.5 if re.search(r"^.{0,6}[|\-].*---", text, re.MULTILINE) else 0.1


def as_it_is(text: str) -> str:
    """The house dialect needs no translation."""
    return text


@hookimpl
def rollstave_rhythm_evidence() -> Sequence[RhythmEvidence]:
    # They are weighed together, by weights that were fitted together; here for all to see.
    return (
        RhythmEvidence(
            "columns", "rollstave.rhythm.choices:column_scores", "how the notes are spaced"
        ),
        RhythmEvidence(
            "hands and meter",
            "rollstave.rhythm.choices:base_scores",
            "what is usual for such strokes",
        ),
        RhythmEvidence(
            "the rest of the tune", "rollstave.rhythm.tunewide:TuneWide", "what the tune repeats"
        ),
    )


@hookimpl
def rollstave_writers() -> Sequence[Writer]:
    from rollstave.writing import FORMATS

    return tuple(
        Writer(
            form.name,
            form.extension,
            f"{form.module}:{form.function}",
            paged=form.paged,
            sheet=form.sheet,
            options=_OPTIONS.get(form.name, ()),
        )
        for form in FORMATS.values()
    )


@hookimpl
def rollstave_marks() -> Sequence[Mark]:
    from rollstave.writing.sheet.marks import MARKS

    return tuple(Mark(name, draw) for name, draw in MARKS)
