"""From a text in any dialect that is known to one in the house dialect, or to grid tunes."""

from __future__ import annotations

from msgspec import Struct
from msgspec.structs import replace

from rollstave.assembly import plugins
from rollstave.contract.manager import OWN, Offer
from rollstave.contract.offers import Dialect, HouseText, ReadGrid, resolve
from rollstave.grid.typed import GridTune
from rollstave.instruments.instrument import Instrument
from rollstave.problems import Place, Problem, ProblemList, TabError
from rollstave.reading.other_ways.ways import typed_otherwise
from rollstave.vocabulary import problems as kinds


class Translation(Struct, frozen=True):
    """What a dialect made of a text: a text in the house dialect, or ``tunes`` for an
    ``instrument``. ``lines`` are where its lines were in the original; None for where they are.
    """

    text: str
    lines: tuple[int, ...] | None = None
    tunes: tuple[GridTune, ...] = ()
    instrument: Instrument | None = None

    def original(self, problem: Problem) -> Problem:
        """A problem with its place in the text that the user has; without one if that is not
        known."""
        if self.lines is None or problem.place is None:
            return problem
        line = problem.place.line
        original = self.lines[line - 1] if line <= len(self.lines) else 0
        return replace(problem, place=Place(original, 1) if original else None)


def translate(text: str, problems: ProblemList) -> Translation:
    """The text as its surest dialect reads it; as it is if that is the house dialect.

    The choice is reported as a notice. Raises TabError where the dialect finds the text wrong; a
    dialect that fails in another way is named, and the next one reads the text.
    """
    offers = plugins.contract().offers("dialects")
    if all(offer.plugin.name == OWN for offer in offers):
        return _otherwise(text, problems)
    for score, offer in _by_score(text, offers):
        if offer.plugin.name == OWN:
            break
        read = _read(text, offer)
        if read is not None:
            problems.add(
                kinds.DIALECT,
                f"read as {offer.thing.name}, {score:.0%} sure, by the plugin {offer.plugin.name}",
            )
            return read
    return _otherwise(text, problems)


def _otherwise(text: str, problems: ProblemList) -> Translation:
    """The text in rows of dashes, if it is typed in another way that the house knows."""
    found = typed_otherwise(text)
    if found is None:
        return Translation(text)
    name, made = found
    problems.add(kinds.DIALECT, f"read as {name}")
    return Translation("\n".join(made.lines), tuple(made.numbers))


def _by_score(text: str, offers: list[Offer]) -> list[tuple[float, Offer]]:
    """The dialects that recognise the text, the surest first; of equals, those offered first."""
    contract = plugins.contract()
    scored: list[tuple[float, Offer]] = []
    for offer in offers:
        dialect: Dialect = offer.thing
        worked, score = contract.attempt(offer, "the dialect", _score, dialect, text)
        if worked and not 0.0 <= score <= 1.0:
            contract.fault(
                offer.plugin, f"the dialect {dialect.name!r} scores {score:g}, not 0.0 to 1.0"
            )
        elif worked and score > 0.0:
            scored.append((score, offer))
    return sorted(scored, key=lambda pair: -pair[0])


def _score(dialect: Dialect, text: str) -> float:
    return float(resolve(dialect.recognise)(text))


def _read(text: str, offer: Offer) -> Translation | None:
    dialect: Dialect = offer.thing
    try:
        made = resolve(dialect.read)(text)
    except TabError:
        raise
    except Exception as error:
        plugins.contract().fault(
            offer.plugin,
            f"the dialect {dialect.name!r} could not read a text: {type(error).__name__}: {error}",
        )
        return None
    if isinstance(made, str):
        return Translation(made, ())
    if isinstance(made, HouseText):
        return Translation(made.text, made.lines)
    if isinstance(made, ReadGrid):
        return Translation(text=text, tunes=made.tunes, instrument=made.instrument)
    plugins.contract().fault(
        offer.plugin,
        f"the dialect {dialect.name!r} returned a {type(made).__name__}, not a text or a ReadGrid",
    )
    return None
