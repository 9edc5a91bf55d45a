"""What flows through an archive: sources, jobs, the recipe, results. All can be pickled."""

from __future__ import annotations

import hashlib
import json
from typing import Any

from msgspec import Struct, field

from rollstave.musicxml_in.taking import AS_IT_IS, Taking
from rollstave.problems import ProblemKind, Severity
from rollstave.vocabulary import problems as kinds
from rollstave.writing.options import SheetOptions


class Source(Struct, frozen=True):
    """A file to convert. ``path`` is absolute, ``name`` is how it was found and is shown.

    ``below`` is its path below the folder it was found in (with ``/``), or its bare name if it
    was named itself. ``walked`` is true if a folder was walked: then what is no tab is skipped.
    ``given`` are the headings that its folders give.
    """

    path: str
    name: str
    below: str
    walked: bool
    given: str = ""


class Job(Struct, frozen=True):
    """A source and where its outputs go: ``target`` is below --out, with ``/``, no ending.

    ``remark`` says why that is not the source's own name, or nothing.
    """

    source: Source
    target: str
    remark: str = ""


class Recipe(Struct, frozen=True):
    """How to convert: the formats, the sheet's options, the hand, how chords are named under
    a capo, and what works on it.

    ``settings`` are the options of formats that were set: format, option, value. ``headings`` hold
    for all tabs that do not say otherwise, ``taking`` says how MusicXML is read.
    """

    formats: tuple[str, ...]
    options: SheetOptions
    hand: str | None = None
    names: str | None = None
    versions: tuple[tuple[str, str], ...] = ()
    settings: tuple[tuple[str, str, bool | int | float | str], ...] = ()
    headings: tuple[str, ...] = ()
    taking: Taking = AS_IT_IS

    def given(self, source: Source) -> str:
        """The headings that hold for a source where it does not say otherwise: those of the run,
        then those of its folders."""
        return "\n".join([*self.headings, *([source.given] if source.given else [])])

    def settings_of(self, form: str) -> dict[str, bool | int | float | str]:
        """The options that were set for a format."""
        return {name: value for of, name, value in self.settings if of == form}

    def fingerprint(self, form: str, content: str, given: str = "") -> str:
        """What an output in this format depends on, as a hash. ``content`` is the input's,
        ``given`` the headings that hold for it."""
        parts: list[object] = [form, content, repr(self.options), self.hand, self.versions]
        if own := sorted(self.settings_of(form).items()):
            parts.append(own)
        if given:
            parts.append(given)
        if self.names:
            parts.append(["names", self.names])
        if self.taking != AS_IT_IS:
            parts.append(["taking", self.taking.octave, self.taking.lead])
        return hashlib.sha256(json.dumps(parts).encode()).hexdigest()


class Staged(Struct, frozen=True):
    """A file that a worker has written whole into the staging folder.

    ``name`` is the file name it is to get, ``tune`` the position of its tune in the source.
    """

    tune: int
    form: str
    name: str
    staged: str
    content: str


class Result(Struct):
    """What became of a job.

    ``status`` is ``"done"``, ``"failed"``, ``"skipped"`` (it is no tab) or ``"vanished"``.
    ``content`` is the hash of the bytes that were read, empty if none were. ``tunes`` and
    ``problems`` are plain data, as in the report. ``final`` is false for a failure that may not
    repeat, so that the next run tries again. ``remarks`` say what its outputs have replaced.
    Where a file holds several texts, what is told of each has its name as ``part_of_file``, and a
    result that is done has problems of those that failed.
    """

    status: str
    content: str = ""
    tunes: list[dict[str, Any]] = field(default_factory=list)
    problems: list[dict[str, Any]] = field(default_factory=list)
    files: list[Staged] = field(default_factory=list)
    final: bool = True
    remarks: list[str] = field(default_factory=list)


def problem(kind: ProblemKind, message: str, severity: Severity | None = None) -> dict[str, Any]:
    """A problem without a place as plain data."""
    return {
        "line": None,
        "column": None,
        "severity": (severity or kind.severity).value,
        "code": kind.code,
        "message": message,
    }


def itself_failed(error: BaseException) -> dict[str, Any]:
    """An error that nobody thought of, for the file that brought it up."""
    said = f"{type(error).__name__}: {error}".removesuffix(": ")
    return problem(kinds.INTERNAL, f"rollstave itself failed on this file: {said}")
