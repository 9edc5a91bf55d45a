"""What a row's share of a measure shows by itself: that nothing is in it, or that a dash too many
leaves no doubt."""

from __future__ import annotations

from collections.abc import Sequence

from rollstave.patterns import rare

_STRUCK = rare(r"(?<![\dxX])[\dxX]")


def in_step_anyhow(text: str, more: int, others: Sequence[str]) -> bool:
    """True if a row's share of a measure that is ``more`` characters too long leaves no doubt:
    nothing is struck in it, or its notes stand at columns where others do, and would not with the
    dash before them."""
    struck = [match.start() for match in _STRUCK.finditer(text)]
    if not struck:
        return True
    taken = {match.start() for other in others for match in _STRUCK.finditer(other)}
    return all(at in taken and at - more not in taken for at in struck)


def nothing_before(text: str) -> bool:
    """True for what stands between a label and the first bar and is no measure: ``-|``, ``=|``."""
    bare = text.strip()
    return not bare or (len(bare) < 3 and not any(map(str.isalnum, bare)))
