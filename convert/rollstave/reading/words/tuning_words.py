"""A tuning that stands without the word tuning: ``Sawmill``, ``gCGCD``, ``A modal (aEADE)``.

Whoever reads a text says with :func:`knowing` which instruments there are; else they are ours.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from rollstave.instruments.known import OWN, Known
from rollstave.instruments.tunings import find_by_name, letters_in, suggest
from rollstave.pitch import parse_key

_LETTER = r"[A-Ga-g](?:#|♯|♭|b(?![a-z]))?"
_COMPACT = re.compile(rf"(?:{_LETTER}){{4,6}}$")
_SPREAD = re.compile(rf"{_LETTER}(?:[ ,\-]+{_LETTER}){{3,5}}$")
_BRACKETED = re.compile(r"(?P<name>[\w #]{1,24}?)\s*[(\[](?P<letters>[^)\]]{4,14})[)\]]$")
_SHORTEST_NAME = 5
_known: ContextVar[Known] = ContextVar("the instruments that words may name", default=OWN)


@contextmanager
def knowing(known: Known) -> Iterator[None]:
    """Read words for these instruments while the block runs, in this thread only."""
    token = _known.set(known)
    try:
        yield
    finally:
        _known.reset(token)


def now_known() -> Known:
    """The instruments for which words are read now: what is remembered of words holds for them."""
    return _known.get()


def are_letters(text: str) -> bool:
    """True for the letters of open strings. A word in capitals must be a tuning that has a name,
    a small first letter marks any: ``aEADE``."""
    text = text.strip()
    if not (_COMPACT.match(text) or (_SPREAD.match(text) and text[0].islower())):
        return False
    letters = letters_in(text)
    if letters is None:
        return False
    fitting = [i for i in _known.get().instruments() if i.strings == len(letters)]
    if text[0].islower() and text[1:] != text[1:].lower():
        return any(i.short_string is not None for i in fitting)
    wanted = list(letters)
    return any(
        wanted == [(p.step, p.alter) for p in reversed(t.pitches)]
        for i in fitting
        for t in i.tunings
    )


def is_name(text: str) -> bool:
    """True for the name of a tuning that can be nothing else: no key and no single letter."""
    folded = " ".join(text.lower().split())
    if len(folded) < _SHORTEST_NAME:
        return False
    known = folded != "standard" and folded in _known.get().tuning_names()
    return known and parse_key(text) is None


def is_tuning(text: str) -> bool:
    """True for the name of a tuning or its letters, or both: ``sawmill (gDGCD)``, ``sawmill
    gDGCD``."""
    if is_name(text) or are_letters(text):
        return True
    name, _, letters = text.strip().rpartition(" ")  # "double C gCGCD"
    if name and letters[:1].islower() and are_letters(letters) and could_be_tuning(name):
        return True
    both = _BRACKETED.match(text.strip())
    return both is not None and are_letters(both["letters"]) and could_be_tuning(both["name"])


def could_be_tuning(text: str) -> bool:
    """True for what stands before the word tuning if it names one, or nearly one."""
    bare = text.strip()
    return is_tuning(bare) or any(
        find_by_name(bare, i) is not None or suggest(bare, i) is not None
        for i in _known.get().instruments()
    )
