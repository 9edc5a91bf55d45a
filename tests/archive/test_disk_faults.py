"""The disk fails at a call that would change it: some calls here, every one of them with
``python -m tests.benchmarks.faults``."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests import disk_faults
from tests.disk_faults import ERRORS, SCENARIOS, Disk, faults_of, wanted

_MOST = 5  # calls that fail in a test of each command


@pytest.mark.parametrize("name", SCENARIOS)
def test_a_disk_that_fails_loses_nothing_and_is_named(tmp_path: Path, name: str) -> None:
    with disk_faults.without_processes():
        good, calm = wanted(SCENARIOS[name], tmp_path / "good")
        count = len(calm.calls)
        assert count >= 3, calm.calls
        step = max(1, count // _MOST)
        for number, fails in enumerate(range(1, count + 1, step)):
            disk = Disk(fails, ERRORS[number % len(ERRORS)], forever=bool(number % 2))
            found = faults_of(SCENARIOS[name], tmp_path / str(fails), disk, good)
            assert found == [], f"{name}: call {fails} of {count} ({disk.failed})"
