"""Every call that changes the disk fails once, in every command that writes.

``python -m tests.benchmarks.faults [COMMAND ...]`` runs each command of
:mod:`tests.disk_faults` with the n-th call failing, for every n, with three errors, for that call
only and from it on. Afterwards each file is the earlier or the new one, exit code 0 means that all
are new, 2 that something was said, and the next run mends it. Exit code 1 if that does not hold.
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
from pathlib import Path

from tests import disk_faults
from tests.disk_faults import ERRORS, SCENARIOS, Disk, faults_of, wanted


def main(names: list[str]) -> int:
    """Run the commands of these names; 0 if all is well."""
    bad = 0
    with disk_faults.without_processes():
        for name in names or list(SCENARIOS):
            start = time.monotonic()
            with tempfile.TemporaryDirectory(prefix="faults-") as place:
                runs, found = _all(name, Path(place))
            bad += len(found)
            print(f"{name}: {runs} faults, {len(found)} not well, {time.monotonic() - start:.0f} s")
            for line in found:
                print(f"  {line}")
    return 1 if bad else 0


def _all(name: str, place: Path) -> tuple[int, list[str]]:
    scenario = SCENARIOS[name]
    good, calm = wanted(scenario, place / "good")
    found = []
    runs = 0
    for fails in range(1, len(calm.calls) + 1):
        for error in ERRORS:
            for forever in (False, True):
                runs += 1
                disk = Disk(fails, error, forever)
                wrong = faults_of(scenario, place / str(runs), disk, good)
                what = f"call {fails} ({disk.failed}), {os.strerror(error)}"
                found += [f"{what}{', for good' if forever else ''}: {w}" for w in wrong]
    return runs, found


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
