"""Formats by name, and calling their writers: our own, and those of plugins with care."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from numbers import Real
from typing import cast

from rollstave.assembly import plugins
from rollstave.contract.manager import OWN, Offer
from rollstave.contract.offers import Writer, resolve
from rollstave.problems import NoSuchFormat, Problem, TabError, WrongArgument
from rollstave.reading.words.tuning_words import knowing
from rollstave.score.records import Score
from rollstave.vocabulary import problems as kinds
from rollstave.writing import FORMATS, MOST_MEASURES
from rollstave.writing.options import SheetOptions, wrong_options


def find_writer(to: str) -> Offer:
    """The writer of a format and the plugin that offers it. Raises :class:`NoSuchFormat`, a
    TabError and a KeyError."""
    offer = plugins.contract().find("writers", to)
    if offer is None:
        raise NoSuchFormat((kinds.NO_FORMAT.problem(no_format(to)),))
    return offer


def no_format(to: object) -> str:
    """That there is no such format, and which there are."""
    return f"there is no format {to!r}; there are: {', '.join(format_names())}"


def format_names() -> tuple[str, ...]:
    """The names of all formats, the project's own first."""
    return tuple(offer.thing.name for offer in plugins.contract().offers("writers"))


def written(
    score: Score,
    to: str,
    options: SheetOptions | None,
    settings: dict[str, object],
    again: Callable[[bytes], Sequence[Score]] | None = None,
) -> list[bytes]:
    """The pages of a score in a format, as :func:`rollstave.write` has it. ``again`` reads a text
    that is written."""
    offer = find_writer(to)
    form: Writer = offer.thing
    if wrong := _wrong(form, score, options, settings):
        raise WrongArgument((kinds.ARGUMENT.problem(wrong),))
    most = MOST_MEASURES // (FORMATS[to].engraved if offer.plugin.name == OWN else 1)
    if form.sheet and len(score.measures) > most and not (options and options.measures):
        raise TabError((_too_long(to, len(score.measures), most),))
    more = (options,) if form.sheet and options is not None else ()
    if offer.plugin.name == OWN:
        given = {**settings, "others": plugins.marks} if form.sheet else dict(settings)
        if FORMATS[to].read_again:
            given["again"] = again
        with knowing(plugins.KNOWN):  # words that would be read as a tuning are typed as a remark
            made = resolve(form.write)(score, *more, **given)
        return cast("list[bytes]", made) if form.paged else [cast("bytes", made)]
    worked, made = plugins.contract().attempt(
        offer, "the writer", lambda: _checked(form, resolve(form.write)(score, *more, **settings))
    )
    if not worked:
        raise TabError((kinds.PLUGIN.problem(f"{made}; nothing is written"),))
    return cast("list[bytes]", made)


def _wrong(form: Writer, score: object, options: object, settings: dict[str, object]) -> str:
    """What is wrong with the arguments of a format; empty if nothing is."""
    if not isinstance(score, Score):
        return (
            f"a tune of rollstave.read, or its score, can be written, not a {type(score).__name__}"
        )
    if options is not None and not isinstance(options, SheetOptions):
        return f"the options of a sheet are a SheetOptions, not a {type(options).__name__}"
    if options is not None and (wrong := wrong_options(options)):
        return wrong
    known = {option.name: option for option in form.options}
    for name, value in sorted(settings.items()):
        if name not in known:
            has = f"it has {', '.join(sorted(known))}" if known else "it has none"
            return f"the format {form.name} has no option {name!r}; {has}"
        usual = known[name].default
        wanted, words = (str, "a text") if isinstance(usual, str) else (Real, "a number")
        if not isinstance(value, wanted):
            return f"the option {name!r} of {form.name} is {words}, such as {usual!r}"
    return ""


def _too_long(to: str, count: int, most: int) -> Problem:
    return kinds.TOO_LARGE.problem(
        f"{count:,} measures are too many for {to}, which takes up to {most:,}; divide "
        "the tune (a title over each part makes it a tune), or write musicxml, midi or text",
    )


def _checked(form: Writer, made: object) -> list[bytes]:
    """What a plugin's writer returned, as pages. Raises TypeError if it is something else."""
    pages = made if form.paged else [made]
    if not isinstance(pages, list) or not all(isinstance(page, bytes) for page in pages):
        wanted = "a list of bytes" if form.paged else "bytes"
        raise TypeError(f"it returned a {type(made).__name__}, not {wanted}")
    return pages
