"""Marks on the sheet that others than the sheet itself bring."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from msgspec import Struct

if TYPE_CHECKING:  # it needs lxml, and this module is loaded where no sheet is made
    from rollstave.writing.sheet.canvas import SheetCanvas


class OtherMark(Struct, frozen=True):
    """A kind of mark: its name, and a function that draws it on a system. The function never
    raises; it returns False where it failed, and what it drew is then taken away."""

    name: str
    draw: Callable[[SheetCanvas], bool]


# Asked when a sheet is drawn. It goes to other processes by its name, so it is a function of a
# module.
OtherMarks = Callable[[], Sequence[OtherMark]]


def no_others() -> Sequence[OtherMark]:
    """Only the marks of our own."""
    return ()
