"""Boxes on a system, and how high or low what is drawn there reaches."""

from __future__ import annotations

from typing import NamedTuple

from msgspec import Struct, field


class Box(NamedTuple):
    """A rectangle in units; y grows downwards, so ``top`` is the smaller."""

    left: float
    top: float
    right: float
    bottom: float

    def overlaps(self, other: Box, air: float = 0.0) -> bool:
        """True if the two share any ground, or come nearer than ``air``."""
        return (
            self.left < other.right + air
            and other.left < self.right + air
            and self.top < other.bottom + air
            and other.top < self.bottom + air
        )


class Skyline(Struct):
    """The boxes drawn so far on one system."""

    boxes: list[Box] = field(default_factory=list)

    def add(self, box: Box) -> None:
        self.boxes.append(box)

    def ceiling(self, left: float, right: float, lowest: float) -> float:
        """The highest point drawn between two x; ``lowest`` if nothing reaches higher."""
        return min(
            (b.top for b in self.boxes if b.left < right and left < b.right and b.top < lowest),
            default=lowest,
        )

    def free(self, box: Box, air: float = 0.0) -> bool:
        """True if nothing drawn comes nearer to the box than ``air``."""
        return not any(b.overlaps(box, air) for b in self.boxes)
