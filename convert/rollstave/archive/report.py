"""``report.html`` and ``report.json``: every tune of an archive, written without holding all."""

from __future__ import annotations

import base64
import hashlib
import json
import os
import tempfile
from collections import Counter
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import IO, Any
from urllib.parse import quote

from rollstave.archive.jobs import problem
from rollstave.archive.sources import Found
from rollstave.archive.state import State, Told
from rollstave.outputs import disk, guard
from rollstave.outputs.own import REPORTS, shown
from rollstave.reporting.summary import where
from rollstave.vocabulary import problems as kinds

# What is told of a tune; a tune that was made by an earlier version may not have all of it.
_SAID = ("title", "tuning", "key", "meter", "headings", "measures", "sure")
# What reports begin with, now and in earlier versions: others of that name are not ours.
_OURS = {
    ".json": b'{\n"made_by": "rollstave',
    ".html": b"<title>Report of the conversion</title>",
}
_SHOWN_STATUS = {
    "done": "good",
    "warned": "with warnings",
    "failed": "failed",
    "skipped": "no tab",
    "vanished": "vanished",
}


def write_reports(
    out: Path,
    state: State,
    formats: tuple[str, ...],
    found: Found,
    left: int,
    overwrite: bool = False,
) -> tuple[list[Path], list[str]]:
    """Write both reports of everything that is known in ``out``, each whole or not at all; their
    paths, and what is said of files that they replaced.

    ``left`` is how many files a run that was stopped has not come to. Raises OSError, and Refused
    if another file has the name of one and may not be written over.
    """
    from rollstave.version import __version__

    counts = _counts(state)
    head = {
        "made_by": f"rollstave {__version__}",
        "formats": list(formats),
        "not_yet_done": left,
        "counts": counts,
        "passed_over": [{"file": path, "reason": reason} for path, reason in found.passed],
        "folders_not_read": [
            {"folder": path.encode("utf-8", "replace").decode(), "reason": reason}
            for path, reason in found.unlisted
        ],
        "patterns_without_files": [
            pattern.encode("utf-8", "replace").decode() for pattern in found.unmatched
        ],
        "other_files": dict(sorted(found.others.items())),
    }
    paths = [out / name for name in REPORTS]
    foreign = [path for path in paths if not _is_report(path)]
    if foreign and not overwrite:
        raise guard.Refused(f"{shown(str(foreign[0]))} is none of rollstave's; {guard.AWAY}")
    kept = []
    for path in foreign:
        where = disk.keep(str(path), str(out))
        kept.append(f"{shown(str(path))} was replaced; what it was is kept as {shown(where)}")
    with _whole(paths[0]) as stream:
        _write_json(stream, head, entries(state))
    with _whole(paths[1]) as stream:
        folder = common_folder(entry["file"] for entry in entries(state))
        _write_html(stream, head | {"folder": folder}, entries(state))
    return paths, kept


def _is_report(path: Path) -> bool:
    """True if nothing stands at a path, or an earlier report of ours. Raises OSError, Refused."""
    guard.refuse_odd(str(path))
    if not os.path.lexists(path):
        return True
    if path.is_symlink():
        return False
    with open(path, "rb") as stream:
        return _OURS[path.suffix] in stream.read(1024)


def entries(state: State) -> Iterator[dict[str, Any]]:
    """One entry for each tune, or for a file that has none; plain data, as in ``report.json``."""
    for told in state.told():
        remarks = _remarks(told)
        if told.status != "done":
            yield _entry(told, told.status, {}, told.problems, remarks, [])
            continue
        for position, tune in enumerate(told.tunes):
            warned = any(p["severity"] == "warning" for p in tune["problems"])
            outputs = [
                {"format": o.form, "path": o.path} for o in told.outputs if o.tune == position
            ]
            status = "warned" if warned else "done"
            yield _entry(told, status, tune, tune["problems"], remarks, outputs)
        failed: dict[str, list[dict[str, Any]]] = {}
        for wrong in told.problems:
            failed.setdefault(wrong.get("part_of_file", ""), []).append(wrong)
        for part, problems in failed.items():
            yield _entry(told, "failed", {"part_of_file": part}, problems, [], [])


def _entry(
    told: Told,
    status: str,
    tune: dict[str, Any],
    problems: list[dict[str, Any]],
    remarks: list[dict[str, Any]],
    outputs: list[dict[str, str]],
) -> dict[str, Any]:
    part = tune.get("part_of_file", "")
    return {
        "file": f"{told.name}, {part}" if part else told.name,
        "status": status,
        **{name: tune.get(name) for name in _SAID},
        "problems": remarks + problems,
        "outputs": outputs,
    }


