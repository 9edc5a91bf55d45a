"""What is told to people: problems with a place, and the error that ends a conversion."""

from __future__ import annotations

from collections.abc import Collection
from enum import Enum

from msgspec import Struct
from msgspec.structs import replace


class Severity(Enum):
    """How much a problem matters. Only an error keeps a file from being converted."""

    NOTICE = "notice"
    WARNING = "warning"
    ERROR = "error"


class Place(Struct, frozen=True):
    """A place in the typed text: line and column, both counted from 1.

    Where the text was in a document, the lines are those that were brought out of it, and ``part``
    says in words where in it the line is: ``"page 3, line 12"``.
    """

    line: int
    column: int
    part: str = ""

    def __str__(self) -> str:
        """``14:23``, or ``page 3, line 12:23`` in a document."""
        return f"{self.part or self.line}:{self.column}"


class Problem(Struct, frozen=True):
    """Something to tell: where, how bad, and in words what is wrong and what would be right.

    ``code`` is a short stable word for programs and tests (``"row-left-out"``); they all stand in
    :mod:`rollstave.vocabulary.problems`.
    """

    severity: Severity
    code: str
    message: str
    place: Place | None = None

    def format(self, file_name: str) -> str:
        """One line for people: ``tune.txt:14:23: warning: ...``."""
        where = f"{file_name}:{self.place}" if self.place else file_name
        return f"{where}: {self.severity.value}: {self.message}"

    def moved(self, lines: int, columns: int = 0) -> Problem:
        """The same, its place that many lines and columns further on: in the text around it."""
        if self.place is None:
            return self
        moved = replace(
            self.place, line=self.place.line + lines, column=self.place.column + columns
        )
        return replace(self, place=moved)


class ProblemKind(Struct, frozen=True):
    """A row of :mod:`rollstave.vocabulary.problems`: a code, how much it usually matters, and what
    it means. ``also`` are the other severities that it may have."""

    code: str
    severity: Severity
    meaning: str
    also: tuple[Severity, ...] = ()

    def problem(
        self, message: str, place: Place | None = None, severity: Severity | None = None
    ) -> Problem:
        """A problem of this kind. Raises ValueError for a severity that the row does not have."""
        severity = severity or self.severity
        if severity is not self.severity and severity not in self.also:
            raise ValueError(f"{self.code!r} is never of severity {severity.value!r}")
        return Problem(severity=severity, code=self.code, message=message, place=place)


class TabError(Exception):
    """A text that cannot become a score. Carries the problems that say why."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        self.problems = problems
        super().__init__("; ".join(p.format("") for p in problems))


class NoSuchFormat(TabError, KeyError):
    """There is no format of that name. The message lists those that there are."""

    __str__ = Exception.__str__  # that of KeyError would put the message in quotes


class WrongArgument(TabError, TypeError):
    """A function does not take what it was given. The message says what it takes."""


class ProblemList:
    """Collects problems while a text is read; the order of reports is the order in the text."""

    def __init__(self) -> None:
        self._problems: list[Problem] = []

    def add(
        self,
        kind: ProblemKind,
        message: str,
        place: Place | None = None,
        severity: Severity | None = None,
    ) -> None:
        """Add a problem of a kind, as bad as its row says or as ``severity`` does."""
        self._problems.append(kind.problem(message, place, severity))

    def take_back(
        self, codes: Collection[str], place: Place, severities: Collection[Severity]
    ) -> None:
        """Take back what was said under some codes at a place: what was read agrees after all."""
        self._problems = [
            p
            for p in self._problems
            if p.place != place or p.code not in codes or p.severity not in severities
        ]

    def columns(self, line: int) -> list[int]:
        """The columns of a line at which something is said already."""
        return [p.place.column for p in self._problems if p.place and p.place.line == line]

    def codes(self, line: int) -> set[str]:
        """The codes of what is said of a line already."""
        return {p.code for p in self._problems if p.place and p.place.line == line}

    @property
    def has_errors(self) -> bool:
        return any(p.severity is Severity.ERROR for p in self._problems)

    def of_refusal(self, explains: tuple[ProblemKind, ...]) -> tuple[Problem, ...]:
        """What is told where nothing is made: errors and warnings, and notices of the kinds that
        may explain an error. What else was understood helps nobody to mend the text."""
        codes = {kind.code for kind in explains}
        return tuple(
            p for p in self.sorted() if p.severity is not Severity.NOTICE or p.code in codes
        )

    def sorted(self) -> tuple[Problem, ...]:
        """All problems, those without a place first, then by line and column."""
        return tuple(
            sorted(
                self._problems,
                key=lambda p: (p.place.line, p.place.column) if p.place else (0, 0),
            )
        )
