"""Every note value: its length, its names in the formats, and what typists call it."""

from __future__ import annotations

from fractions import Fraction

from msgspec import Struct


class NoteValue(Struct, frozen=True, kw_only=True):
    """A row: a note value without dots, from the longest to the shortest.

    ``name`` is its name in MusicXML 4.0 (note-type-value), and what is typed for it in a tempo;
    ``mei`` its name in MEI (data.DURATION.cmn), ``length`` is in quarter notes, ``letter`` stands
    for it on a line of note values. ``words`` is a pattern of what people write for it in a tempo,
    empty where nobody counts a tempo in it.
    """

    name: str
    length: Fraction
    mei: str
    letter: str = ""
    words: str = ""


NOTE_VALUES: tuple[NoteValue, ...] = (
    NoteValue(
        name="whole", length=Fraction(4), mei="1", letter="w", words=r"whole(?:\s+note)?|1/1|w"
    ),
    NoteValue(
        name="half",
        length=Fraction(2),
        mei="2",
        letter="h",
        words=r"half(?:\s+note)?|1/2|h|𝅗𝅥",
    ),
    NoteValue(
        name="quarter",
        length=Fraction(1),
        mei="4",
        letter="q",
        words=r"quarter(?:\s+note)?|crotchet|1/4|q|♩|𝅘𝅥",
    ),
    NoteValue(
        name="eighth",
        length=Fraction(1, 2),
        mei="8",
        letter="e",
        words=r"eighth(?:\s+note)?|quaver|1/8|e|♪|𝅘𝅥𝅮",
    ),
    NoteValue(name="16th", length=Fraction(1, 4), mei="16", letter="s"),
    NoteValue(name="32nd", length=Fraction(1, 8), mei="32", letter="t"),
    NoteValue(name="64th", length=Fraction(1, 16), mei="64"),
)
# Those that a tempo is counted in, and a pattern of any of them; a dotted one lasts half as long
# again.
COUNTED: tuple[NoteValue, ...] = tuple(value for value in NOTE_VALUES if value.words)
COUNTED_WORDS = "|".join(value.words for value in COUNTED)
DOTTED = Fraction(3, 2)
