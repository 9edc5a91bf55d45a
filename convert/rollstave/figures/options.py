"""What a figure shows, and the words that say so: ``view=tab measures=1-4 caption="First part"``.

``WORDS`` is the table of words; each plugin's documentation and error messages come from it.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from rollstave.problems import Place, TabError
from rollstave.vocabulary import problems as kinds
from rollstave.writing.options import SIZES, SheetOptions, View


class FigureOptions(Struct, frozen=True):
    """How one figure looks and what stands around it.

    ``width`` is the most that the engraving takes, in millimetres, ``measures`` the printed
    numbers of the first and last measure shown (None as the last: to the end), ``tune`` which
    tune of several in one text, counted from 1. ``ids`` goes before the ids in the drawing and
    is the id of the figure. ``typed`` says what becomes of the typed text: ``folded`` (a reader
    opens it), ``hidden`` (for screen readers only), ``shown``, or ``none``. ``tuning`` says
    whether tuning and capo are told under the figure; None tells what is not standard.
    ``size`` is that of the staves, ``lines`` where systems break: ``phrases`` or ``as-typed``.
    """

    view: View = View.BOTH
    width: float | None = None
    measures: tuple[int, int | None] | None = None
    tune: int | None = None
    caption: str = ""
    ids: str = ""
    typed: str = "folded"
    tuning: bool | None = None
    large: bool = False
    rolls: bool = False
    shapes: bool = False
    unsure: bool = False
    size: str = "normal"
    lines: str = "phrases"

    @property
    def sheet(self) -> SheetOptions:
        """The same for the writers."""
        return SheetOptions(
            view=self.view,
            width=self.width,
            measures=self.measures,
            size=self.size,
            large=self.large,
            as_typed=self.lines == "as-typed",
            rolls=self.rolls,
            shapes_over_music=self.shapes,
            mark_unsure=self.unsure,
            title_block=False,
            chord_row=False,
            embed_fonts=False,
        )

    def changed(self, words: Mapping[str, str]) -> FigureOptions:
        """These options with the given words applied. Raises TabError for a word or value that
        there is not."""
        values = {}
        for word, value in words.items():
            if word not in WORDS:
                raise _error(f"there is no option {word!r}; there are: {', '.join(WORDS)}")
            try:
                values[word] = WORDS[word](value)
            except ValueError as error:
                raise _error(f"{word}={value}: {error}") from None
        return replace(self, **values)

    def read(self, line: str) -> FigureOptions:
        """These options with the words of a line applied: ``view=tab large caption="Part A"``.

        A word alone means yes. Raises TabError for what cannot be read.
        """
        return self.changed(read_words(line))


_WORD = re.compile(r"""\s*([a-z]+)(?:=("[^"]*"|'[^']*'|[^\s"']+))?(?=\s|$)""")


def read_words(line: str) -> dict[str, str]:
    """The words of a line and their values; a value with spaces stands in quotation marks.

    Raises TabError, with the column in the line, for what cannot be read.
    """
    found: dict[str, str] = {}
    at = 0
    text = line.rstrip()
    while at < len(text):
        match = _WORD.match(text, at)
        if match is None:
            rest = text[at:].strip()
            raise _error(f"{rest!r} is not written as option=value", at + 1)
        value = match[2] if match[2] is not None else "yes"
        found[match[1]] = value[1:-1] if value[:1] in "\"'" else value
        at = match.end()
    return found


def _error(message: str, column: int | None = None) -> TabError:
    place = None if column is None else Place(1, column)
    return TabError((kinds.FIGURE_OPTION.problem(message, place),))


def _yes_or_no(value: str) -> bool:
    if value.lower() not in ("yes", "no"):
        raise ValueError("it is yes or no")
    return value.lower() == "yes"


def _one_of(*choices: str) -> Callable[[str], str]:
    def choose(value: str) -> str:
        if value not in choices:
            raise ValueError(f"it is one of: {', '.join(choices)}")
        return value

    return choose


_LENGTH = re.compile(r"(\d+(?:\.\d+)?)(mm|cm|in)?")
_MILLIMETRES = {None: 1.0, "mm": 1.0, "cm": 10.0, "in": 25.4}
_NARROWEST, _WIDEST = 40.0, 1000.0  # mm: one measure of two notes; a wall chart. Our choice


def _width(value: str) -> float:
    match = _LENGTH.fullmatch(value)
    width = float(match[1]) * _MILLIMETRES[match[2]] if match else 0.0
    if not _NARROWEST <= width <= _WIDEST:
        raise ValueError(
            f"a width is {_NARROWEST:g} to {_WIDEST:g} millimetres, such as 120, 12cm or 4.5in"
        )
    return width


_RANGE = re.compile(r"(\d{1,6})(?:(-)(\d{1,6})?)?")


def _measures(value: str) -> tuple[int, int | None]:
    match = _RANGE.fullmatch(value)
    if match is None:
        raise ValueError("measures are numbers such as 5, 1-4 or 9- (from 9 to the end)")
    first = int(match[1])
    last = first if not match[2] else int(match[3]) if match[3] else None
    if last is not None and last < first:
        raise ValueError("the last measure comes before the first")
    return first, last


def _count(value: str) -> int:
    if not (value.isascii() and value.isdecimal() and 1 <= int(value) <= 9999):
        raise ValueError("it is a number from 1")
    return int(value)


_ID = re.compile(r"[A-Za-z][\w.-]*", re.ASCII)


def _id(value: str) -> str:
    if not _ID.fullmatch(value):
        raise ValueError("it is a letter, then letters, digits, hyphens, dots or underscores")
    return value


WORDS: dict[str, Callable[[str], Any]] = {
    "view": lambda value: View(_one_of("both", "tab", "staff")(value)),
    "width": _width,
    "measures": _measures,
    "tune": _count,
    "caption": str,
    "ids": _id,
    "typed": _one_of("folded", "hidden", "shown", "none"),
    "tuning": _yes_or_no,
    "large": _yes_or_no,
    "rolls": _yes_or_no,
    "shapes": _yes_or_no,
    "unsure": _yes_or_no,
    "size": _one_of(*SIZES),
    "lines": _one_of("phrases", "as-typed"),
}
