"""What was found out about a tune, and how: declared, inferred, or assumed."""

from __future__ import annotations

from enum import Enum

from msgspec import Struct


class How(Enum):
    """How a fact was found."""

    DECLARED = "declared"
    INFERRED = "inferred"
    ASSUMED = "assumed"


class Finding(Struct, frozen=True):
    """A fact about the tune in words: its subject, its value, how it was found and why."""

    subject: str
    value: str
    how: How
    reason: str = ""
