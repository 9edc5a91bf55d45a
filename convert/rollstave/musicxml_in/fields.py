"""What rollstave's plugin for music21 puts into fields of a file, since music21 keeps those alone:
tuning, capo, instrument, the words beside the music, and headings.

A field is a ``miscellaneous-field`` (MusicXML 4.0) whose name begins with ``rollstave-``.
"""

from __future__ import annotations

from lxml import etree

from rollstave.instruments.instrument import Tuning
from rollstave.instruments.known import Known
from rollstave.instruments.setup import Setup
from rollstave.instruments.tunings import named_form
from rollstave.musicxml_in.strings import Told, as_likely
from rollstave.pitch import Pitch
from rollstave.score.finding import Finding, How
from rollstave.vocabulary.headings import FIELD, InMusicXML

_NAME = "rollstave-"
_HIGHEST_CAPO = 24


def place_of(key: str) -> str:
    """The path of the field with a name, such as a heading's key."""
    return InMusicXML(FIELD, "name", f"{_NAME}{key}").found_at


def is_kept(name: str) -> bool:
    """True for the name of a field that is rollstave's own and no heading."""
    own = name.startswith(_NAME)
    return own and name.removeprefix(_NAME) in ("capo", "words", "tuning", "instrument")


def words_of(root: etree._Element) -> tuple[str, ...]:
    """The lines of words beside the music."""
    return tuple(element.text or "" for element in root.iterfind(place_of("words")))


def with_fields(root: etree._Element, part: etree._Element, told: Told, known: Known) -> Told:
    """What is told of a part that declares no tuning, or the tuning in the file's fields, where
    the notes agree with it as well."""
    if told.finding.how is How.DECLARED:
        return told
    setup = _kept(root, known)
    if setup is None or not as_likely(part, setup, told.setup):
        return told
    finding = Finding(
        subject="tuning",
        value=setup.tuning.written,
        how=How.DECLARED,
        reason="in a field of the MusicXML file",
    )
    return Told(setup, finding)


def _kept(root: etree._Element, known: Known) -> Setup | None:
    """The setup in the fields; None without one that makes sense."""
    name = root.findtext(place_of("instrument"), "")
    instrument = next((i for i in known.instruments() if i.name == name), None)
    written = root.findtext(place_of("tuning"), "").replace("-", "b").split()
    if instrument is None or len(written) != instrument.strings:
        return None
    try:
        pitches = tuple(Pitch.parse(one) for one in reversed(written))
    except ValueError:
        return None
    typed = root.findtext(place_of("capo"), "0")
    capo = min(int(typed[:2]), _HIGHEST_CAPO) if typed.isdecimal() else 0
    tuning = next((t for t in instrument.tunings if t.pitches == pitches), None)
    return Setup(
        instrument=instrument,
        tuning=tuning or Tuning(named_form(pitches, instrument), pitches),
        capo=capo,
        short_raise=capo if instrument.short_string else 0,
    )
