"""What the name of a dance says about the meter of a tune.

``COUNTED`` was counted by ``tests/benchmarks/rhythm/dances.py`` on the fiddle tunes of 1883 that
may be tuned on (music21's corpus ``ryansMammoth``); ``USUAL`` are dances that it does not have,
common practice, no source, worth as much as a few tunes.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from rollstave.rhythm import MeterPrior

COUNTED: Mapping[str, Mapping[str, int]] = {
    "slip jig": {"9/8": 4},
    "reel": {"2/4": 192, "2/2": 118, "6/8": 1},
    "strathspey": {"4/4": 31, "2/2": 1},
    "hornpipe": {"2/4": 138, "2/2": 54},
    "jig": {"6/8": 148, "9/8": 30, "2/4": 21, "2/2": 13, "12/8": 1},
    "clog": {"2/2": 32, "2/4": 1},
    "fling": {"2/2": 12, "2/4": 1},
}
USUAL: Mapping[str, Mapping[str, int]] = {
    "waltz": {"3/4": 12},
    "mazurka": {"3/4": 12},
    "minuet": {"3/4": 12},
    "polka": {"2/4": 12},
    "schottische": {"4/4": 8, "2/4": 3},
    "march": {"2/4": 4, "4/4": 4, "2/2": 2, "6/8": 3},
    "quickstep": {"2/4": 5, "6/8": 4, "2/2": 2},
    "galop": {"2/4": 12},
    "breakdown": {"4/4": 5, "2/4": 4, "2/2": 4},
}


_DATE = re.compile(r"\bmarch\s+\d|\d(?:st|nd|rd|th|\.)?\s+(?:of\s+)?march\b")  # a month, no dance


def dance_of(texts: Iterable[str]) -> str | None:
    """The dance that the first text to name one names, in the order of the tables, or None."""
    for text in texts:
        said = _DATE.sub(" ", text.lower().replace("slipjig", "slip jig"))
        for name in (*COUNTED, *USUAL):
            if name in said and re.search(rf"\b{name}(?:e?s)?\b", said):
                return name
    return None


def prior_of(texts: Iterable[str]) -> MeterPrior | None:
    """How often a dance that the texts name is in which meter; None where none is named."""
    dance = dance_of(texts)
    if dance is None:
        return None
    article = "an" if dance[0] in "aeiou" else "a"
    return MeterPrior(f"it is called {article} {dance}", {**COUNTED, **USUAL}[dance])
