"""Which tests call which function: those that may notice a fault in it are run first.

``python -m tests.benchmarks.mutation.touched FILE`` runs all tests of the map (``rooms.py``) once
and writes a line for each: its name, its seconds, and the functions that it called. What a test
takes from another's work (a session's fixture, a cache) is not seen, so a fault that no test of
these notices is still shown to the other tests of its room. A test that fails is not written down.
"""

from __future__ import annotations

import json
import sys
import threading
import time
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from types import CodeType, FrameType

import pytest
from tests.benchmarks.mutation.rooms import EVERYWHERE, ROOMS

ROOT = Path(__file__).parents[3]
_WATCHED = (str(ROOT / "convert"), str(ROOT / "plugins"))
_TURN = 4  # tests of one file that are run after each other, before those of another file


class _Watch:
    """A plugin of pytest that writes down what each test calls."""

    def __init__(self, file: Path) -> None:
        self.told = file.open("w", encoding="utf-8")
        self.failed: set[str] = set()

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed:
            self.failed.add(report.nodeid)

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        called: dict[int, CodeType] = {}

        def note(frame: FrameType, event: str, value: object) -> None:
            called[id(frame.f_code)] = frame.f_code

        begun = time.process_time()
        threading.settrace(note)
        sys.settrace(note)
        try:
            result = yield
        finally:
            sys.settrace(None)
            threading.settrace(None)
        functions = sorted({_name(code) for code in list(called.values()) if _is_ours(code)})
        row = (item.nodeid, round(time.process_time() - begun, 4), functions)
        if item.nodeid not in self.failed:
            self.told.write(json.dumps(row) + "\n")
        return result


def _is_ours(code: CodeType) -> bool:
    return code.co_filename.startswith(_WATCHED)


def _name(code: CodeType) -> str:
    path = Path(code.co_filename).relative_to(ROOT).as_posix()
    return f"{path}::{code.co_qualname}"


class Touched:
    """A map that was read: the tests that call each function, and what each costs."""

    def __init__(self, file: Path | None) -> None:
        self.seconds: dict[str, float] = {}
        self.calling: dict[str, list[str]] = defaultdict(list)
        for line in file.read_text("utf-8").splitlines() if file else ():
            test, seconds, functions = json.loads(line)
            self.seconds[test] = seconds
            for name in functions:
                self.calling[name].append(test)

    def ordered(self, path: str, function: str, stages: Sequence[Sequence[str]]) -> list[str]:
        """All tests of some stages in the order in which they are to be run on a function that was
        changed: those that call it, of the first stage, those of the first stage that the map does
        not know (``?`` and a file or folder), those of all others that call it, then those of each
        stage; of these the quick ones first, a few of each file in turn. In the end all others
        that the map does not know."""
        calling = set(self.calling.get(f"{path}::{function}", []))
        near = {t for t in self.seconds if any(_is_in(t, n) for n in next(iter(stages), ()))}
        found = self._in_turns(calling & near)
        found += [f"?{name}" for name in next(iter(stages), ()) if self.seconds]
        found += self._in_turns(calling - near)
        for stage in stages:
            found += self._in_turns(t for t in self.seconds if any(_is_in(t, n) for n in stage))
        # What is not in the map: all of them without one.
        return list(dict.fromkeys([*found, *(name for stage in stages for name in stage)]))

    def knows(self, path: str, function: str) -> bool:
        return not self.seconds or f"{path}::{function}" in self.calling

    def _in_turns(self, tests: Iterable[str]) -> list[str]:
        by_file: dict[str, list[str]] = defaultdict(list)
        for test in sorted(tests, key=lambda t: (self.seconds[t], t)):
            by_file[test.partition("::")[0]].append(test)
        turns = [
            (first // _TURN, sum(map(self.seconds.__getitem__, some)), some)
            for whole in by_file.values()
            for first in range(0, len(whole), _TURN)
            if (some := whole[first : first + _TURN])
        ]
        return [test for _, _, some in sorted(turns) for test in some]


def _is_in(test: str, name: str) -> bool:
    return test.startswith(name) and test[len(name) : len(name) + 1] in ("", "/", ":", "[")


def main() -> int:
    """Run the tests of the map, and write what each calls; more arguments are pytest's."""
    paths = dict.fromkeys(test for room in ROOMS for test in (*room.near, *EVERYWHERE, *room.far))
    options = ["-q", "-p", "no:cacheprovider", "--tb=line", *sys.argv[2:], *paths]
    return int(pytest.main(options, plugins=[_Watch(Path(sys.argv[1]).resolve())]))


if __name__ == "__main__":
    sys.exit(main())
