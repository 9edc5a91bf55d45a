"""What fuzzing finds: kept by kind, each kind once and as short as it was seen."""

from __future__ import annotations

import json
import traceback
from collections.abc import Callable
from pathlib import Path

# Two seconds for 100 kB is the project's bar. A short input cannot be timed so finely: this much
# CPU time is always granted, which is a thousand times what a piece takes.
SECONDS_FOR_100_KB = 2.0
GRANTED = 0.5
_SLOWEST = 6


def signature(error: BaseException) -> str:
    """Where an exception came from: its type, and the innermost lines of the project."""
    frames = traceback.extract_tb(error.__traceback__)
    own = [f for f in frames if "rollstave" in f.filename or "fuzzing" in f.filename]
    places = [f"{Path(f.filename).stem}.{f.name}:{f.lineno}" for f in own[-2:]]
    return f"{type(error).__name__} in {' > '.join(places)}"


class Findings:
    """A folder with a file for each kind of finding, and the slowest inputs of a target."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        folder.mkdir(parents=True, exist_ok=True)
        self._lengths: dict[str, int] = {}
        self.counts: dict[str, int] = {}
        self._slow: list[tuple[float, bytes]] = []

    def failed(self, data: bytes, error: BaseException) -> None:
        """Keep an input that raised, if it is the first of its kind or shorter."""
        kind = signature(error)
        self.counts[kind] = self.counts.get(kind, 0) + 1
        if kind in self._lengths and self._lengths[kind] <= len(data):
            return
        self._lengths[kind] = len(data)
        name = f"crash-{len(kind):03}-{abs(hash(kind)) % 10**8:08}"
        (self._folder / f"{name}.input").write_bytes(data)
        words = "".join(traceback.format_exception(error))[-6000:]
        (self._folder / f"{name}.txt").write_text(f"{kind}\n\n{words}", "utf-8", "backslashreplace")

    def took(self, data: bytes, seconds: float) -> None:
        """Keep an input if it is among the slowest for its length."""
        share = seconds / max(len(data), 40)
        if len(self._slow) == _SLOWEST and share <= self._slow[-1][0]:
            return
        self._slow.append((share, data))
        self._slow.sort(key=lambda found: -found[0])
        del self._slow[_SLOWEST:]
        lines = [json.dumps({"per_byte": s, "hex": d.hex()}) for s, d in self._slow]
        (self._folder / "slowest.jsonl").write_text("\n".join(lines), "ascii")


def slowest(folder: Path) -> list[bytes]:
    path = folder / "slowest.jsonl"
    if not path.exists():
        return []
    return [bytes.fromhex(json.loads(line)["hex"]) for line in path.read_text("ascii").split("\n")]


def shrunk(data: bytes, fails: Callable[[bytes], bool], tries: int = 4000) -> bytes:
    """The input with all taken out that is not needed for ``fails``: lines first, then bytes."""
    for divider in (b"\n", b""):
        parts = data.split(divider) if divider else [data[n : n + 1] for n in range(len(data))]
        size = max(1, len(parts) // 2)
        while size and tries > 0:
            at = 0
            while at < len(parts) and tries > 0:
                shorter = divider.join(parts[:at] + parts[at + size :])
                tries -= 1
                if fails(shorter):
                    parts = parts[:at] + parts[at + size :]
                else:
                    at += size
            size //= 2
        data = divider.join(parts)
    return data
