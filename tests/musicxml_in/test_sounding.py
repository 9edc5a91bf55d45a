"""Ties between notes of one pitch, against the plain rule walked note by note."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

import rollstave
from rollstave.musicxml_in.notes import Heard
from rollstave.musicxml_in.sounding import SoundingPitch
from rollstave.pitch import Pitch

NOTES = st.lists(
    st.tuples(st.integers(0, 6), st.integers(1, 4), st.booleans(), st.booleans()), max_size=12
)


def _heard(rows: list[tuple[int, int, bool, bool]]) -> list[Heard]:
    return [
        Heard(
            onset=Fraction(onset),
            duration=Fraction(length),
            pitch=Pitch("G", 0, 3),
            string=None,
            fret=None,
            tied=tied,
            ties=ties,
        )
        for onset, length, tied, ties in sorted(rows)
    ]


@given(NOTES)
def test_a_tie_leads_from_the_first_note_that_ends_here_or_else_is_open(
    rows: list[tuple[int, int, bool, bool]],
) -> None:
    struck: list[Heard] = []
    for note in _heard(rows):
        last = max((h.onset for h in _heard(rows) if h.onset < note.onset), default=-1)
        ending = [h for h in struck if h.onset + h.duration == note.onset]
        open_ones = [h for h in struck if h.ties and h.onset + h.duration > last]
        earlier = next(iter([*ending, *open_ones]), None)
        if note.tied and earlier is not None:
            earlier.duration = note.onset + note.duration - earlier.onset
            earlier.ties = note.ties
        else:
            struck.append(note)
    same = SoundingPitch()
    for note in _heard(rows):
        last = max((h.onset for h in _heard(rows) if h.onset < note.onset), default=Fraction(-1))
        if not (note.tied and same.prolonged(note, last)):
            same.strike(note)
    assert same.notes == struck


def test_a_harmonic_that_names_its_string_alone_gets_a_fret_that_sounds_it() -> None:
    """MusicXML 4.0 has ``string`` and ``fret`` apart; with one alone, the pitch that is written is
    searched: what a harmonic sounds there is not known without the fret."""
    text = "Tuning: gDGBD\nTime: 4/4\n\n" + "\n".join(
        f"{label}|{'<12>--------2---' if label == 'G' else '-' * 16}|" for label in "DBGDg"
    )
    (tune,) = rollstave.read(text)
    xml = rollstave.write(tune, "musicxml")[0].decode()
    assert "<fret>12</fret>" in xml
    (found,) = rollstave.read(xml.replace("<fret>12</fret>", ""))
    (again,) = rollstave.read(rollstave.write(found, "musicxml")[0])
    for one in (found, again):
        harmonic, _ = [n for e in one.score.measures[0].events for n in e.notes]
        assert (harmonic.fret, harmonic.harmonic, harmonic.pitch.midi) == (12, True, 67)
