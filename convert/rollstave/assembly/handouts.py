"""Hand-outs: those that plugins make, called with care, and their writing in any format."""

from __future__ import annotations

from rollstave.assembly import plugins, writers
from rollstave.contract.offers import HandoutMaker, resolve
from rollstave.problems import WrongArgument
from rollstave.vocabulary import problems as kinds
from rollstave.writing import FORMATS
from rollstave.writing.handout.records import Handout
from rollstave.writing.options import SheetOptions

_ROOM = "rollstave.writing.handout"
_PLAIN = SheetOptions()


def makers() -> tuple[HandoutMaker, ...]:
    """All makers that are offered."""
    return tuple(offer.thing for offer in plugins.contract().offers("hand-outs"))


def made(name: str, given: object, options: dict[str, object]) -> Handout:
    """The hand-out that a maker makes. Raises TabError where what is asked for is impossible, or
    the plugin fails, and KeyError for a name that no plugin offers."""
    offer = plugins.contract().find("hand-outs", name)
    if offer is None:
        raise KeyError(name)
    return plugins.made_by(offer, "hand-out", offer.thing.make, Handout, given, **options)


def written(
    handout: Handout, to: str, options: SheetOptions | None, settings: dict[str, object]
) -> list[bytes]:
    """The pages of a hand-out in a format. Raises TabError as :func:`rollstave.write` does."""
    form = FORMATS.get(to)
    try:
        if form is None or not form.handout:
            from rollstave.writing.handout.joining import joined

            return writers.written(joined(handout).score, to, options, settings)
        write = resolve(f"{_ROOM}.{form.handout}")
        if form.sheet:
            if settings:
                raise ValueError(f"the format {to} has no option {min(settings)!r}")
            pages = write(handout, options or _PLAIN, plugins.marks)
        else:
            pages = write(handout, **settings)
    except ValueError as error:
        raise WrongArgument((kinds.ARGUMENT.problem(str(error)),)) from error
    return pages if form.paged else [pages]
