"""The titles of the corpus's tunes, and what dances they name.

    python -m tests.benchmarks.rhythm.dances

prints how often each dance of ``rollstave.deciding.dances`` is in which meter among the tunes that
may be tuned on: its table ``COUNTED`` is this.
"""

from __future__ import annotations

from collections import Counter
from functools import lru_cache

from .corpus import load, sources
from .split import is_for_tuning


@lru_cache(maxsize=1)
def titles() -> dict[int, str]:
    """The title (``T:``) of each tune of the corpus, by its number."""
    return {number: _title(text) for number, text in enumerate(sources())}


def _title(text: str) -> str:
    return next((line[2:].strip() for line in text.split("\n") if line.startswith("T:")), "")


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
