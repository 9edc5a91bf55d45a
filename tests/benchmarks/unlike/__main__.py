"""The report: ``python -m tests.benchmarks.unlike [--each]``."""

from __future__ import annotations

import sys
from collections import Counter
from pathlib import Path

from tests.benchmarks.unlike.score import KINDS, as_share, compare
from tests.benchmarks.unlike.truth import load

TEXTS = Path(__file__).with_name("texts")


def main(folder: Path, each: bool) -> None:
    """Print what is right, silent, a false alarm; with ``each`` every difference."""
    found = [
        compare(path, load(path.with_suffix(".json"))) for path in sorted(folder.glob("*.txt"))
    ]
    number = len(found)
    print(f"wholly right       {as_share(sum(c.right for c in found), number)}")
    for kind in KINDS:
        right = sum(all(d.kind != kind for d in c.differences) for c in found)
        print(f"{kind:12} right {as_share(right, number)}")
    print(f"refused            {as_share(sum(c.refused for c in found), number)}")
    print(f"silent             {as_share(sum(bool(c.silent) for c in found), number)}")
    music = [d for c in found for d in c.silent if d.kind == "music"]
    texts = sum(any(d.kind == "music" for d in c.silent) for c in found)
    print(f"  of them in music {as_share(texts, number)}, {len(music)} places")
    print(f"false alarms       {as_share(sum(bool(c.alarms) for c in found), number)}")
    for c in found if each else ():
        if c.differences or c.alarms:
            print(f"\n{c.name}:")
        for d in c.differences[:12]:
            print(f"  {'SILENT ' if d.silent else ''}{d.kind}: {d.words[:230]}")
        for alarm in c.alarms[:3]:
            print(f"  alarm: {alarm[:160]}")
    if each:
        print(Counter(d.kind for c in found for d in c.differences))


if __name__ == "__main__":
    arguments = [a for a in sys.argv[1:] if not a.startswith("-")]
    main(Path(arguments[0]) if arguments else TEXTS, "--each" in sys.argv)
