"""Hostile files: bounded time and memory, and a clear message or a correct result.

``python -m tests.benchmarks.hostile [PART ...]`` makes the files of ``hostile_inputs.py`` (those
whose names have one of the PARTs in them) and puts each through ``rollstave.read`` and ``write``
in a process of its own, through ``rollstave convert FILE``, and at last all together, beside good
tabs, through ``rollstave convert FOLDER``. Printed are seconds of the processor, peak memory
(resident, of the process and the largest it waited for) and what was said. Exit code 1 if a bound
is broken, a message is not clear, a good tab suffers, or anything was fetched or read from
elsewhere. The bounds are ten seconds of one core and 500 MB, start and all formats included,
whatever else the machine does. Of the folder's run the memory is the run's own; its workers have
the limit of ``--memory``. POSIX only.
"""

from __future__ import annotations

import contextlib
import json
import os
import resource
import signal
import socket
import subprocess
import sys
import tempfile
import threading
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from tests.benchmarks.hostile_inputs import CASES, HEAD, READ, REFUSED, SECRET, Hostile, Places
from tests.benchmarks.hostile_inputs import system as tab_system
from tests.benchmarks.hostile_inputs import write as write_case

PATIENCE = 600.0  # seconds by the clock that a process is given, on however busy a machine
GOOD = 3  # tabs beside the hostile ones in the folder
LONGEST_LINE = 500  # characters of a message that a person still reads
GUARD = 6 * 1024**3  # bytes of data a process may have here, so that the machine survives
FOLDER_SECONDS = 60  # what the folder's run gives a tune; the default of the command
FOLDER_FORMS = "musicxml,svg,midi"


@dataclass
class Outcome:
    """What a process did: seconds of the processor, peak megabytes, exit code, what it wrote."""

    seconds: float
    megabytes: float
    code: int
    out: str
    err: str
    broken: list[str] = field(default_factory=list)

    @property
    def said(self) -> str:
        """The first line of its message, or of what it wrote."""
        lines = (self.err or self.out).strip().splitlines()
        return lines[0] if lines else ""


def run(command: Sequence[str], seconds: float, folder: Path) -> Outcome:
    """Run a command for at most so many seconds by the clock; time and peak of memory are those of
    wait4(2)."""
    with (folder / "stdout").open("w+b") as out, (folder / "stderr").open("w+b") as err:
        process = subprocess.Popen(
            command,
            stdout=out,
            stderr=err,
            start_new_session=True,
            preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_DATA, (GUARD, GUARD)),
        )
        timer = threading.Timer(seconds, _end_group, (process.pid,))
        timer.start()
        _, status, usage = os.wait4(process.pid, 0)
        timer.cancel()
        process.returncode = code = os.waitstatus_to_exitcode(status)
        spent = usage.ru_utime + usage.ru_stime
        texts = []
        for stream in (out, err):
            stream.seek(0)
            texts.append(stream.read().decode("utf-8", "backslashreplace"))
    return Outcome(spent, usage.ru_maxrss / 1024, code, *texts)


def _end_group(group: int) -> None:
    with contextlib.suppress(ProcessLookupError):
        os.killpg(group, signal.SIGKILL)


class Listener:
    """A port of this machine that counts who calls."""

    def __init__(self) -> None:
        self.calls = 0
        self._socket = socket.create_server(("127.0.0.1", 0))
        self.port: int = self._socket.getsockname()[1]
        threading.Thread(target=self._listen, daemon=True).start()

    def _listen(self) -> None:
        while True:
            with contextlib.suppress(OSError):
                connection, _ = self._socket.accept()
                self.calls += 1
                connection.close()


def through_python(case: Hostile, path: Path, folder: Path) -> Outcome:
    """``rollstave.read`` and ``rollstave.write`` in a fresh process."""
    command = [sys.executable, "-m", __spec__.name, "--child", str(path), ",".join(case.forms)]
    return run(command, PATIENCE, folder)


def through_command(case: Hostile, path: Path, folder: Path, places: Places) -> Outcome:
    """``rollstave convert FILE``; nothing may be written but below ``--out``."""
    out = folder / "out" / case.name
    command = [sys.executable, "-m", "rollstave", "convert", str(path), "--out", str(out)]
    outcome = run([*command, "--to", ",".join(case.forms)], PATIENCE, folder)
    if outcome.code == 0 and not any(out.rglob("*")):
        outcome.broken.append("nothing was written")
    if any(SECRET.encode() in p.read_bytes() for p in out.rglob("*") if p.is_file()):
        outcome.broken.append("a file from elsewhere was read")
    return outcome


def child(path: str, forms: str) -> int:
    """In the process of :func:`through_python`: 0 if it was converted, 2 if it was refused."""
    import rollstave

    try:
        tunes = rollstave.read(Path(path))
    except rollstave.TabError as error:
        print(error.problems[0].format(Path(path).name), file=sys.stderr)
        return 2
    measures = sum(len(tune.score.measures) for tune in tunes)
    print(f"read: {len(tunes)} tune, {measures} measures")
    for form in forms.split(","):
        size = sum(len(data) for tune in tunes for data in rollstave.write(tune, form))
        print(f"{form}: {size} bytes")
    return 0


