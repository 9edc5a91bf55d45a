"""Writers: a score in, bytes out. ``FORMATS`` is the table; ``assembly.writers`` calls them.

Each writer lives in its own module and is imported when it is first used.
"""

from __future__ import annotations

from msgspec import Struct


class Format(Struct, frozen=True):
    """A format: its name, file extension, where its writer is, and whether it makes pages.

    A writer of pages returns a list of bytes, one for each page. A writer of sheets takes
    :class:`~rollstave.writing.options.SheetOptions` after the score, and as ``others``
    the marks that it draws after its own. One whose text is ``read_again`` takes as ``again``
    what reads it. One with ``beside`` shows another version of the tune with it. ``handout`` is
    the function in ``writing.handout`` that writes a hand-out; without it, its exercises are
    written as one tune. ``engraved`` is how often a writer of sheets sets a tune.
    """

    name: str
    extension: str
    module: str
    function: str
    paged: bool = False
    sheet: bool = False
    read_again: bool = False
    beside: bool = False
    handout: str = ""
    engraved: int = 1


FORMATS: dict[str, Format] = {
    f.name: f
    for f in (
        Format(
            name="musicxml",
            extension=".musicxml",
            module="rollstave.writing.musicxml",
            function="write_musicxml",
            beside=True,
        ),
        Format(
            name="mxl",
            extension=".mxl",
            module="rollstave.writing.musicxml.compressed",
            function="write_mxl",
            beside=True,
        ),
        Format(
            name="svg",
            extension=".svg",
            module="rollstave.writing.sheet",
            function="write_svg",
            paged=True,
            sheet=True,
            beside=True,
            handout="pages:write_svg",
        ),
        Format(
            name="pdf",
            extension=".pdf",
            module="rollstave.writing.paper",
            function="write_pdf",
            sheet=True,
            beside=True,
            handout="pages:write_pdf",
        ),
        Format(
            name="mei",
            extension=".mei",
            module="rollstave.writing.mei",
            function="write_mei",
            beside=True,
        ),
        Format(
            name="midi", extension=".mid", module="rollstave.writing.midi", function="write_midi"
        ),
        Format(
            name="html",
            extension=".html",
            module="rollstave.writing.page",
            function="write_html",
            sheet=True,
            engraved=4,
            beside=True,
            handout="practice:write_html",
        ),
        Format(
            name="text",
            extension=".txt",
            module="rollstave.writing.text",
            function="write_text",
            read_again=True,
            handout="typed:write_text",
        ),
    )
}


# Each measure of a sheet takes some six milliseconds and 60 kB while it is engraved: so many take
# ten seconds. A tune of eighty pages is none; where tunes of a book were taken for one, a title
# over each parts them.
MOST_MEASURES = 1_600
