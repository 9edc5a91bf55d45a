"""The titles of the corpus's tunes, and what dances they name.

    python -m tests.benchmarks.rhythm.dances

prints how often each dance of ``rollstave.deciding.dances`` is in which meter among the tunes that
may be tuned on: its table ``COUNTED`` is this.
"""

from __future__ import annotations

from collections import Counter
from functools import lru_cache
from pathlib import Path

from .corpus import COLLECTION, load
from .split import is_for_tuning


@lru_cache(maxsize=1)
def titles() -> dict[int, str]:
    """The title (``T:``) of each tune of the corpus, by its number."""
    from music21 import corpus

    paths = sorted(str(p) for p in corpus.getPaths() if p.parent.name == COLLECTION)
    return {number: _title(Path(path)) for number, path in enumerate(paths)}


def _title(path: Path) -> str:
    lines = path.read_text("utf-8", "replace").splitlines()
    return next((line[2:].strip() for line in lines if line.startswith("T:")), path.stem)


def main() -> None:
    from rollstave.deciding.dances import dance_of

    found: dict[str, Counter[str]] = {}
    for tune in load().tunes:
        dance = dance_of([titles()[tune.number]])
        if is_for_tuning(tune.number) and dance is not None:
            found.setdefault(dance, Counter())[str(tune.meter)] += 1
    for dance, counts in found.items():
        print(dance, dict(counts.most_common()))


if __name__ == "__main__":
    main()
