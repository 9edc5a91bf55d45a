"""How carefully a file is typed: learned from the measures that its spacing explains."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from rollstave.rhythm.columns import USUAL, exact_reading, typed_width
from rollstave.rhythm.evidence import TICKS, Evidence
from rollstave.rhythm.spacing import Spacing

_LEAST, _MOST = 0.86, 0.98  # shares of the gaps that are exact, in any file


class Care(Struct, frozen=True):
    """Shares of a file: gaps that are ``exact``, measures typed without regard to time
    (``careless``), and measures in a spacing of their own (``scaled``)."""

    exact: float = USUAL
    careless: float = 0.01
    scaled: float = 0.02


def learn_care(evidence: Sequence[Evidence], spacing: Spacing | None, length: int) -> Care:
    """The care of a file whose full measures last ``length`` ticks.

    If a share s of measures with n gaps is exact throughout, a gap is exact with the n-th root of
    s. A width that is off by more than a character or two tells of another spacing.
    """
    inner = [e for e in evidence if e.count and not e.opens and not e.closes]
    if spacing is None or len(inner) < 3:
        return Care()
    exact = off = 0
    for e in inner:
        reading = exact_reading(e, spacing)
        exact += reading is not None and reading.length == length
        off += abs(typed_width(e, spacing) - length * spacing.columns / TICKS) > _OFF
    share = (exact + 1) / (len(inner) + 1.5)
    gaps = 1 + sum(e.count for e in inner) / len(inner)
    return Care(
        exact=min(_MOST, max(_LEAST, share ** (1 / gaps))),
        careless=min(0.02, max(0.001, 0.05 * (1 - share))),
        scaled=min(0.5, max(0.005, (off + 0.1) / (len(inner) + 1))),
    )


_OFF = 2.05
