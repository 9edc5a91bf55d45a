"""What a check gives: a mark."""

from __future__ import annotations

from msgspec import Struct

from rollstave.problems import Place


class Mark(Struct, frozen=True):
    """Something to mend: where, what is odd and why, and what would be right if that is known.

    ``code`` is a short stable word for programs and tests (``"slip"``). ``also`` is the other place
    of a contradiction between two, where either may be wrong.
    """

    code: str
    place: Place
    message: str
    mend: str = ""
    also: Place | None = None
