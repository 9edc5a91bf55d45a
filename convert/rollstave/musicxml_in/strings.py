"""Instrument and tuning of a file that declares none: told by its notes.

Every note of a tablature has string, fret and pitch. Pitch less fret is the open string (one fret
is one semitone: MusicXML 4.0, ``fret`` and ``string``), so what another program left out of the
staff can be found again.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence

from lxml import etree
from msgspec import Struct

from rollstave.instruments.instrument import Instrument, Tuning
from rollstave.instruments.known import Known
from rollstave.instruments.setup import NoSuchFret, Setup
from rollstave.instruments.table import FIVE_STRING_BANJO
from rollstave.instruments.tunings import named_form
from rollstave.musicxml_in.changes import ALTERS
from rollstave.musicxml_in.numbers import step, whole
from rollstave.pitch import Pitch, spell
from rollstave.score.finding import Finding, How

_HIGHEST_CAPO = 7
_AGREE = 0.95  # of the notes that have string and fret
_VOTES = 3  # notes of a string that make it another than the usual one
_UNPLAYED = {"x"}  # heads of notes that sound no pitch


class Placed(Struct, frozen=True):
    """A note of the tablature: its string, its fret, and its MIDI number."""

    string: int
    fret: int
    midi: int


class Told(Struct, frozen=True):
    """A setup and how it is known."""

    setup: Setup
    finding: Finding


def from_notes(part: etree._Element, wanted: Tuning | None, known: Known, named: str) -> Told:
    """The setup of a part that declares no tuning: the one that its frets and pitches agree on,
    else the usual one of the instrument that the part is named after."""
    placed = list(_placed(part))
    candidates = _instruments(part, known, named, placed)
    usual = candidates[0]
    if wanted is not None or not placed:
        tuning = wanted or usual.default
        reason = "the file declares no tuning, and has no string and fret to tell it by"
        return Told(Setup(usual, tuning), _finding(Setup(usual, tuning), How.ASSUMED, reason))
    best: tuple[float, Setup] | None = None
    for instrument in candidates:
        for setup in _setups(instrument):
            share = _agreeing(setup, placed)
            if best is None or share > best[0]:
                best = share, setup
            if share == 1.0:
                break
        if best is not None and best[0] >= _AGREE:
            break
    if best is None or best[0] < _AGREE:
        made = _made(usual, placed)
        share = _agreeing(made, placed)
        if best is None or share > best[0]:
            best = share, made
    share, setup = best
    counted = f"{round(share * len(placed))} of {len(placed)} notes with string and fret"
    reason = f"the file declares no tuning; {counted} sound so"
    return Told(setup, _finding(setup, How.INFERRED, reason))


def as_likely(part: etree._Element, one: Setup, other: Setup) -> bool:
    """True if the notes of a part agree with one setup as well as with another: a heading may say
    what was true before another program transposed the part."""
    placed = list(_placed(part))
    return not placed or _agreeing(one, placed) >= _agreeing(other, placed)


def as_before(part: etree._Element, told: Told, setup: Setup) -> Told:
    """What is told of a part, or, where the part declares nothing and its notes do not speak
    against it, the setup of the score that it was made from."""
    if told.finding.how is How.DECLARED:
        return told
    placed = list(_placed(part))
    if placed and _agreeing(setup, placed) < max(_AGREE, _agreeing(told.setup, placed)):
        return told
    return Told(setup, _finding(setup, How.INFERRED, "as in the tab that the score was made from"))


def _finding(setup: Setup, how: How, reason: str) -> Finding:
    capo = f", capo {setup.capo}" if setup.capo else ""
    return Finding(subject="tuning", value=setup.tuning.written + capo, how=how, reason=reason)


def _placed(part: etree._Element) -> Iterator[Placed]:
    """Notes that sound what their fret says: no harmonics, no muted notes, no graces of bends."""
    up = 0  # from what is written to what sounds (MusicXML 4.0, transpose)
    for note in part.iter("note", "transpose"):
        if note.tag == "transpose":
            up = whole(note, "chromatic", 0, -60, 60) + 12 * whole(note, "octave-change", 0, -5, 5)
            continue
        technical = note.find("notations/technical")
        pitch = note.find("pitch")
        if technical is None or pitch is None:
            continue
        string, fret = technical.findtext("string", ""), technical.findtext("fret", "")
        other = technical.find("harmonic") is not None or note.findtext("notehead") in _UNPLAYED
        half = any(e.text == "half fret" for e in technical.findall("other-technical"))
        several = len(technical.findall("string")) > 1  # those of a chord, on one of its notes
        if (
            other
            or half
            or several
            or not (string.strip().isdecimal() and fret.strip().isdecimal())
        ):
            continue
        name = step(pitch, "step") + ALTERS.get(whole(pitch, "alter", 0, -2, 2), "")
        midi = Pitch.parse(f"{name}{whole(pitch, 'octave', 4, 0, 9)}").midi
        yield Placed(string=int(string), fret=int(fret), midi=midi + up)


def _instruments(
    part: etree._Element, known: Known, named: str, placed: Sequence[Placed]
) -> list[Instrument]:
    """The instruments that may be meant, the likeliest first: with as many lines as the staff has,
    or with strings enough; of those, one that the part is named after."""
    lines = max((whole(d, "staff-lines", 0, 0, 100) for d in part.iter("staff-details")), default=0)
    highest = max((p.string for p in placed), default=0)
    words = named.casefold()
    # A staff of five lines may be that of the notes.
    strings = lines if lines and lines >= highest and (lines != 5 or highest == 5) else 0

    def unlikely(instrument: Instrument) -> tuple[bool, bool, bool, int]:
        said = [w for w in (instrument.name, *instrument.words) if w.casefold() in words]
        return (
            instrument.strings < highest,
            bool(strings) and instrument.strings != strings,
            not said,
            -max(map(len, said), default=0) if said else instrument.rank,
        )

    found = sorted(known.instruments(), key=unlikely)
    return [i for i in found if i.strings >= highest] or [FIVE_STRING_BANJO]


def _setups(instrument: Instrument) -> Iterator[Setup]:
    """Its tunings without a capo, then with one, the short string raised with it or not; last
    those that are usually made by a capo from another."""
    ways = [(capo, t) for capo in range(_HIGHEST_CAPO + 1) for t in instrument.tunings]
    for capo, tuning in sorted(ways, key=lambda way: way[1].base is not None):
        raised = (capo, 0) if instrument.short_string and capo else (0,)
        for short in raised:
            yield Setup(instrument=instrument, tuning=tuning, capo=capo, short_raise=short)


def _agreeing(setup: Setup, placed: Iterable[Placed]) -> float:
    """The share of the notes whose place sounds their pitch."""
    found = [_sounds(setup, p) == p.midi for p in placed]
    return sum(found) / len(found)


def _sounds(setup: Setup, placed: Placed) -> int | None:
    try:
        return setup.midi(placed.string, placed.fret)
    except NoSuchFret:
        return None


def _made(instrument: Instrument, placed: Sequence[Placed]) -> Setup:
    """A tuning of the open strings that most notes of each string agree on; a string without
    notes has the usual one."""
    votes: dict[int, Counter[int]] = {}
    for p in placed:
        votes.setdefault(p.string, Counter())[_open(instrument, p)] += 1
    clear = any(
        votes[n].most_common(1)[0][1] >= _VOTES and votes[n].most_common(1)[0][0] != usual.midi
        for n, usual in enumerate(instrument.default.pitches, start=1)
        if n in votes
    )
    pitches = tuple(
        _open_pitch(votes, string, usual, clear)
        for string, usual in enumerate(instrument.default.pitches, start=1)
    )
    return Setup(instrument, Tuning(named_form(pitches, instrument), pitches))


def _open_pitch(votes: Mapping[int, Counter[int]], string: int, usual: Pitch, clear: bool) -> Pitch:
    """``clear`` is True where other strings are plainly tuned otherwise."""
    if string not in votes:
        return usual
    midi = votes[string].most_common(1)[0][0]
    certain = votes[string][midi] >= _VOTES or (clear and len(votes[string]) == 1)
    if midi == usual.midi or not certain:
        return usual
    return spell(midi, 0)


def _open(instrument: Instrument, placed: Placed) -> int:
    """What the string sounds open. The short string's frets are those of the long neck."""
    short = instrument.short_string
    if short is None or placed.string != short.string or placed.fret == 0:
        return placed.midi - instrument.semitones(placed.fret)
    return placed.midi - placed.fret + short.peg_fret
