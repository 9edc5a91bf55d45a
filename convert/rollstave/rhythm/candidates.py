"""Readings of a measure to choose from, where columns do not say which."""

from __future__ import annotations

from math import log

from rollstave.rhythm.evidence import Evidence
from rollstave.rhythm.model_data import Pattern, RhythmData
from rollstave.rhythm.usual import is_usual

MOST = 60  # known patterns considered for a measure
_INVENTED = 12  # patterns added from the chain of onsets where few are known
_BEAM = 60
_KEPT = 64  # notes of a measure up to which what is invented is kept


def role_of(evidence: Evidence) -> str:
    """Where the measure stands: ``o`` opens a strain, ``c`` closes one, ``oc`` both, ``m``."""
    return ("o" if evidence.opens else "") + ("c" if evidence.closes else "") or "m"


def known(data: RhythmData, meter: str, role: str, count: int) -> list[tuple[Pattern, float]]:
    """Known patterns with the log of their share among those of that meter, role and count."""
    entries = data.counted(meter, role, count)
    total = sum(n for _, n in entries) + 1.0
    return [(pattern, log(n / total)) for pattern, n in entries[:MOST]]


def invented(
    data: RhythmData, meter: str, count: int, length: int, most: int = _INVENTED
) -> list[Pattern]:
    """The most probable chains of ``count`` onsets that fill ``length``, known or not."""
    chain = data.chain(meter)
    if not chain or count == 0:
        return []
    beam: list[tuple[float, tuple[int, ...]]] = [(0.0, (-1,))]
    for _ in range(count):
        grown = [
            (score + step, (*onsets, tick))
            for score, onsets in beam
            for tick, step in chain.get(onsets[-1], {}).items()
            if onsets[-1] < tick < length
        ]
        grown.sort(key=lambda g: (-g[0], g[1]))
        beam = grown[:_BEAM]
    ends = [
        (score + chain.get(onsets[-1], {}).get(length, -6.0), onsets[1:]) for score, onsets in beam
    ]
    ends.sort(key=lambda e: (-e[0], e[1]))
    return [(length, onsets) for _, onsets in ends if is_usual(length, onsets)][:most]


def _kept(data: RhythmData, meter: str, count: int, length: int) -> list[Pattern]:
    """What is invented for such measures: they come again and again."""
    if count > _KEPT:
        return invented(data, meter, count, length)
    key = (meter, count, length)
    if key not in data.invented:
        data.invented[key] = invented(data, meter, count, length)
    return data.invented[key]


def even_division(count: int, length: int) -> Pattern:
    """Onsets as even as the grid of 32nds allows: the last resort, for any number of notes."""
    unit = next((u for u in (12, 6, 3, 1) if length >= u * count), 1)
    slots = max(1, length // unit)
    return length, tuple(sorted({i * slots // count * unit for i in range(count)}))


def candidates(
    data: RhythmData, evidence: Evidence, meter: str, length: int
) -> list[tuple[Pattern, float]]:
    """Patterns for a measure with the log of their prior share."""
    role = role_of(evidence)
    found = known(data, meter, role, evidence.count)
    if role != "m":
        have = {pattern for pattern, _ in found}
        found += [
            (pattern, share - 3.0)
            for pattern, share in known(data, meter, "m", evidence.count)
            if pattern not in have
        ]
    have = {pattern for pattern, _ in found}
    rare = log(0.2 / (sum(n for _, n in data.counted(meter, role, evidence.count)) + 5))
    for pattern in _kept(data, meter, evidence.count, length):
        if pattern not in have:
            found.append((pattern, rare))
            have.add(pattern)
    if not found:
        even = even_division(evidence.count, length)
        if len(even[1]) == evidence.count:
            found.append((even, -5.0))
    return found
