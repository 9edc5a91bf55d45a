"""What a check gives: something to mend."""

from __future__ import annotations

from msgspec import Struct

from rollstave.problems import Place, ProblemKind


class Correction(Struct, frozen=True):
    """Something to mend: where, what is odd and why, and what would be right if that is known.

    ``also`` is the other place of a contradiction between two, where either may be wrong.
    """

    kind: ProblemKind
    place: Place
    message: str
    mend: str = ""
    also: Place | None = None

    @property
    def code(self) -> str:
        """The short stable word for programs and tests (``"slip"``)."""
        return self.kind.code
