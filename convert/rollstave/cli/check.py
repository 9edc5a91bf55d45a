"""``rollstave check``: what is understood of tabs, and what a good editor would mark in them."""

from __future__ import annotations

import json
import os
import re
import sys
from typing import TYPE_CHECKING, Any

import click
from msgspec.structs import replace

from rollstave.vocabulary import problems as kinds

if TYPE_CHECKING:
    from rollstave.api import Part, Tune
    from rollstave.problems import Place, Problem
    from rollstave.proofreading import Correction

EXIT_TO_MEND, EXIT_ERROR = 1, 2


@click.command()
@click.argument("files", nargs=-1, required=True)
@click.option("--json", "as_json", is_flag=True, help="Print the report as JSON.")
def check(files: tuple[str, ...], as_json: bool) -> None:
    """Proofread tabs without writing anything.

    Exit code 0 if there is nothing to mend, 1 if there is, 2 if a file cannot be read.
    """
    reports: list[dict[str, Any]] = []
    codes = [_checked(name, as_json, reports) for name in files]
    if as_json:
        data: Any = reports[0] if len(reports) == 1 else reports
        text = json.dumps(data, indent=2, ensure_ascii=False)
        click.echo(text.encode("utf-8", "backslashreplace"))
    sys.exit(max(codes))


def _checked(name: str, as_json: bool, reports: list[dict[str, Any]]) -> int:
    """Check one file; an error that nobody thought of costs this file only."""
    try:
        return _check(name, as_json, reports)
    except OSError:  # of what is printed
        raise
    except Exception as error:
        problem = kinds.INTERNAL.problem(
            f"rollstave itself failed: {type(error).__name__}: {error}"
        )
        return _unreadable(name, (problem,), [], as_json, reports)


def _check(name: str, as_json: bool, reports: list[dict[str, Any]]) -> int:
    """Check one file; its exit code."""
    from rollstave.api import has_no_tab, read_parts
    from rollstave.archive.given import given_for
    from rollstave.reporting.files import read_bytes, stem_of

    shown = "standard input" if name == "-" else name
    try:
        data = read_bytes(name)
    except OSError as error:
        problem = kinds.FILE.problem(f"cannot be read: {error.strerror or error}")
        return _unreadable(shown, (problem,), [], as_json, reports)
    parts = read_parts(data, name=stem_of(name), headings=given_for(name, os.curdir))
    several = any(part.tunes for part in parts) and len(parts) > 1
    kept = [part for part in parts if not (several and has_no_tab(part))]
    codes = [_check_part(shown, part, _lines(data, part), as_json, reports) for part in kept]
    if (left := len(parts) - len(kept)) and not as_json:
        click.echo(f"{shown}: notice: {left:,} of its {len(parts):,} messages have no tab")
    return max(codes)


def _check_part(
    shown: str, part: Part, lines: list[str], as_json: bool, reports: list[dict[str, Any]]
) -> int:
    """Check one text of a file; its exit code."""
    from rollstave.problems import Severity
    from rollstave.proofreading import proofread
    from rollstave.reporting.summary import for_people, summary

    shown = f"{shown}, {part.name}" if part.name else shown
    if not part.tunes:
        return _unreadable(shown, part.problems, lines, as_json, reports)
    code = 0
    for tune in part.tunes:
        marks = tuple(replace(m, place=part.placed(m.place)) for m in proofread(tune))
        code = EXIT_TO_MEND if marks else code
        if as_json:
            reports.append(_with_marks(summary(tune, shown), tune, marks))
            continue
        # A warning without a place (in a MusicXML file) is nothing that a mark could stand at.
        notices = tuple(
            p for p in tune.problems if p.severity is Severity.NOTICE or p.place is None
        )
        for line in for_people(replace(tune, problems=notices), shown):
            click.echo(line)
        for mark in marks:
            _show(shown, mark.place, mark.message, mark.mend, lines)
        click.echo(f"  to mend: {len(marks) or 'nothing'}")
    return code


def _unreadable(
    shown: str,
    problems: tuple[Problem, ...],
    lines: list[str],
    as_json: bool,
    reports: list[dict[str, Any]],
) -> int:
    from rollstave.reporting.summary import problem_data

    reports.append({"file": shown, "measures": [], "problems": [problem_data(p) for p in problems]})
    if not as_json:
        for problem in problems:
            click.echo(problem.format(shown), err=True)
            if problem.place:
                _caret(problem.place, lines, err=True)
    return EXIT_ERROR


def _with_marks(
    report: dict[str, Any], tune: Tune, marks: tuple[Correction, ...]
) -> dict[str, Any]:
    """The report with the marks among its problems, each with its mend ("" where none is known)."""
    from rollstave.problems import Problem, Severity
    from rollstave.reporting.summary import problem_data

    known = {(p.code, p.place) for p in tune.problems}
    found = [{"mend": ""} | problem for problem in report["problems"]]
    found += [
        {
            **problem_data(
                Problem(
                    severity=Severity.WARNING,
                    code=mark.code,
                    message=mark.message,
                    place=mark.place,
                )
            ),
            "mend": mark.mend,
        }
        for mark in marks
        if (mark.code, mark.place) not in known
    ]
    found.sort(key=lambda p: (p["line"] or 0, p["column"] or 0))
    return report | {"problems": found, "to_mend": len(marks)}


def _lines(data: bytes, part: Part) -> list[str]:
    """The lines of a text as they are told of: of a document, those that were brought out of it."""
    from rollstave.musicxml_in.detect import is_musicxml
    from rollstave.problems import TabError
    from rollstave.reading.page.decode import decode, split_lines

    if data.startswith(b"PK") and is_musicxml(data):
        return []  # packed: its lines are not those of the file
    try:
        return [line.typed for line in split_lines(part.text or decode(data))]
    except TabError:
        return []


def _show(shown: str, place: Place, message: str, mend: str, lines: list[str]) -> None:
    click.echo(f"{shown}:{place}: {message}")
    _caret(place, lines)
    if mend:
        click.echo(f"    mend: {mend}")


def _caret(place: Place, lines: list[str], err: bool = False) -> None:
    """The line and a caret under the column; a tab stays a tab, so that the two stand together."""
    if not 1 <= place.line <= len(lines):
        return
    line = lines[place.line - 1]
    if not line.strip():
        return
    under = re.sub(r"[^\t]", " ", line[: place.column - 1]).ljust(place.column - 1)
    click.echo(f"    {line}", err=err)
    click.echo(f"    {under}^", err=err)
