"""Which pickup the last measure of a strain makes whole.

A strain between repeat signs is played again from its own pickup, so its last measure is short by
that; before a plain double bar the next strain's pickup follows; the end of the tune goes back to
the strain's own, or to the first (common practice; in the tunes that may be tuned on, 900 of 960
last measures with room keep to it).
"""

from __future__ import annotations

from collections.abc import Sequence

from rollstave.rhythm.evidence import Evidence


def pickups_for(evidence: Sequence[Evidence], index: int) -> list[int]:
    """Measures whose pickup a closing measure should leave room for: the first is the rule, the
    others are possible."""
    own = evidence[index].strain
    after = index + 1
    opens = after < len(evidence) and evidence[after].opens
    if evidence[index].repeats:
        return [own, after] if opens else [own]
    return [after] if opens else [own, 0]
