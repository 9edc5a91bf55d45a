"""The ids of notes in an engraving, made from measure, event, tied part and string.

``n3-0-0-2`` is on the staff and ``t3-0-0-2`` on the tab, so that whatever draws on the engraving
finds them.
"""

from __future__ import annotations

from rollstave.score.links import NoteAddress

STAFF_PREFIX, TAB_PREFIX = "n", "t"


def note_id(prefix: str, measure: int, event: int, part: int, string: int) -> str:
    """The id of one note head on the staff or on the tab."""
    return f"{prefix}{measure}-{event}-{part}-{string}"


def grace_id(prefix: str, measure: int, event: int, number: int, string: int) -> str:
    """The id of a grace note on the staff or on the tab; ``number`` is its place before the event,
    from 0."""
    return f"{prefix}{measure}-{event}-g{number}-{string}"


def id_of(prefix: str, address: NoteAddress, part: int) -> str:
    """The id of the note at an address; ``part`` counts the tied parts of one that is no grace
    note."""
    if address.grace is not None:
        return grace_id(prefix, address.measure, address.event, address.grace, address.string)
    return note_id(prefix, address.measure, address.event, part, address.string)
