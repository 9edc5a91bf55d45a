"""What is told to people: problems with a place, and the error that ends a conversion."""

from __future__ import annotations

from enum import Enum

from msgspec import Struct
from msgspec.structs import replace


class Severity(Enum):
    """How much a problem matters. Only an error keeps a file from being converted."""

    NOTICE = "notice"
    WARNING = "warning"
    ERROR = "error"


class Place(Struct, frozen=True):
    """A place in the typed text: line and column, both counted from 1."""

    line: int
    column: int


class Problem(Struct, frozen=True):
    """Something to tell: where, how bad, and in words what is wrong and what would be right.

    ``code`` is a short stable word for programs and tests (``"short-string"``).
    """

    severity: Severity
    code: str
    message: str
    place: Place | None = None

    def format(self, file_name: str) -> str:
        """One line for people: ``tune.txt:14:23: warning: ...``."""
        where = f"{file_name}:{self.place.line}:{self.place.column}" if self.place else file_name
        return f"{where}: {self.severity.value}: {self.message}"

    def moved(self, lines: int, columns: int = 0) -> Problem:
        """The same, its place that many lines and columns further on: in the text around it."""
        if self.place is None:
            return self
        return replace(self, place=Place(self.place.line + lines, self.place.column + columns))


class TabError(Exception):
    """A text that cannot become a score. Carries the problems that say why."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        self.problems = problems
        super().__init__("; ".join(p.format("") for p in problems))


class ProblemList:
    """Collects problems while a text is read; the order of reports is the order in the text."""

    def __init__(self) -> None:
        self._problems: list[Problem] = []

    def notice(self, code: str, message: str, place: Place | None = None) -> None:
        self._problems.append(Problem(Severity.NOTICE, code, message, place))

    def warn(self, code: str, message: str, place: Place | None = None) -> None:
        self._problems.append(Problem(Severity.WARNING, code, message, place))

    def error(self, code: str, message: str, place: Place | None = None) -> None:
        self._problems.append(Problem(Severity.ERROR, code, message, place))

    @property
    def has_errors(self) -> bool:
        return any(p.severity is Severity.ERROR for p in self._problems)

    def sorted(self) -> tuple[Problem, ...]:
        """All problems, those without a place first, then by line and column."""
        return tuple(
            sorted(
                self._problems,
                key=lambda p: (p.place.line, p.place.column) if p.place else (0, 0),
            )
        )
