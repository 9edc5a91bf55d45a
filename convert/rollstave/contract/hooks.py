"""The hooks: everything that a plugin may implement, and all of it.

A plugin is a module (or an object) named by an entry point in the group ``rollstave``::

    [project.entry-points.rollstave]
    sea-shanties = "sea_shanties.hooks"

In it, functions marked with ``@rollstave.hookimpl`` and named as below return what the plugin
offers. A plugin may leave out any of them. They are called at most once in a process, when a part
of that kind is first needed; keep the module small and name functions as ``"module:function"``.

``rollstave_contract = "1.1"`` in the module says which version of the contract it was written
for; without it, the present one is taken. A plugin for another major version is named and left
out. In a minor version hooks and fields with defaults are added and nothing is taken away; 1.1
added ``rollstave_documents`` and ``rollstave_reworks``, 1.2 ``rollstave_handouts``.
"""

from __future__ import annotations

from collections.abc import Sequence

import pluggy

from rollstave.contract.offers import (
    Dialect,
    DocumentReader,
    HandoutMaker,
    Mark,
    Rework,
    RhythmEvidence,
    TuningOf,
    Writer,
)
from rollstave.instruments.instrument import Instrument

CONTRACT_VERSION = "1.2"
PROJECT = "rollstave"

hookspec = pluggy.HookspecMarker(PROJECT)
hookimpl = pluggy.HookimplMarker(PROJECT)


@hookspec
def rollstave_instruments() -> Sequence[Instrument]:  # type: ignore[empty-body]
    """Instruments, as data.

    Their ``rank`` says which is meant where rows and labels fit several: the lowest. A name that
    is taken already is named and left out.
    """


@hookspec
def rollstave_tunings() -> Sequence[TuningOf]:  # type: ignore[empty-body]
    """More tunings for instruments that are there already. They come after the instrument's own."""


@hookspec
def rollstave_dialects() -> Sequence[Dialect]:  # type: ignore[empty-body]
    """Ways of typing tab. Every text is shown to all of them, and the surest one reads it."""


@hookspec
def rollstave_documents() -> Sequence[DocumentReader]:  # type: ignore[empty-body]
    """Kinds of files that hold text in a form of their own. The bytes of every file are shown to
    all of them, and the first that knows them brings the text out. Since 1.1."""


@hookspec
def rollstave_rhythm_evidence() -> Sequence[RhythmEvidence]:  # type: ignore[empty-body]
    """Kinds of evidence for the rhythm of measures that nothing written settles."""


@hookspec
def rollstave_writers() -> Sequence[Writer]:  # type: ignore[empty-body]
    """Formats for ``rollstave convert --to`` and ``rollstave.write``."""


@hookspec
def rollstave_marks() -> Sequence[Mark]:  # type: ignore[empty-body]
    """Kinds of marks, drawn on each system of a sheet in the order of their plugins' names."""


@hookspec
def rollstave_reworks() -> Sequence[Rework]:  # type: ignore[empty-body]
    """Ways to make another version of a tune, for ``rollstave rework`` and ``rollstave.rework``.
    Their options are those of the command; where several are asked for, they follow one another
    in the order in which they are offered. Since 1.1."""


@hookspec
def rollstave_handouts() -> Sequence[HandoutMaker]:  # type: ignore[empty-body]
    """Commands that make a hand-out, each a command of ``rollstave`` by its name; the program's own
    commands come first. An entry point of the same name in the group ``rollstave.commands`` puts
    it on the list of ``rollstave --help``, for which no plugin is loaded. Since 1.2."""
