"""What is typed of the fingers of both hands under an event."""

from __future__ import annotations

from rollstave.score.records import Event


def left_fingers(event: Event) -> str:
    """The finger numbers of the left hand as ``LH`` lines have them: the lowest row first, 0 for
    an open string between them."""
    if not any(n.left_finger for n in event.notes):
        return ""
    ordered = sorted(event.notes, key=lambda n: n.string, reverse=True)
    return "".join(str(n.left_finger or 0) for n in ordered)


def picking_letters(event: Event) -> str:
    """The picking letters that the typist wrote for an event."""
    written = [n.finger.value for n in event.notes if n.finger and not n.inferred_finger]
    return "".join(dict.fromkeys(written))
