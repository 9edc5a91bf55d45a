"""A MusicXML file as a score: its parts put together. MusicXML 4.0, score-partwise."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby
from operator import itemgetter

from lxml import etree
from msgspec.structs import replace

from rollstave.deciding.changes import with_changes
from rollstave.deciding.fine_times import report_fine_times
from rollstave.deciding.named_by import names_of_shapes
from rollstave.deciding.playback import never_closed, report_playing
from rollstave.grid.typed import LegendSign
from rollstave.instruments.instrument import Tuning
from rollstave.instruments.known import OWN, Known
from rollstave.musicxml_in.coming_back import give_back, nearest
from rollstave.musicxml_in.events import build_measures, fretted, without_frets
from rollstave.musicxml_in.fields import with_fields, words_of
from rollstave.musicxml_in.measures import ReadMeasure, read_measures
from rollstave.musicxml_in.numbers import WrongValue
from rollstave.musicxml_in.parse import by_parts, parse
from rollstave.musicxml_in.places import share_places
from rollstave.musicxml_in.rests import report_rests, report_unpitched
from rollstave.musicxml_in.setups import later_setups, read_setup
from rollstave.musicxml_in.staves import move, settle, staff_of
from rollstave.musicxml_in.strings import as_before
from rollstave.musicxml_in.taking import AS_IT_IS, Taking
from rollstave.musicxml_in.ties import report_ties
from rollstave.musicxml_in.voices import tell_voices
from rollstave.musicxml_in.words import read_words, text_of
from rollstave.problems import Place, ProblemList, Severity, TabError
from rollstave.reading.cells.signs import read_legend
from rollstave.reading.page.decode import Line
from rollstave.score.finding import Finding
from rollstave.score.records import Measure, Score, fields_of_headings
from rollstave.vocabulary import problems as kinds
from rollstave.vocabulary.headings import ROWS

# Notes of the part that is read, on staff and tab together: some dozen times a long tune, and read
# within ten seconds. Each costs about half a millisecond, and a measure twice that; a file may be
# large without a limit of its own (32 MB).
MOST, _MEASURE = 20_000, 2


def read_musicxml(
    data: bytes,
    problems: ProblemList,
    tuning: Tuning | None = None,
    known: Known = OWN,
    taking: Taking = AS_IT_IS,
) -> tuple[Score, Finding]:
    """The score of the first part with a tablature, or of the first part, and how its tuning is
    known. Raises TabError.

    Notes with string and fret keep them; without, frets are found under the file's tuning, or
    ``tuning``, or the usual one of the instrument. ``known`` are the instruments that there are;
    ``taking`` says which notes count where there is a choice.
    """
    root = by_parts(parse(data, problems))
    if root.tag != "score-partwise":
        problems.add(
            kinds.MUSICXML,
            f"this is XML, but not a score by parts (score-partwise): its root is {root.tag}; save "
            "it as partwise MusicXML",
        )
        raise TabError(problems.sorted())
    try:
        return _score(root, problems, tuning, known, taking)
    except WrongValue as error:
        problems.add(kinds.MUSICXML, str(error), Place(error.line, 1))
        raise TabError(problems.sorted()) from error
    except (ValueError, ArithmeticError, LookupError) as error:
        # A number that is none, divisions of 0, a step that is no letter.
        problems.add(kinds.MUSICXML, f"a value in this MusicXML file makes no sense: {error}")
        raise TabError(problems.sorted()) from error


def _score(
    root: etree._Element,
    problems: ProblemList,
    tuning: Tuning | None,
    known: Known,
    taking: Taking,
) -> tuple[Score, Finding]:
    parts = root.findall("part")
    part = _part_to_read(parts, problems)
    short_string = text_of(root, ROWS["fifth string"].kept.found_at)
    named = _name(root, part)
    told = read_setup(part, tuning, known, named=named, short_string=short_string)
    told = with_fields(root, part, told, known)
    title = _title(root)
    taking = _made_from(taking, title, part)
    if taking.since is not None:
        told = as_before(part, told, taking.since.setup)
    setup = told.setup
    measures, key, meter, tempo = read_measures(part, problems)
    _other_parts(parts, part, measures, problems)
    settle(measures, taking, problems)
    if taking.octave:
        move(measures, taking.octave)
    if taking.since is not None:
        share_places(measures, setup)
        give_back(measures, taking.since, setup)
    report_ties(measures, problems)
    setups = later_setups([m.details for m in measures], [m.heard for m in measures], setup, known)
    with_frets = []
    for own, run in groupby(zip(setups, measures, strict=True), key=itemgetter(0)):
        with_frets += fretted([m for _, m in run], own, problems, key.fifths)
    tell_voices(with_frets, measures)
    notes = _notes(root)
    said = read_words(root, problems)
    signs = _signs((*notes, title, *said.values()))
    if not any(sign.means == "muted" for sign in signs):
        without_frets(with_frets, setups, key.fifths)
    built = build_measures(with_frets, measures)
    built = with_changes(
        built,
        meters=[m.meter for m in measures],
        keys=[m.key for m in measures],
        tempos=[m.tempo for m in measures],
        setups=setups,
    )
    by_shape = names_of_shapes(built, setups) is not None
    _report(measures, built, problems)
    score = Score(
        title=title,
        setup=setup,
        key=key,
        meter=meter,
        tempo=tempo,
        measures=built,
        notes=notes,
        signs=signs,
        chords_by_shape=by_shape,
        **fields_of_headings(said),
    )
    return score, told.finding


def _part_to_read(parts: Sequence[etree._Element], problems: ProblemList) -> etree._Element:
    """The first part with a tablature, or the first. Raises TabError where none can be read."""
    part = next((p for p in parts if p.find(".//technical/fret") is not None), None)
    if part is None and parts:
        part = parts[0]
    if part is None:
        problems.add(kinds.MUSICXML, "the MusicXML file has no part to read")
        raise TabError(problems.sorted())
    notes, measures = (sum(1 for _ in part.iter(name)) for name in ("note", "measure"))
    if notes + _MEASURE * measures > MOST:
        message = (
            f"this part has {notes:,} notes and {measures:,} measures, and up to {MOST:,} notes "
            "are read at once, where a measure counts as two"
        )
        problems.add(kinds.TOO_LARGE, f"{message}; divide the score into tunes")
        raise TabError(problems.sorted())
    if part.find("measure") is None:
        problems.add(kinds.MUSICXML, "the part that is read has no measures")
        raise TabError(problems.sorted())
    return part


def _other_parts(
    parts: Sequence[etree._Element],
    part: etree._Element,
    measures: Sequence[ReadMeasure],
    problems: ProblemList,
) -> None:
    """Other parts are not read, but for the staff of the tab where that is a part of its own."""
    if len(parts) == 1:
        return
    if part.find(".//technical/fret") is not None and not any(m.above for m in measures):
        for other in parts:
            if other is not part and staff_of(measures, other):
                return
    several = f"the file has {len(parts)} parts; one of them is read"
    problems.add(kinds.MUSICXML, several, severity=Severity.NOTICE)


def _notes(root: etree._Element) -> tuple[str, ...]:
    """The lines of words that stand beside the music."""
    return words_of(root) or tuple(
        (w.text or "")
        for c in root.findall("credit")
        if c.find("credit-type") is None
        for w in c.findall("credit-words")
        if w.get("halign") == "left"
    )


def _signs(words: Iterable[str]) -> tuple[LegendSign, ...]:
    """What a legend among the words or in a heading says of signs, as if it stood beside rows: the
    notes here are no signs, but whoever writes them as text must keep to it."""
    lines = (Line(number, text, text) for number, text in enumerate(words, start=1))
    return read_legend(lines, ProblemList()).own


def _report(
    measures: Sequence[ReadMeasure], built: Sequence[Measure], problems: ProblemList
) -> None:
    report_rests(measures, built, problems)
    report_unpitched(measures, problems)
    report_playing(built, problems)
    for index in never_closed(built):
        called = measures[index].number or index + 1
        problems.add(
            kinds.REPEAT,
            f"measure {called}: the repeat that begins here is never closed; it is played once",
        )
    report_fine_times(built, problems)


def _title(root: etree._Element) -> str:
    return text_of(root, ROWS["title"].kept.found_at) or text_of(root, "movement-title")


def _made_from(taking: Taking, title: str, part: etree._Element) -> Taking:
    """Of several tunes that a part may have been made from the nearest."""
    if len(taking.among) < 2:
        return taking
    return replace(taking, since=nearest(taking.among, title, part))


def _name(root: etree._Element, part: etree._Element) -> str:
    """The name of a part."""
    listed = root.findall("part-list/score-part")
    return next((p.findtext("part-name", "") for p in listed if p.get("id") == part.get("id")), "")
