"""The public API behind ``rollstave.read`` and ``rollstave.write``."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Sequence
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from rollstave.assembly import dialects, documents, handouts, plugins, reworking, writers
from rollstave.assembly.documents import DocumentText
from rollstave.deciding.about import declared_beside
from rollstave.deciding.build import Built, build_score
from rollstave.grid.typed import GridTune, Heading
from rollstave.instruments.instrument import Instrument
from rollstave.musicxml_in.detect import is_musicxml
from rollstave.musicxml_in.taking import AS_IT_IS, LEADS, Taking
from rollstave.problems import Place, Problem, ProblemList, Severity, TabError, WrongArgument
from rollstave.reading.chapters import chapters_of
from rollstave.reading.given import given_headings, with_given
from rollstave.reading.page.decode import decode, refuse_large, refuse_long, refuse_many
from rollstave.reading.reader import prepare, read_prepared
from rollstave.reading.which import which_instrument
from rollstave.score.finding import Finding, How
from rollstave.score.records import Score
from rollstave.score.reworked import Reworked
from rollstave.score.reworked import beside as set_beside
from rollstave.score.wanted import wanted
from rollstave.vocabulary import problems as kinds
from rollstave.writing.handout.records import Handout
from rollstave.writing.options import SheetOptions

_MOST_OCTAVES = 9


class Tune(Struct, frozen=True):
    """One tune of a file: its score, what it was read from, and what there is to say about it."""

    score: Score
    grid: GridTune
    findings: tuple[Finding, ...]
    problems: tuple[Problem, ...]


class Part(Struct, frozen=True):
    """One text of a file: all of most files, one message of a mailbox. Each is told about, and
    named, like a file of its own.

    ``problems`` say why it could not be read, if it could not. ``lines`` are where the lines of
    ``text`` are in a document, in words.
    """

    name: str = ""
    number: int = 0
    text: str = ""
    tunes: tuple[Tune, ...] = ()
    problems: tuple[Problem, ...] = ()
    lines: tuple[str, ...] = ()

    def placed(self, place: Place) -> Place:
        """A place in the text, with the words for where that is in a document."""
        words = self.lines[place.line - 1] if 0 < place.line <= len(self.lines) else ""
        return replace(place, part=words) if words else place


def read(
    source: str | bytes | Path,
    *,
    instrument: Instrument | None = None,
    name: str = "",
    headings: str = "",
    octave: int = 0,
    lead: str = "",
    since: Tune | Score | Sequence[Tune] | None = None,
) -> tuple[Tune, ...]:
    """Read the tunes of a tab or of a MusicXML file: a Path is read from disk, text and bytes are
    taken as they are. Bytes may be those of a document that a plugin reads; messages of a mailbox
    without tab are passed over.

    ``instrument`` is the one to read a tab for; without it, the file decides. ``name`` is the
    title of a tune that has none. ``headings`` are lines such as ``Time: 2/4`` that hold for a tab
    where it does not say otherwise. ``octave``, ``lead`` and ``since`` are for MusicXML: how many
    octaves higher its notes are read; what counts where its staff and tab disagree (``"staff"``,
    ``"tab"``, ``"newer"``); and the tune that it was made from (of several the nearest), whose
    fingering stays where nothing was changed. Raises TabError with every problem found if any of
    them is an error, OSError if a file cannot be read, and a TabError that is a TypeError too for a
    source that is none of these. A
    str is never taken for the name of a file; where it is one and no tab, the error says so.
    """
    _check_arguments(instrument, name, headings)
    if isinstance(source, Path):
        name = name or source.stem
        source = source.read_bytes()
    taking = _taking(octave, lead, since)
    if isinstance(source, bytes | bytearray | memoryview):
        data = bytes(source)
        parts = read_parts(data, instrument=instrument, name=name, headings=headings, taking=taking)
        return _together(parts)
    return _read(source, instrument, name, headings, taking)


def _check_arguments(instrument: object, name: object, headings: object) -> None:
    """Raises a TabError that is a TypeError too, which says what is wanted."""
    said = ""
    if instrument is not None and not isinstance(instrument, Instrument):
        there_are = ", ".join(i.name for i in plugins.KNOWN.instruments())
        said = f"instrument is an Instrument, not {instrument!r}; the names there are: {there_are}"
    for called, value in (("name", name), ("headings", headings)):
        if not isinstance(value, str):
            said = f"{called} is a str, not a {type(value).__name__}"
    if said:
        raise WrongArgument((kinds.ARGUMENT.problem(said),))


def _taking(octave: int, lead: str, since: object) -> Taking:
    """How a MusicXML file is taken. Raises a TabError that is a TypeError too."""
    if not isinstance(octave, int) or abs(octave) > _MOST_OCTAVES:
        said = f"octave is a whole number from -{_MOST_OCTAVES} to {_MOST_OCTAVES}, not {octave!r}"
        raise WrongArgument((kinds.ARGUMENT.problem(said),))
    if lead and lead not in LEADS:
        said = f"lead is one of {', '.join(LEADS)}, not {lead!r}"
        raise WrongArgument((kinds.ARGUMENT.problem(said),))
    several = since if isinstance(since, tuple | list) and since else (since,)
    scores = tuple(one.score if isinstance(one, Tune) else one for one in several)
    if since is None:
        return Taking(octave=octave, lead=lead)
    if not all(isinstance(one, Score) for one in scores):
        said = f"since is a tune or a score, not a {type(since).__name__}"
        raise WrongArgument((kinds.ARGUMENT.problem(said),))
    return Taking(octave=octave, lead=lead, since=scores[0], among=scores)


def read_parts(
    data: bytes,
    *,
    instrument: Instrument | None = None,
    name: str = "",
    headings: str = "",
    taking: Taking = AS_IT_IS,
) -> tuple[Part, ...]:
    """The texts of a file, each with its tunes or with the problems that kept it from being read.

    Most files are one text; a mailbox has one for each message. The arguments are those of
    :func:`read`, ``taking`` those for MusicXML. Raises nothing for what is wrong with the file.
    """
    try:
        texts = None if is_musicxml(data) else documents.opened(data)
    except TabError as error:
        return (Part(problems=error.problems),)
    if texts is None:
        try:
            return (Part(tunes=_read(data, instrument, name, headings, taking)),)
        except TabError as error:
            return (Part(problems=error.problems),)
    return tuple(_read_document(text, instrument, text.title or name, headings) for text in texts)


def _read_document(
    text: DocumentText, instrument: Instrument | None, name: str, headings: str
) -> Part:
    """A text that was in a document, every problem with its place there."""
    part = Part(name=text.name, number=text.number, text=text.text, lines=text.places)
    remarks = tuple(
        kinds.DOCUMENT.problem(words, severity=Severity.NOTICE) for words in text.remarks
    )

    if text.error:
        return replace(part, problems=(kinds.DOCUMENT.problem(text.error), *remarks))

    def placed(problems: Sequence[Problem]) -> tuple[Problem, ...]:
        return tuple(replace(p, place=part.placed(p.place)) if p.place else p for p in problems)

    try:
        tunes = _read(text.text, instrument, name, headings)
    except TabError as error:
        return replace(part, problems=placed(error.problems) + remarks)
    first, *rest = (replace(tune, problems=placed(tune.problems)) for tune in tunes)
    return replace(part, tunes=(replace(first, problems=remarks + first.problems), *rest))


def _together(parts: Sequence[Part]) -> tuple[Tune, ...]:
    """The tunes of all texts of a file. Raises TabError for one that could not be read, unless it
    is one of several and has no tab."""
    has_tunes = any(part.tunes for part in parts)
    wrong = [part for part in parts if part.problems and not (has_tunes and has_no_tab(part))]
    if wrong:
        raise TabError(
            tuple(
                replace(p, message=f"{part.name}: {p.message}") if part.name else p
                for part in wrong
                for p in part.problems
            )
        )
    return tuple(tune for part in parts for tune in part.tunes)


# Problems that say that a text is no tab at all.
NO_TAB_CODES = frozenset({"empty", "no-tab", "binary"})


def has_no_tab(part: Part) -> bool:
    """True if there is no tab in a text, not one that is wrong."""
    return any(p.code in NO_TAB_CODES for p in part.problems)


def _read(
    source: str | bytes,
    instrument: Instrument | None,
    name: str,
    headings: str,
    taking: Taking = AS_IT_IS,
) -> tuple[Tune, ...]:
    """The tunes of a text or of MusicXML. Raises TabError."""
    if not isinstance(source, str | bytes):
        said = f"a tab is a Path, or text or bytes, not a {type(source).__name__}"
        raise WrongArgument((kinds.ARGUMENT.problem(said),))
    problems = ProblemList()
    data = source.encode("utf-8", "replace") if isinstance(source, str) else source
    if is_musicxml(data):
        return (_from_musicxml(data, name, problems, taking),)
    if isinstance(source, str):
        refuse_large(len(data))
        text = source
    else:
        text = decode(data)
    refuse_long(text)
    house = dialects.translate(text, problems)
    if house.instrument is not None:
        grids = house.tunes
        built = [_built(grid, house.instrument, problems, name) for grid in grids]
    else:
        given = given_headings(headings, problems) if headings else ()
        grids, built = _read_chapters(house.text, instrument, problems, name, given)
    if not built and not problems.has_errors:
        problems.add(kinds.NO_TAB, "no measure with notes was found")
    if problems.has_errors:
        if isinstance(source, str) and not built and _names_a_file(source):
            said = f"this is the name of a file, not its text; to read it, give Path({source!r})"
            if not Path(source).is_file():
                said += ", if there is such a file: none is found from here"
            raise TabError((kinds.FILE_NAME.problem(said),))
        told = problems.of_refusal(kinds.EXPLAIN_ERRORS)
        raise TabError(tuple(house.original(p) for p in told))
    by_tune = _by_tune([(p, house.original(p)) for p in problems.sorted()], grids)
    return tuple(
        Tune(score=b.score, grid=grid, findings=b.findings, problems=by_tune[position])
        for position, (b, grid) in enumerate(zip(built, grids, strict=True))
    )


def write(
    tune: Tune | Score | Handout, to: str, options: SheetOptions | None = None, **settings: object
) -> list[bytes]:
    """The pages of a tune in the format of that name; one page where a format has none. A hand-out
    has pages of its own in svg, pdf, html and text; in others its exercises are one tune.

    ``options`` say how a sheet looks (svg, pdf, html); other formats do not look at them.
    ``settings`` are the options that the format itself has, such as ``width=100`` for ``text``.
    Raises TabError if the writer is a plugin's and fails, or a sheet would have more measures than
    fit; for a format that does not exist the TabError is a KeyError too, for an argument that the
    format does not take a TypeError.
    """
    if isinstance(tune, Handout):
        return handouts.written(tune, to, options, settings)
    score = tune.score if isinstance(tune, Tune) else tune
    return writers.written(score, to, options, settings, _reads(score))


def _reads(score: Score) -> Callable[[bytes], Sequence[Score]]:
    """What reads a text again that a score is written as."""
    return lambda text: [tune.score for tune in _read(text, score.setup.instrument, "", "")]


def rework(tune: Tune | Score, name: str, **options: object) -> Reworked:
    """Another version of a tune, by the rework of that name: ``rework(tune, "tuning",
    tuning="gCGBD")``.

    The reworks, and what their options mean, are those of the plugins (``rollstave plugins``).
    Raises TabError where what is asked for is impossible, and says what comes nearest; for a name
    or an option that does not exist the TabError is a TypeError too.
    """
    score = tune.score if isinstance(tune, Tune) else tune
    return reworking.reworked(score, name, options)


def beside(tune: Tune | Score, made: Reworked) -> Score:
    """A tune with another version of it beside it: the score that ``write`` sets on one sheet, one
    page or in one MusicXML file, measure under measure.

    Raises TabError where their measures do not go together; for other things a TypeError too.
    """
    wanted(tune, (Tune, Score), "another version stands beside a tune or its score")
    wanted(made, Reworked, "beside a tune stands what rework made of it")
    score = tune.score if isinstance(tune, Tune) else tune
    return set_beside(score, made)


def _read_chapters(
    text: str,
    instrument: Instrument | None,
    problems: ProblemList,
    name: str,
    given: Sequence[Heading],
) -> tuple[tuple[GridTune, ...], list[Built]]:
    """The tunes of a text, each chapter of it for the instrument that it names or shows."""
    grids: list[GridTune] = []
    built: list[Built] = []
    file = prepare(text, problems, known=plugins.KNOWN)
    said = next((h.text for h in given if h.key == "instrument"), "")
    for chapter in chapters_of(file) if instrument is None else (file,):
        chosen = instrument or which_instrument(chapter, said)
        tunes = read_prepared(chapter, chosen)
        refuse_many(len(grids) + len(tunes))
        for found in tunes:
            grid, added = with_given(found, given)
            made = _built(grid, chosen, problems, name)
            told = (
                Finding(
                    subject=h.key, value=h.text, how=How.DECLARED, reason="given for all tabs here"
                )
                for h in added
            )
            grids.append(grid)
            built.append(replace(made, findings=(*made.findings, *told)) if added else made)
    return tuple(grids), built


def _built(grid: GridTune, instrument: Instrument, problems: ProblemList, name: str) -> Built:
    return build_score(grid, instrument, problems, name, plugins.evidence)


_LONGEST_NAME = 4096  # characters of a path


def _names_a_file(text: str) -> bool:
    """True for a text of one line that is the path of a file, or has the ending of one."""
    if len(text) > _LONGEST_NAME or any(sign in text for sign in "\n|\0"):
        return False
    try:
        path = Path(text)
        ending = path.suffix[1:]
        return path.is_file() or (ending.isalnum() and not ending.isdecimal())
    except (OSError, ValueError):  # too long for a path, or with characters that none has
        return False


def _from_musicxml(data: bytes, name: str, problems: ProblemList, taking: Taking) -> Tune:
    """The tune of a MusicXML file. Its grid is that of the tab it is written as."""
    from rollstave.musicxml_in import read_musicxml
    from rollstave.musicxml_in.naming import measures_named
    from rollstave.writing.text import typing_of

    score, tuning = read_musicxml(data, problems, plugins.KNOWN, taking)
    score = score if score.title else replace(score, title=name)
    read: dict[bytes, tuple[Tune, ...]] = {}

    def again(text: bytes) -> list[Score]:
        read[text] = _read(text, score.setup.instrument, "", "")
        return [tune.score for tune in read[text]]

    typing = typing_of(score, again=again)
    if typing.moved:
        moved = measures_named([str(score.measures[index].number) for index in typing.moved])
        problems.add(
            kinds.TYPED_OTHERWISE,
            f"typed as text, {moved} {'is' if len(typing.moved) == 1 else 'are'} read otherwise, "
            "with another rhythm, other notes or voices; other formats have what is meant",
        )
    grids = [tune.grid for tune in read.get(typing.text, ())]
    if len(grids) != 1:
        problems.add(kinds.MUSICXML, "this score cannot be written as the rows of one tab")
        raise TabError(problems.of_refusal(kinds.EXPLAIN_ERRORS))
    findings = (
        Finding("title", score.title, How.DECLARED),
        tuning,
        Finding("key", str(score.key), How.DECLARED),
        Finding("meter", str(score.meter), How.DECLARED),
        *declared_beside(score),
    )
    return Tune(score=score, grid=grids[0], findings=findings, problems=problems.sorted())


def _by_tune(
    problems: Sequence[tuple[Problem, Problem]], grids: Sequence[GridTune]
) -> list[tuple[Problem, ...]]:
    """The problems that lie in the lines of each tune; those without a place go to the first.

    Of each pair the first has the line in the text that was read, the second is what is told.
    """
    starts = [grid.first_line for grid in grids]
    parted: list[list[Problem]] = [[] for _ in grids]
    for problem, told in problems:
        line = problem.place.line if problem.place else 0
        parted[max(0, bisect_right(starts, line) - 1)].append(told)
    return [tuple(part) for part in parted]
