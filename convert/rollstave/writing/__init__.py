"""Writers: a score in, bytes out. ``FORMATS`` is the table of our own; plugins may add others.

Each writer lives in its own module and is imported when it is first used.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from msgspec import Struct

from rollstave.contract.manager import OWN, Offer, contract
from rollstave.contract.offers import Writer, resolve
from rollstave.problems import Problem, TabError
from rollstave.score.records import Score
from rollstave.vocabulary import problems as kinds

if TYPE_CHECKING:
    from rollstave.api import Tune
    from rollstave.writing.options import SheetOptions


class Format(Struct, frozen=True):
    """A format: its name, file extension, where its writer is, and whether it makes pages.

    A writer of pages returns a list of bytes, one for each page. A writer of sheets takes
    :class:`~rollstave.writing.options.SheetOptions` after the score.
    """

    name: str
    extension: str
    module: str
    function: str
    paged: bool = False
    sheet: bool = False


FORMATS: dict[str, Format] = {
    f.name: f
    for f in (
        Format(
            name="musicxml",
            extension=".musicxml",
            module="rollstave.writing.musicxml",
            function="write_musicxml",
        ),
        Format(
            name="mxl",
            extension=".mxl",
            module="rollstave.writing.musicxml.compressed",
            function="write_mxl",
        ),
        Format(
            name="svg",
            extension=".svg",
            module="rollstave.writing.sheet",
            function="write_svg",
            paged=True,
            sheet=True,
        ),
        Format(
            name="pdf",
            extension=".pdf",
            module="rollstave.writing.paper",
            function="write_pdf",
            sheet=True,
        ),
        Format(name="mei", extension=".mei", module="rollstave.writing.mei", function="write_mei"),
        Format(
            name="midi", extension=".mid", module="rollstave.writing.midi", function="write_midi"
        ),
        Format(
            name="html",
            extension=".html",
            module="rollstave.writing.page",
            function="write_html",
            sheet=True,
        ),
        Format(
            name="text", extension=".txt", module="rollstave.writing.text", function="write_text"
        ),
    )
}


# Each measure of a sheet takes some 60 kB while it is engraved: so many take 600 MB, and minutes.
MOST_MEASURES = 10_000


def find_writer(to: str) -> Offer:
    """The writer of a format and the plugin that offers it. Raises KeyError for no such format."""
    offer = contract().find("writers", to)
    if offer is None:
        raise KeyError(to)
    return offer


def format_names() -> tuple[str, ...]:
    """The names of all formats, the project's own first."""
    return tuple(offer.thing.name for offer in contract().offers("writers"))


def write(
    tune: Tune | Score, to: str, options: SheetOptions | None = None, **settings: object
) -> list[bytes]:
    """The pages of a tune in the format of that name; one page where a format has none.

    ``options`` say how a sheet looks (svg, pdf, html); other formats do not look at them.
    ``settings`` are the options that the format itself has, such as ``width=100`` for ``text``.
    Raises KeyError for a format that does not exist, TypeError for a setting that it has not, and
    TabError if the writer is a plugin's and fails, or a sheet would have more measures than
    :data:`MOST_MEASURES`.
    """
    offer = find_writer(to)
    form: Writer = offer.thing
    known = {option.name for option in form.options}
    if strange := sorted(set(settings) - known):
        has = f"it has {', '.join(sorted(known))}" if known else "it has none"
        raise TypeError(f"the format {to} has no option {strange[0]!r}; {has}")
    score = tune if isinstance(tune, Score) else tune.score
    if form.sheet and len(score.measures) > MOST_MEASURES and not (options and options.measures):
        raise TabError((_too_long(to, len(score.measures)),))
    more = (options,) if form.sheet and options is not None else ()
    if offer.plugin.name == OWN:
        made = resolve(form.write)(score, *more, **settings)
        return cast("list[bytes]", made) if form.paged else [cast("bytes", made)]
    worked, made = contract().attempt(
        offer, "the writer", lambda: _checked(form, resolve(form.write)(score, *more, **settings))
    )
    if not worked:
        said = f"{contract().faults[-1]}; nothing is written"
        raise TabError((kinds.PLUGIN.problem(said),))
    return cast("list[bytes]", made)


def _too_long(to: str, count: int) -> Problem:
    return kinds.TOO_LARGE.problem(
        f"{count:,} measures are too many for {to}, which takes up to {MOST_MEASURES:,}; divide "
        "the tune, or write musicxml, midi or text",
    )


def _checked(form: Writer, made: object) -> list[bytes]:
    """What a plugin's writer returned, as pages. Raises TypeError if it is something else."""
    pages = made if form.paged else [made]
    if not isinstance(pages, list) or not all(isinstance(page, bytes) for page in pages):
        wanted = "a list of bytes" if form.paged else "bytes"
        raise TypeError(f"it returned a {type(made).__name__}, not {wanted}")
    return pages
