"""The instrument and tuning that a tablature staff declares."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import takewhile

from lxml import etree
from msgspec.structs import replace

from rollstave.deciding.capo import HIGHEST_RAISE, short_string_said
from rollstave.instruments.instrument import Instrument, Tuning
from rollstave.instruments.known import Known
from rollstave.instruments.setup import NoSuchFret, Setup
from rollstave.instruments.tunings import named_form
from rollstave.musicxml_in.notes import Heard
from rollstave.musicxml_in.numbers import step, whole, whole_attribute
from rollstave.musicxml_in.strings import Told, as_likely, from_notes
from rollstave.pitch import Pitch, spell
from rollstave.score.finding import Finding, How

_MOST_LINES = 100  # of a staff: more than any instrument has strings


def read_setup(
    part: etree._Element,
    wanted: Tuning | None,
    known: Known,
    named: str = "",
    short_string: str = "",
) -> Told:
    """The setup that the tablature staff declares, or the one that its notes tell.

    ``named`` is the name of the part: the instrument of that name comes before others that have
    these strings as well. ``short_string`` is what a heading said of the short string.
    """
    told = _of_staff(part, wanted, known, named, short_string)
    setup = told.setup
    said = short_string_said(setup, short_string) if setup.instrument.short_string else None
    if said is None or (told.finding.how is How.INFERRED and not as_likely(part, said, setup)):
        return told
    if said.tuning not in said.instrument.tunings and said.short_raise >= 0:
        said = replace(said, tuning=_as_tuned(said))
    return replace(told, setup=said)


def _as_tuned(setup: Setup) -> Tuning:
    """An unknown tuning whose short string is written as it is raised above the capo, without
    that."""
    short = setup.instrument.short_string
    if short is None:
        return setup.tuning
    pitches = list(setup.tuning.pitches)
    written = pitches[short.string - 1]
    if setup.short_raise != setup.capo:
        pitches[short.string - 1] = spell(written.midi - setup.short_raise + setup.capo, 0)
    return Tuning(named_form(pitches, setup.instrument), tuple(pitches))


def _of_staff(
    part: etree._Element, wanted: Tuning | None, known: Known, named: str, short_string: str
) -> Told:
    details = next(
        (d for d in part.iter("staff-details") if d.find("staff-tuning") is not None), None
    )
    if details is None:
        return from_notes(part, wanted, known, named)
    setup = _declared(details, known, named, short_string)
    finding = Finding(
        subject="tuning",
        value=setup.tuning.written,
        how=How.DECLARED,
        reason="of the MusicXML file",
    )
    return Told(setup, finding)


def later_setups(
    details: Sequence[etree._Element | None],
    heard: Sequence[Sequence[Heard]],
    first: Setup,
    known: Known,
) -> list[Setup]:
    """The setup of each measure, from the ``staff-details`` that holds there. The instrument stays,
    and how the frets of its short string are numbered. ``heard`` are the notes of each measure:
    they tell a short string that is raised from one that is tuned higher."""
    found: list[Setup] = []
    before = next((d for d in details if d is not None), None)
    now = first
    for index, one in enumerate(details):
        if one is not None and one is not before:
            told = _declared(one, known, first.instrument.name, "")
            before = one
            if told.instrument == first.instrument:
                told = replace(told, short_numbering=first.short_numbering)
                now = _raised(told, now, _while_it_holds(one, details[index:], heard[index:]))
                now = first if _same(now, first) else now
        found.append(now)
    return found


def _while_it_holds(
    one: etree._Element,
    details: Sequence[etree._Element | None],
    heard: Sequence[Sequence[Heard]],
) -> list[Heard]:
    """The notes of the measures from the first on that have these ``staff-details``."""
    pairs = zip(details, heard, strict=True)
    held = takewhile(lambda pair: pair[0] is one or pair[0] is None, pairs)
    return [note for _, own in held for note in own]


def _raised(told: Setup, before: Setup, notes: Sequence[Heard]) -> Setup:
    """The setup that is told; or the one before with its short string raised to what is told of it,
    where more of its notes sound so: raising moves its open note alone."""
    short = told.instrument.short_string
    if short is None:
        return told
    long = [n for n in range(1, told.instrument.strings + 1) if n != short.string]
    more = told.open_midi(short.string) - before.open_midi(short.string)
    raised = before.short_raise + more
    alike = all(told.open_midi(n) == before.open_midi(n) for n in long)
    if not (alike and told.capo == before.capo and 0 <= raised <= HIGHEST_RAISE):
        return told
    other = replace(before, short_raise=raised)
    return max((told, other), key=lambda setup: sum(_fits(note, setup) for note in notes))


def _fits(note: Heard, setup: Setup) -> bool:
    if note.string is None or note.fret is None or note.muted or note.harmonic:
        return False
    try:
        return setup.midi(note.string, note.fret, note.half) == note.pitch.midi
    except NoSuchFret:
        return False


def _same(one: Setup, other: Setup) -> bool:
    """Whether two setups sound the same on every string."""
    strings = range(1, one.instrument.strings + 1)
    return one.capo == other.capo and all(one.open_midi(n) == other.open_midi(n) for n in strings)


def _declared(details: etree._Element, known: Known, named: str, short_string: str) -> Setup:
    """The setup of a ``staff-details`` with its tuning."""
    lines = [
        (
            whole_attribute(t, "line", 1, 1, _MOST_LINES),
            Pitch(
                step(t, "tuning-step"),
                whole(t, "tuning-alter", 0, -2, 2),
                whole(t, "tuning-octave", 4, 0, 9),
            ),
        )
        for t in details.findall("staff-tuning")
    ]
    pitches = tuple(p for _, p in sorted(lines, key=lambda item: -item[0]))
    capo = whole(details, "capo", 0, 0, 24)
    name = named.strip().casefold()
    instruments = sorted(known.instruments(), key=lambda i: i.name.casefold() != name)
    for instrument in instruments:
        if instrument.strings == len(pitches) and (
            found := _known(instrument, pitches, capo, short_string)
        ):
            return found
    like = next((i for i in instruments if i.strings == len(pitches)), None)
    instrument = like or _with_strings(instruments, pitches, name)
    return Setup(
        instrument=instrument,
        tuning=Tuning(named_form(pitches, instrument), pitches),
        capo=capo,
        short_raise=capo if instrument.short_string else 0,
    )


def _with_strings(
    instruments: Sequence[Instrument], pitches: tuple[Pitch, ...], named: str
) -> Instrument:
    """An instrument with as many strings as are tuned, where none is known: as the one that the
    part is named after, or that has nearly as many, with strings of one length."""
    count = len(pitches)

    def unlike(instrument: Instrument) -> tuple[bool, int]:
        said = any(word.casefold() in named for word in (instrument.name, *instrument.words))
        return not said, abs(instrument.strings - count)

    near = min((i for i in instruments if not i.short_string), key=unlike)
    name = f"{near.name} with {count} strings"
    usual = Tuning("".join(pitch.letter for pitch in reversed(pitches)), pitches)
    return replace(near, name=name, strings=count, tunings=(usual,), words=())


def _known(
    instrument: Instrument, pitches: Sequence[Pitch], capo: int, short_string: str
) -> Setup | None:
    """A known tuning with these open strings; a short string may be raised more or less than the
    capo does, and then all but it must agree. Where ``short_string`` says by how much, the tuning
    in which it comes out comes before one that has it so without being raised."""
    midi = [p.midi for p in pitches]
    short = instrument.short_string
    words_say = False
    for tuning in instrument.tunings if short and short_string else ():
        plain = Setup(instrument=instrument, tuning=tuning, capo=capo, short_raise=capo)
        said = short_string_said(plain, short_string)
        own = [p.midi for p in tuning.pitches]
        words_say = words_say or said is not None
        if short and said:
            own[short.string - 1] += said.short_raise - capo
        if said and own == midi:
            return replace(plain, short_raise=said.short_raise)
    for exact in (True, False):
        for tuning in instrument.tunings:
            own = [p.midi for p in tuning.pitches]
            if own == midi:
                return Setup(
                    instrument=instrument,
                    tuning=tuning,
                    capo=capo,
                    short_raise=capo if short else 0,
                )
            if not exact and short and not words_say:
                last = short.string - 1
                raised = capo + midi[last] - own[last]
                if own[:last] == midi[:last] and 0 <= raised <= HIGHEST_RAISE:
                    return Setup(
                        instrument=instrument, tuning=tuning, capo=capo, short_raise=raised
                    )
    return None