def judge(case: Hostile, outcome: Outcome) -> Outcome:
    """Add what is broken to an outcome."""
    broken = outcome.broken
    if outcome.seconds > case.seconds:
        broken.append(f"over {case.seconds:g} s")
    if outcome.megabytes > case.megabytes:
        broken.append(f"over {case.megabytes} MB")
    if outcome.code not in (0, 2):
        broken.append(f"exit code {outcome.code}")
    became = READ if outcome.code == 0 else REFUSED
    expected = case.at_full_size
    if expected in (READ, REFUSED) and expected != became:
        broken.append(f"should be {expected}")
    if "Traceback" in outcome.out + outcome.err:
        broken.append("a traceback")
    if outcome.code == 2 and not outcome.err.strip():
        broken.append("no message")
    if any(len(line) > LONGEST_LINE for line in (outcome.out + outcome.err).splitlines()):
        broken.append("a line nobody can read")
    if SECRET in outcome.out + outcome.err:
        broken.append("a file from elsewhere was read")
    return outcome


def row(name: str, way: str, outcome: Outcome) -> None:
    print(
        f"{name:34} {way:8} {outcome.seconds:7.1f} {outcome.megabytes:7.0f} {outcome.code:4}  "
        f"{'BROKEN: ' + ', '.join(outcome.broken) + ' ' if outcome.broken else ''}"
        f"{outcome.said.rpartition('/')[2][:110]}",
        flush=True,
    )


def together(cases: Sequence[Hostile], tabs: Path, folder: Path) -> Outcome:
    """All files in one folder beside good ones: each is told of by name, the good ones are done."""
    for number in range(GOOD):
        (tabs / f"good-{number}.txt").write_text(HEAD + tab_system(8), encoding="utf-8")
    out = folder / "sheets"
    command = [sys.executable, "-m", "rollstave", "convert", str(tabs), "--out", str(out)]
    limit = FOLDER_SECONDS * (len(cases) + GOOD)
    outcome = run([*command, "--to", FOLDER_FORMS], limit, folder)
    try:
        told = json.loads((out / "report.json").read_text(encoding="utf-8"))["tunes"]
    except (OSError, ValueError) as error:
        outcome.broken.append(f"no report: {error}")
        return outcome
    by_name = {Path(entry["file"]).name: entry for entry in told}
    for number in range(GOOD):
        entry = by_name.get(f"good-{number}.txt", {})
        if entry.get("status") != "done" or len(entry["outputs"]) != 3:
            outcome.broken.append(f"good-{number}.txt suffered")
    for case in cases:
        entry = by_name.get(case.name)
        if entry is None:
            outcome.broken.append(f"{case.name} is not in the report")
        elif case.at_full_size == REFUSED and entry["status"] not in ("failed", "skipped"):
            outcome.broken.append(f"{case.name} was not refused")
        elif not entry["outputs"] and not entry["problems"]:
            outcome.broken.append(f"{case.name}: no reason is given")
        if entry is not None and not entry["outputs"] and entry["problems"]:
            print(f"    {case.name}: {entry['status']}: {entry['problems'][0]['message'][:120]}")
    if any(SECRET.encode() in p.read_bytes() for p in out.rglob("*") if p.is_file()):
        outcome.broken.append("a file from elsewhere was read")
    return outcome


def main(parts: Sequence[str]) -> int:
    """Run all cases; 0 if no bound is broken."""
    cases = [c for c in CASES if not parts or any(part in c.name for part in parts)]
    listener = Listener()
    with tempfile.TemporaryDirectory(prefix="hostile-") as name:
        folder = Path(name)
        places = Places(folder / "secret.txt", listener.port)
        places.secret.write_text(SECRET, encoding="utf-8")
        tabs = folder / "deep" / "er" / "tabs"
        tabs.mkdir(parents=True)
        print(f"load of the machine: {os.getloadavg()[0]:.1f}")
        print(f"{'file':34} {'way':8} {'seconds':>7} {'MB':>7} {'exit':>4}  what was said")
        broken = sum(_both(case, tabs, folder, places) for case in cases)
        outcome = together(cases, tabs, folder)
        row(f"{len(cases)} files and {GOOD} good ones", "folder", outcome)
        broken += bool(outcome.broken)
        if listener.calls:
            print(f"BROKEN: {listener.calls} calls over the network")
        strays = [p for p in folder.rglob("hostile-escape*") if "sheets" not in p.parts]
        if strays or Path("../hostile-escape.xml").exists():
            print(f"BROKEN: written outside: {strays}")
        broken += bool(listener.calls) + bool(strays)
    print("every bound holds" if not broken else f"{broken} broken")
    return 1 if broken else 0


def _both(case: Hostile, tabs: Path, folder: Path, places: Places) -> int:
    """Put a case through Python and the command; in how many of the two something broke."""
    path = write_case(case, tabs, places)
    outcomes: Iterator[tuple[str, Outcome]] = iter(
        (
            ("python", through_python(case, path, folder)),
            ("command", through_command(case, path, folder, places)),
        )
    )
    broken = 0
    for way, outcome in outcomes:
        row(case.name, way, judge(case, outcome))
        broken += bool(outcome.broken)
    return broken


if __name__ == "__main__":
    if sys.argv[1:2] == ["--child"]:
        sys.exit(child(*sys.argv[2:4]))
    sys.exit(main(sys.argv[1:]))
