"""Other versions of a tune, by the reworks that plugins offer, called with care."""

from __future__ import annotations

from numbers import Real

from rollstave.assembly import plugins
from rollstave.contract.offers import Rework
from rollstave.problems import WrongArgument
from rollstave.score.records import Score
from rollstave.score.reworked import Reworked
from rollstave.vocabulary import problems as kinds


def reworks() -> tuple[Rework, ...]:
    """All reworks that are offered. Of options with one name, only the first is offered."""
    taken: dict[str, str] = {}
    found = []
    contract = plugins.contract()
    for offer in contract.offers("reworks"):
        rework: Rework = offer.thing
        both = [option.name for option in rework.options if option.name in taken]
        if both:
            contract.fault(
                offer.plugin,
                f"the rework {rework.name!r}: an option {both[0]!r} is there already, from "
                f"{taken[both[0]]!r}; it is left out",
            )
            continue
        taken |= {option.name: rework.name for option in rework.options}
        found.append(rework)
    return tuple(found)


def reworked(score: Score, name: str, options: dict[str, object]) -> Reworked:
    """The score as a rework makes it, its first line of words saying so.

    Raises TabError where the tune cannot be reworked so, or the plugin fails; WrongArgument for a
    rework or an option that does not exist.
    """
    if not isinstance(score, Score):
        said = "a tune of rollstave.read, or its score, can be reworked, "
        raise _wrong(f"{said}not a {type(score).__name__}")
    known = {rework.name for rework in reworks()}
    offer = plugins.contract().find("reworks", name) if name in known else None
    if offer is None:
        has = f"there are: {', '.join(sorted(known))}" if known else "no plugin offers any"
        raise _wrong(f"there is no rework {name!r}; {has}")
    _check(offer.thing, options)
    made = plugins.made_by(offer, "rework", offer.thing.rework, Reworked, score, **options)
    return made.named(score.title)


def _check(rework: Rework, options: dict[str, object]) -> None:
    known = {option.name: option for option in rework.options}
    if not options:
        raise _wrong(f"the rework {rework.name} needs an option: {', '.join(sorted(known))}")
    for name, value in sorted(options.items()):
        if name not in known:
            has = ", ".join(sorted(known))
            raise _wrong(f"the rework {rework.name} has no option {name!r}; it has {has}")
        usual = known[name].default
        wanted, words = (str, "a text") if isinstance(usual, str) else (Real, "a number")
        if not isinstance(value, wanted):
            raise _wrong(f"the option {name!r} of {rework.name} is {words}, such as {usual!r}")


def _wrong(message: str) -> WrongArgument:
    return WrongArgument((kinds.ARGUMENT.problem(message),))
