"""What a banjo cannot play or a tab cannot write: it is told note by note, and the rest is written.

Ranges follow from the table of tunings (open G: D3 at the lowest) and 22 frets. MusicXML 4.0 has
``unpitched`` for percussion, and does not bound ``fifths``. Twelve fifths are seven octaves,
so that eleven flats sound as one sharp (common practice).
"""

from __future__ import annotations

import pytest

import rollstave

G4 = "<note><pitch><step>G</step><octave>4</octave></pitch><duration>1</duration></note>"
C8, E2 = (G4.replace("G<", f"{a}<").replace(">4<", f">{b}<") for a, b in ("C8", "E2"))
DRUM = (
    "<note><unpitched><display-step>E</display-step><display-octave>4</display-octave>"
    "</unpitched><duration>1</duration></note>"
)


def score(*measures: str, fifths: int = 0, part: str = "Part") -> bytes:
    attributes = (
        f"<attributes><divisions>1</divisions><key><fifths>{fifths}</fifths></key>"
        "<time><beats>4</beats><beat-type>4</beat-type></time></attributes>"
    )
    inside = "".join(
        f'<measure number="{n}">{attributes if n == 1 else ""}{notes}</measure>'
        for n, notes in enumerate(measures, start=1)
    )
    return (
        '<score-partwise version="4.0"><part-list><score-part id="P1">'
        f"<part-name>{part}</part-name></score-part></part-list>"
        f'<part id="P1">{inside}</part></score-partwise>'
    ).encode()


def struck(tune: rollstave.Tune) -> list[list[str]]:
    return [[str(n.pitch) for e in m.events for n in e.notes] for m in tune.score.measures]


def said(tune: rollstave.Tune, code: str) -> list[str]:
    return [p.message for p in tune.problems if p.code == code]


def test_a_note_beyond_the_neck_costs_that_note() -> None:
    (tune,) = rollstave.read(score(G4 * 4, G4 + C8 + G4 * 2))
    assert struck(tune) == [["G4"] * 4, ["G4"] * 3]
    assert said(tune, "range") == ["measure 2: C8 cannot be played in gDGBD and is left out"]
    assert [bool(e.notes) for e in tune.score.measures[1].events] == [True, False, True, True]


def test_the_octave_that_fits_is_told_and_taken() -> None:
    data = score(G4 + E2 * 3)
    (tune,) = rollstave.read(data)
    assert (
        said(tune, "range")[1]
        == ("an octave higher all notes are on the neck (here 1): --octave 1 reads the score so")
        or "--octave" in said(tune, "range")[1]
    )
    octave = int(said(tune, "range")[1].partition("--octave ")[2].split()[0])
    (moved,) = rollstave.read(data, octave=octave)
    assert len(struck(moved)[0]) == 4
    assert not said(moved, "range")


def test_nothing_to_play_is_refused() -> None:
    with pytest.raises(rollstave.TabError) as caught:
        rollstave.read(score(C8 * 4))
    assert {p.code for p in caught.value.problems} == {"range"}


def test_percussion_is_told() -> None:
    (tune,) = rollstave.read(score(G4 * 4, G4 * 2 + DRUM * 2, DRUM * 4))
    assert said(tune, "left-out") == [
        "measures 2, 3: 6 notes without a pitch (percussion) are left out"
    ]


@pytest.mark.parametrize(("fifths", "key"), [(-11, "G major"), (9, "Eb major"), (7, "C# major")])
def test_signatures_of_many_signs(fifths: int, key: str) -> None:
    (tune,) = rollstave.read(score(G4 * 4, fifths=fifths))
    assert str(tune.score.key) == key
    assert len(said(tune, "key")) == (abs(fifths) > 7)


@pytest.mark.parametrize(
    ("name", "instrument"),
    [
        ("Guitar with six strings", "guitar"),
        ("Bass guitar", "bass"),
        ("Tenor Banjo", "tenor banjo"),
        ("Banjo", "five-string banjo"),
        ("Mandolin in G", "mandolin"),
    ],
)
def test_the_name_of_the_part_tells_the_instrument(name: str, instrument: str) -> None:
    (tune,) = rollstave.read(score(G4, part=name))
    assert tune.score.setup.instrument.name == instrument


def test_a_tie_that_joins_nothing_is_told() -> None:
    """MusicXML 4.0, ``tie``: it connects two notes of the same pitch."""
    loose = G4.replace("</duration>", '</duration><tie type="start"/>')
    (tune,) = rollstave.read(score(G4 * 3 + loose, E2.replace(">2<", ">4<") * 4))
    assert said(tune, "tied") == ["measure 1: a tie joins no two notes of one pitch; left out"]
    joined = G4.replace("</duration>", '</duration><tie type="stop"/>')
    (tune,) = rollstave.read(score(G4 * 3 + loose, joined + G4 * 3))
    assert not said(tune, "tied")


