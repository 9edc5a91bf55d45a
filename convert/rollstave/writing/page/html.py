"""One HTML file of everything: the template filled in, with fonts, style and scripts inside."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

import msgspec.structs
from msgspec import Struct
from msgspec.structs import replace

from rollstave.deciding.exercises import exercises_of
from rollstave.deciding.playback import play_order
from rollstave.score.excerpt import excerpt
from rollstave.score.records import Finger, Score
from rollstave.writing.fonts import Style, face_rules
from rollstave.writing.options import SheetOptions
from rollstave.writing.others import OtherMarks, no_others
from rollstave.writing.page.engravings import (
    PAPER_WIDTH,
    WIDTHS,
    Engravings,
    make_engravings,
)
from rollstave.writing.page.slim import Slimmer
from rollstave.writing.page.timing import play_data
from rollstave.writing.page.words import Words, words_of
from rollstave.writing.sheet.drawing import with_signs
from rollstave.writing.sheet.engraving import Engraving

if TYPE_CHECKING:
    from jinja2 import Template

_PLAIN = SheetOptions()
_HOME = "rollstave.writing.page"
_START = "page"  # the script that begins
_FINGERS = {
    **{Finger.THUMB: "Thumb", Finger.INDEX: "Index", Finger.MIDDLE: "Middle"},
    **{Finger.RING: "Ring", Finger.LITTLE: "Little"},
}
# JSON inside a script element: nothing in it may look like the end of one (HTML Standard, 4.12.1.3,
# restrictions for contents of script elements).
_RISKY = {ord(c): f"\\u{ord(c):04x}" for c in "<>&\u2028\u2029"}
# All of ASCII that may stand in a data URL inside a JSON string; a line end may not.
_SAFE = "".join(chr(code) for code in range(32, 127) if chr(code) not in "%#\\<>&")


class Switch(Struct, frozen=True):
    """A switch of the practice panel: what it is for, its words, and its key."""

    value: str
    words: str
    key: str


class Stretch(Struct, frozen=True):
    """A stretch that is played by its name: its first and last measure, and their places in the
    order in which everything is played."""

    name: str
    first: int
    last: int
    begins: int
    ends: int


class Version(Struct, frozen=True):
    """A version of the tune: what its button says, its words, its music, and what sounds when."""

    says: str
    words: Words
    engravings: Engravings
    data: dict[str, Any]
    fingers: frozenset[Finger | None]


def _versions(
    score: Score, options: SheetOptions, slimmer: Slimmer, others: OtherMarks
) -> list[Version]:
    """The tune, and the version beside it if there is one; the page shows one at a time."""
    both = [("as it was", replace(score, beside=None))]
    if score.beside is not None:
        both.append((score.beside.says, score.beside.score))
    return [
        Version(
            says=f"{says[:1].upper()}{says[1:]}",
            words=words_of(each, options, slimmer),
            engravings=make_engravings(
                each,
                options,
                slimmer,
                others,
                prefix=f"v{number}" if number else "",
                heads={one.first: place for place, one in enumerate(_exercises(score))},
            ),
            data=play_data(each),
            fingers=fingers_of(each),
        )
        for number, (says, each) in enumerate(both)
    ]


def write_html(
    score: Score, options: SheetOptions = _PLAIN, others: OtherMarks = no_others
) -> bytes:
    """The score as a page that plays, complete in itself.

    Raises ValueError if there are no such measures as ``options`` name.
    """
    if options.measures is not None:
        score = excerpt(score, *options.measures)
    slimmer = Slimmer()
    versions = _versions(score, options, slimmer, others)
    return filled_in(score, versions, slimmer, _exercises(score))


def _exercises(score: Score) -> list[Stretch]:
    """What is played by its name on a sheet of exercises; a version beside has its own order."""
    if score.beside is not None:
        return []
    order = play_order(score.measures)
    found = []
    for name, span in exercises_of(score):
        places = [place for place, index in enumerate(order) if index in span]
        found.append(
            Stretch(
                name=with_signs(name),
                first=span.start,
                last=span.stop - 1,
                begins=places[0],
                ends=places[-1],
            )
        )
    return found


def filled_in(
    score: Score, versions: Sequence[Version], slimmer: Slimmer, stretches: Sequence[Stretch] = ()
) -> bytes:
    """The page of a score: its versions, and what its scripts play. ``stretches`` of the first are
    offered by their names instead of by numbers of measures."""
    from markupsafe import Markup

    first, *others = versions
    if stretches:
        named = [msgspec.structs.asdict(stretch) for stretch in stretches]
        first = replace(first, data=first.data | {"stretches": named})
    versions = (first, *others)
    engravings, data = first.engravings, first.data
    everything = Engraving([], [])
    for version in versions:
        everything.add_glyphs(version.engravings.glyphs)
    page = _template().render(
        score=score,
        words=first.words,
        versions=versions if len(versions) > 1 else (),
        # Drawings come from lxml, which escapes what a typist wrote.
        paper=Markup(engravings.paper.html),
        paper_width=PAPER_WIDTH,
        packed=[
            (number, e.width, e.packed)
            for number, version in enumerate(versions)
            for e in version.engravings.all
            if e is not engravings.paper
        ],
        widths=WIDTHS,
        glyphs=Markup(slimmer.definitions(everything.glyphs)),
        drawing=Markup,
        # The carried font in its three styles: the page's own words use them all.
        style=Markup(face_rules(Style) + slimmer.style() + _lean(_read("style", "page.css"))),
        data=[Markup(_json(version.data)) for version in versions],
        imports=Markup(_imports()),
        start=f"rollstave/{_START}",
        numbers=[measure.number for measure in score.measures],
        stretches=stretches,
        strings=[Switch(str(n), f"String {n}", str(n)) for n in range(1, len(data["strings"]) + 1)],
        fingers=[
            Switch(f.value, words, f.value)
            for f, words in _FINGERS.items()
            if any(f in version.fingers for version in versions)
        ],
        beats_a_minute=float(score.sounding_tempo / score.meter.beat),
    )
    return page.encode()


@cache
def _template() -> Template:
    """The page's template; whatever is put into it is escaped."""
    from jinja2 import Environment, PackageLoader

    environment = Environment(
        loader=PackageLoader(_HOME, "template"),
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    return environment.get_template("page.html")


def fingers_of(score: Score) -> frozenset[Finger | None]:
    """The fingers that pick in a score; None for notes without one."""
    return frozenset(n.finger for m in score.measures for e in m.events for n in e.notes)


def _read(folder: str, name: str) -> str:
    return (files(_HOME) / folder / name).read_text(encoding="utf-8")


_COMMENT = re.compile(r"^\s*(?://|/\*|\*(?=[ \n/])).*\n|^\s+", re.MULTILINE)


def _lean(source: str) -> str:
    """A script or a style sheet of ours without its indents and the lines that are comments; no
    text in them runs over a line."""
    return _COMMENT.sub("", source)


@cache
def _imports() -> str:
    """The import map of the page."""
    return _json({"imports": _modules()})


def _modules() -> dict[str, str]:
    """Each script under the name by which the others import it, as a data URL.

    A page on disk may not load modules from files beside it, and putting scripts together would
    need a tool that rewrites them. An import map of data URLs needs neither: every file stays the
    plain module that it is. Chromium 89, Firefox 108 and Safari 16.4 and later have it.
    """
    names = sorted(item.name for item in (files(_HOME) / "script").iterdir())
    return {
        f"rollstave/{name.removesuffix('.js')}": "data:text/javascript;charset=utf-8,"
        + quote(_lean(_read("script", name)), safe=_SAFE)
        for name in names
        if name.endswith(".js")
    }


def _json(data: Any) -> str:
    """Data as JSON that can stand in a script element."""
    return json.dumps(data, ensure_ascii=False, separators=(",", ":")).translate(_RISKY)
