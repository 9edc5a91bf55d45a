"""The tokens of the groups of a pattern, and what they count or say."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rollstave.reading.saying.tokens import Token

Groups = Mapping[str, Sequence[Token]]


def count(groups: Groups, *names: str) -> int | None:
    """The number that the first of some groups has."""
    for name in names:
        token = next(iter(groups.get(name, ())), None)
        if token is not None and isinstance(token.value, int):
            return token.value
    return None


def words(tokens: Sequence[Token], text: str) -> str:
    """The words of tokens, as typed."""
    return text[tokens[0].start : tokens[-1].end].strip() if tokens else ""