ALTERED = """<score-partwise version="4.0"><part-list><score-part id="P1">
<part-name>Banjo</part-name>
</score-part></part-list><part id="P1"><measure number="1">
<attributes><divisions>1</divisions>
</attributes><note><pitch><step>A</step><alter>{}</alter><octave>3</octave></pitch>
<duration>4</duration></note></measure></part></score-partwise>"""


@pytest.mark.parametrize(
    ("alter", "midi", "between"),
    [("0.5", 57, True), ("1.5", 58, True), ("1.0", 58, False), ("-3", 54, False), ("3", 60, False)],
)
def test_a_quarter_tone_is_said_and_three_flats_are_read(
    alter: str, midi: int, between: bool
) -> None:
    """A3 is MIDI 57; alter is in semitones, and a fraction a microtone (MusicXML 4.0, alter)."""
    (tune,) = rollstave.read(ALTERED.format(alter).encode())
    assert tune.score.measures[0].events[0].notes[0].pitch.midi == midi
    told = [p.message for p in tune.problems if "quarter tone" in p.message]
    assert [words.startswith("measure 1: ") for words in told] == [True] * between


FRAMED = (
    "<harmony><root><root-step>C</root-step></root><kind>major</kind><frame>"
    "<frame-strings>5</frame-strings><frame-frets>4</frame-frets>"
    "<frame-note><string>1</string><fret>2</fret></frame-note></frame></harmony>"
)


def test_a_shape_that_another_program_drew_is_said_to_be_found_again() -> None:
    """``frame`` of MusicXML 4.0. Our own shapes are found from the music, and come back so."""
    (tune,) = rollstave.read(score(FRAMED + G4 * 4, FRAMED + G4 * 4))
    assert said(tune, "left-out") == [
        "a score does not hold these, left out: frame (the shapes of a sheet are those that the "
        "tune holds) (2, measures 1, 2)"
    ]
    rows = ("--2-----2-----2-", "1-----1-----1---", "0---0-----0---0-", "----------------")
    own = "\n".join(["Time: 4/4", "C", *(f"|{row}|" for row in (*rows, "-" * 16))])
    (typed,) = rollstave.read(own)
    (data,) = rollstave.write(typed, "musicxml")
    assert b"<frame>" in data
    (back,) = rollstave.read(data)
    assert not said(back, "left-out")


@pytest.mark.parametrize(
    ("inside", "put_in"),
    [
        (G4 + "<forward><duration>1</duration></forward>" + G4 * 2, True),
        (G4 + "<note><rest/><duration>1</duration></note>" + G4 * 2, False),
        ("<forward><duration>1</duration></forward>" + G4 * 3, True),
        (G4 * 4, False),
    ],
)
def test_time_in_which_nothing_stands_is_said(inside: str, put_in: bool) -> None:
    """``forward`` of MusicXML 4.0 moves on in time without a note or a rest."""
    (tune,) = rollstave.read(score(G4 * 4, inside))
    rests = [bool(e.notes) for e in tune.score.measures[1].events].count(False)
    words = "measure 2: there is time in which nothing stands, neither a note nor a rest; "
    assert said(tune, "rests") == ([f"{words}a rest is put in"] if put_in else [])
    assert rests == (len(inside) != len(G4 * 4))


def test_a_tie_that_another_note_stands_in_joins_nothing() -> None:
    """MusicXML 4.0, ``tie``: it connects two notes of the same pitch. The note that it was to lead
    to is struck, and the one between is as long as it says."""
    begins = G4.replace("</duration>", '</duration><tie type="start"/>')
    ends = G4.replace("</duration>", '</duration><tie type="stop"/>')
    (tune,) = rollstave.read(score(begins + G4.replace("G<", "A<") + ends + G4))
    assert said(tune, "tied") == ["measure 1: a tie joins no two notes of one pitch; left out"]
    assert [e.duration for e in tune.score.measures[0].events] == [1, 1, 1, 1]
    assert [n.pitch.step for e in tune.score.measures[0].events for n in e.notes] == list("GAGG")


def test_a_tie_over_time_in_which_nothing_stands_is_told() -> None:
    begins = G4.replace("</duration>", '</duration><tie type="start"/>')
    ends = G4.replace("</duration>", '</duration><tie type="stop"/>')
    gap = "<forward><duration>1</duration></forward>"
    (tune,) = rollstave.read(score(begins + gap + ends + G4))
    assert said(tune, "tied") == [
        "measure 1: a tie leads over time in which nothing stands; the note before it is held "
        "through"
    ]
    assert [e.duration for e in tune.score.measures[0].events] == [3, 1]


def test_a_tie_over_the_bar_leads_through_no_other_note() -> None:
    begins = G4.replace("</duration>", '</duration><tie type="start"/>')
    ends = G4.replace("</duration>", '</duration><tie type="stop"/>')
    other = G4.replace("G<", "A<")
    (tune,) = rollstave.read(score(other * 3 + begins, other + ends + other * 2))
    assert said(tune, "tied") == ["measures 1, 2: a tie joins no two notes of one pitch; left out"]
    assert [n.link for e in tune.score.measures[1].events for n in e.notes] == [None] * 4
