"""Nothing of a tune is lost in silence on its way through a score.

The tunes are those of music21 10's corpus (``ryansMammoth``, public domain, 1883); music21 writes
them as MusicXML and reads what is written of them. What counts as the same, and as said, is in
:mod:`tests.benchmarks.losses`.
"""

from __future__ import annotations

import pytest
from music21 import corpus

from tests.amount import some
from tests.benchmarks.losses import Book, check_book

PATHS = sorted(p for p in corpus.getPaths() if p.parent.name == "ryansMammoth")


@pytest.mark.parametrize("number", range(some(4, 200)))
def test_a_measure_is_the_same_or_its_loss_is_said(number: int) -> None:
    (found,) = check_book(Book(PATHS[number * 173 % len(PATHS)]))
    assert found.quiet == ()
    assert found.outcome in ("the same", "lost and said")
