"""From a text in any dialect that is known to one in the house dialect, or to grid tunes."""

from __future__ import annotations

from msgspec.structs import replace

from rollstave.contract.manager import OWN, Contract, Offer
from rollstave.contract.offers import Dialect, HouseText, ReadGrid, resolve
from rollstave.problems import Place, Problem, ProblemList, TabError
from rollstave.vocabulary import problems as kinds


def translate(text: str, problems: ProblemList, contract: Contract) -> HouseText | ReadGrid | None:
    """The text as its surest dialect reads it; None if that is the house dialect.

    The choice is reported as a notice. Raises TabError where the dialect finds the text wrong; a
    dialect that fails in another way is named, and the next one reads the text.
    """
    offers = contract.offers("dialects")
    if all(offer.plugin.name == OWN for offer in offers):
        return None
    for score, offer in _by_score(text, offers, contract):
        if offer.plugin.name == OWN:
            return None
        read = _read(text, offer, contract)
        if read is not None:
            problems.add(
                kinds.DIALECT,
                f"read as {offer.thing.name}, {score:.0%} sure, by the plugin {offer.plugin.name}",
            )
            return read
    return None


def _by_score(text: str, offers: list[Offer], contract: Contract) -> list[tuple[float, Offer]]:
    """The dialects that recognise the text, the surest first; of equals, those offered first."""
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


def _read(text: str, offer: Offer, contract: Contract) -> HouseText | ReadGrid | None:
    dialect: Dialect = offer.thing
    try:
        made = resolve(dialect.read)(text)
    except TabError:
        raise
    except Exception as error:
        contract.fault(
            offer.plugin,
            f"the dialect {dialect.name!r} could not read a text: {type(error).__name__}: {error}",
        )
        return None
    if isinstance(made, str):
        return HouseText(made)
    if isinstance(made, HouseText | ReadGrid):
        return made
    contract.fault(
        offer.plugin,
        f"the dialect {dialect.name!r} returned a {type(made).__name__}, not a text or a ReadGrid",
    )
    return None


def in_original(problem: Problem, house: HouseText | None) -> Problem:
    """A problem with its place in the text that the user has; without one if it is not known."""
    if house is None or problem.place is None:
        return problem
    line = problem.place.line
    original = house.lines[line - 1] if line <= len(house.lines) else 0
    return replace(problem, place=Place(original, 1) if original else None)
