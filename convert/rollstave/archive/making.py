"""One file to the bytes of its outputs. Plain conversion and the archive's workers both use it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from msgspec import Struct
from msgspec.structs import replace

from rollstave.archive.jobs import Recipe, problem
from rollstave.archive.names import fitted
from rollstave.musicxml_in.taking import AS_IT_IS, Taking
from rollstave.vocabulary import problems as kinds

if TYPE_CHECKING:
    from rollstave.api import Tune

LONGEST_NAME = 240  # bytes of a file name; file systems allow 255


class Made(Struct, frozen=True):
    """An output: the position of its tune in the file, its format, file name and bytes."""

    tune: int
    form: str
    name: str
    data: bytes


class ReadPart(Struct, frozen=True):
    """One text of a file: its tunes, or the problems (plain data) that kept it from being read.

    ``name`` says which it is where a file holds several, and ``ending`` is what its outputs' names
    then have after the file's own.
    """

    name: str = ""
    ending: str = ""
    tunes: tuple[Tune, ...] = ()
    errors: list[dict[str, Any]] = []


def versions() -> tuple[tuple[str, str], ...]:
    """The versions of everything that decides what outputs look like, plugins included."""
    import os
    from importlib.metadata import PackageNotFoundError, version

    from rollstave.assembly import documents
    from rollstave.contract.discovery import GROUP, entry_points
    from rollstave.contract.manager import SWITCH
    from rollstave.version import __version__

    found = {"rollstave": __version__, "plugins": os.environ.get(SWITCH, "")}
    for package in ("verovio", "typst", "music21"):
        try:
            found[package] = version(package)
        except PackageNotFoundError:
            found[package] = ""
    found |= documents.packages()
    found |= {point.package: point.version for point in entry_points(GROUP)}
    return tuple(sorted(found.items()))


def read_each(
    data: bytes,
    stem: str,
    hand: str | None,
    given: str = "",
    names: str | None = None,
    taking: Taking = AS_IT_IS,
) -> tuple[list[ReadPart], str]:
    """The texts of a file's bytes, with the letters chosen for a hand and chords named under a
    capo as ``names`` says, and what is said of those of several that have no tab; ``given`` are
    headings that hold where a tune does not say otherwise, ``taking`` says how MusicXML is read."""
    from rollstave.api import has_no_tab, read_parts
    from rollstave.deciding.named_by import in_names
    from rollstave.deciding.picking import in_hand
    from rollstave.reporting.files import slug
    from rollstave.reporting.summary import problem_data

    parts = read_parts(data, name=stem, headings=given, taking=taking)
    several = any(part.number for part in parts)
    kept = [part for part in parts if not (several and has_no_tab(part))]
    made = []
    for part in kept:
        subject = part.name.partition("(")[2].removesuffix(")")
        words = f"-{slug(subject)}" if subject else ""
        made.append(
            ReadPart(
                name=part.name,
                ending=f"-{part.number}{words}" if part.number else "",
                tunes=tuple(
                    replace(tune, score=in_names(in_hand(tune.score, hand), names))
                    for tune in part.tunes
                ),
                errors=[problem_data(p) for p in part.problems],
            )
        )
    if several and not kept:
        words = f"none of its {len(parts):,} messages has a tab in it"
        return [ReadPart(errors=[problem(kinds.NO_TAB, words)])], ""
    left = len(parts) - len(kept)
    return made, f"{left:,} of its {len(parts):,} messages have no tab" if left else ""


def make(tunes: tuple[Tune, ...], stem: str, recipe: Recipe) -> list[Made]:
    """All outputs of all tunes of a file, named after ``stem``.

    Several tunes are told apart by number and title, several pages by number.
    """
    from rollstave.api import write
    from rollstave.assembly.writers import find_writer
    from rollstave.reporting.files import slug

    made: list[Made] = []
    for position, tune in enumerate(tunes):
        of_tune = f"-{position + 1}-{slug(tune.score.title)}" if len(tunes) > 1 else ""
        for form in recipe.formats:
            pages = write(tune, form, recipe.options, **recipe.settings_of(form))
            extension = find_writer(form).thing.extension
            for number, data in enumerate(pages, start=1):
                of_page = f"-{number}" if len(pages) > 1 else ""
                name = _file_name(stem, of_tune, of_page + extension)
                made.append(Made(tune=position, form=form, name=name, data=data))
    _refuse_same_names(made)
    return made


def _refuse_same_names(made: list[Made]) -> None:
    """Raise TabError if an output would take the place of another: two formats of plugins may have
    one ending. Case does not count, since it does not on some disks."""
    from rollstave.problems import TabError

    seen: dict[str, Made] = {}
    for output in made:
        other = seen.setdefault(output.name.casefold(), output)
        if other is not output:
            message = (
                f"{other.form} and {output.form} would both be written to {output.name}; convert "
                "to one of them at a time, each with an --out of its own"
            )
            raise TabError((kinds.FILE.problem(message),))


def _file_name(stem: str, of_tune: str, end: str) -> str:
    """A file name that is not too long for a file system; the stem is kept before the title."""
    return fitted(stem + of_tune, LONGEST_NAME - len(end.encode())) + end


def in_short(tune: Tune) -> dict[str, Any]:
    """What an archive's report says of a tune; ``sure`` is the share of measures, 0 to 1."""
    from rollstave.reporting.summary import problem_data

    score = tune.score
    count = len(score.measures)
    return {
        "title": score.title,
        "tuning": score.setup.tuning.written,
        "key": str(score.key),
        "meter": str(score.meter),
        "headings": dict(score.said),
        "measures": count,
        "sure": round(sum(m.rhythm.sure for m in score.measures) / count, 4) if count else 1.0,
        "problems": [problem_data(p) for p in tune.problems],
    }
