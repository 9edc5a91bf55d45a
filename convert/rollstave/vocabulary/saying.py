"""The record of a way to say a fact in a sentence."""

from __future__ import annotations

from msgspec import Struct


class Saying(Struct, frozen=True, kw_only=True):
    """A way to say a fact: its name, the fact, the pattern, and the classes that any sentence it
    matches has: one of some and, where ``&`` parts them, behind it one of others."""

    name: str
    fact: str
    pattern: str
    needs: str
