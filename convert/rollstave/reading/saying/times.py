"""How often words say that something is played: ``twice``, ``(zweimal)``, ``deux fois``."""

from __future__ import annotations

from rollstave.reading.saying.tokens import SPECIAL, tokens_of
from rollstave.vocabulary.spoken import CLASSES

_OCCASIONS = frozenset((CLASSES["OCCASION"][0], CLASSES["TIME"][0]))
_NUMBERS = frozenset((SPECIAL["NUM"], SPECIAL["TIMES"]))
_BESIDE = frozenset(
    (
        *(SPECIAL[name] for name in ("FILLING", "PAREN", "STOP", "COMMA", "EQUALS", "HYPHEN")),
        CLASSES["PLAY"][0],
    )
)
_SHORTEST, _LONGEST = 3, 40  # characters of such words
_MOST = 9


def times_said(text: str) -> int:
    """The number of times that words say and nothing else; 0 for other words."""
    if not _SHORTEST <= len(text) <= _LONGEST:
        return 0
    tokens = tokens_of(text)
    codes = {token.code for token in tokens}
    if not codes <= _NUMBERS | _OCCASIONS | _BESIDE:
        return 0
    found = [token for token in tokens if token.code in _NUMBERS]
    if len(found) != 1 or not isinstance(found[0].value, int):
        return 0
    often = found[0].code == SPECIAL["TIMES"] or not codes.isdisjoint(_OCCASIONS)
    return found[0].value if often and found[0].value <= _MOST else 0