def _remarks(told: Told) -> list[dict[str, Any]]:
    """Notices about the file itself: its name, and outputs that do not belong to it as it is."""
    remarks = []
    if told.remark:
        remarks.append(problem(kinds.NAME, told.remark))
    if told.gone and told.status == "done":
        remarks.append(problem(kinds.OLD, "the file is no longer there"))
    if told.older:
        paths = ", ".join(output.path for output in told.older)
        words = f"still there from an earlier version of the file: {paths}"
        remarks.append(problem(kinds.OLD, words))
    return remarks


def common_folder(names: Iterable[str]) -> str:
    """The folder that all files lie in, with its ``/`` at the end, or nothing.

    The page says it once: in every row it would take room, and a search for a word in it would
    find everything.
    """
    common: list[str] | None = None
    for name in names:
        parts = name.split("/")[:-1]
        if common is None:
            common = parts
        pairs = enumerate(zip(common, parts, strict=False))
        length = next((n for n, (one, other) in pairs if one != other), len(parts))
        common = common[:length]
    return "/".join([*common, ""]) if common else ""


def _counts(state: State) -> dict[str, int]:
    counts = Counter(entry["status"] for entry in entries(state))
    return {status: counts[status] for status in _SHOWN_STATUS}


class _whole:
    """A text file that appears when it is complete; what was there stays until then."""

    def __init__(self, path: Path) -> None:
        self._path = path
        handle, self._temporary = tempfile.mkstemp(prefix=".report-", dir=path.parent)
        self._stream = os.fdopen(
            handle, "w", encoding="utf-8", errors="backslashreplace", newline="\n"
        )

    def __enter__(self) -> IO[str]:
        return self._stream

    def __exit__(self, kind: type[BaseException] | None, *rest: object) -> None:
        try:
            if kind is None:
                self._stream.flush()
                os.fsync(self._stream.fileno())
            self._stream.close()
            if kind is None:
                mask = os.umask(0)
                os.umask(mask)
                os.chmod(self._temporary, 0o666 & ~mask)
                os.replace(self._temporary, self._path)
        finally:
            if os.path.exists(self._temporary):
                os.unlink(self._temporary)


def _write_json(stream: IO[str], head: dict[str, Any], rows: Iterable[dict[str, Any]]) -> None:
    stream.write("{\n")
    for name, value in head.items():
        stream.write(f"{json.dumps(name)}: {json.dumps(value, ensure_ascii=False)},\n")
    stream.write('"tunes": [')
    for number, row in enumerate(rows):
        stream.write(",\n" if number else "\n")
        stream.write(json.dumps(row, ensure_ascii=False))
    stream.write("\n]\n}\n")


def _write_html(stream: IO[str], head: dict[str, Any], rows: Iterable[dict[str, Any]]) -> None:
    import jinja2
    import markupsafe

    environment = jinja2.Environment(
        loader=jinja2.PackageLoader("rollstave.archive", "templates"),
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        undefined=jinja2.StrictUndefined,
    )
    environment.filters["link"] = link
    environment.filters["where"] = lambda told: where(told).removeprefix(":")
    template = environment.get_template("report.html")
    # Our own file, so it is not escaped; the page allows the script with this hash and no other.
    assert environment.loader is not None
    script = environment.loader.get_source(environment, "report.js")[0]
    words = {
        "rows": (_labelled(row, head["folder"]) for row in rows),
        "status_words": _SHOWN_STATUS,
        "script": markupsafe.Markup(script),
        "script_hash": base64.b64encode(hashlib.sha256(script.encode()).digest()).decode(),
        **head,
    }
    for piece in template.generate(**words):
        stream.write(piece)


def _labelled(row: dict[str, Any], folder: str) -> dict[str, Any]:
    """A row whose file is named from ``folder`` on, and whose outputs have labels to show: the
    format, and the page where there are several."""
    pages = Counter(o["format"] for o in row["outputs"])
    seen: Counter[str] = Counter()
    labelled = []
    for output in row["outputs"]:
        form = output["format"]
        seen[form] += 1
        label = f"{form}, page {seen[form]}" if pages[form] > 1 else form
        labelled.append({**output, "label": label})
    return {**row, "file": row["file"].removeprefix(folder), "outputs": labelled}


def link(path: str) -> str:
    """A path below the report's folder as a relative address; no path can name a scheme."""
    return "./" + quote(path.encode("utf-8", "surrogateescape"), safe="/")
