"""Segno, coda and the jumps to them where chord names stand: in text, in our own MusicXML and as
other programs write them.

Where they may stand in MusicXML is from MusicXML 4.0 (W3C): ``segno`` and ``coda`` in a direction
or a barline, ``sound`` in a direction or alone in a measure, ``words`` one or several. What they
mean is common practice, no source.
"""

from __future__ import annotations

import pytest

import rollstave
from rollstave.deciding.playback import play_order
from rollstave.score.records import Score

ROW = "D|-0---0---0---0---|-0---2---0---0---|-0---3---0---0---|-5---0---0---0---|"
EMPTY = ["".join("-" if c in "0235" else c for c in ROW).replace("D", d, 1) for d in "BGDg"]
SYSTEM = "\n".join([ROW, *EMPTY])
PLAYED = (0, 1, 2, 3, 1, 2, 4, 5, 6, 7)


def said(score: Score) -> list[tuple[object, ...]]:
    return [
        (tuple(c.text for c in m.chords), m.segno, m.to_coda, m.coda, m.jump, m.fine)
        for m in score.measures
    ]


@pytest.mark.parametrize(
    "over",
    [
        "   G                 Segno C           D7      To Coda   G",
        "   G                 (Segno) C         D7      (To Coda) G",
        "   G                 [Segno] C         D7      [To Coda] G",
        "   G                 𝄋 C               D7      To Coda   G",
    ],
)
def test_among_chord_names_in_text_and_back_from_every_file(over: str) -> None:
    text = f"Title: Tide\nTime: 4/4\n\n{over}\n{SYSTEM}\n\nD.S. al Coda\n\nCoda\n{SYSTEM}\n"
    (tune,) = rollstave.read(text)
    assert [chord.text for m in tune.score.measures for chord in m.chords] == ["G", "C", "D7", "G"]
    assert tune.score.notes == ()
    assert tune.score.measures[1].segno
    assert play_order(tune.score.measures) == PLAYED
    for name in ("text", "musicxml"):
        (again,) = rollstave.read(rollstave.write(tune, name)[0])
        assert said(again.score) == said(tune.score)
        assert again.score.notes == ()


NOTE = "<note><pitch><step>G</step><octave>3</octave></pitch><duration>4</duration></note>"
CHORD = "<harmony><root><root-step>G</root-step></root><kind>major</kind></harmony>"


def direction(*types: str, sound: str = "") -> str:
    inside = "".join(f"<direction-type>{one}</direction-type>" for one in types)
    return f"<direction>{inside}{sound}</direction>"


def order(segno: str, leave: str, jump: str, coda: str) -> tuple[int, ...]:
    first = (
        "<attributes><divisions>1</divisions><time><beats>4</beats><beat-type>4</beat-type></time>"
        "</attributes>"
    )
    contents = [
        first + CHORD + NOTE,
        CHORD + segno + NOTE,
        CHORD + NOTE + leave,
        CHORD + NOTE + jump,
        coda + CHORD + NOTE,
    ]
    measures = "".join(f"<measure number='{n}'>{c}</measure>" for n, c in enumerate(contents, 1))
    (tune,) = rollstave.read(
        "<score-partwise version='4.0'><part-list><score-part id='P1'><part-name>Banjo</part-name>"
        f"</score-part></part-list><part id='P1'>{measures}</part></score-partwise>"
    )
    assert [c.text for m in tune.score.measures for c in m.chords] == ["G"] * 5
    return play_order(tune.score.measures)


@pytest.mark.parametrize(
    ("segno", "leave", "jump", "coda"),
    [
        (  # words alone
            direction("<words>Segno</words>"),
            direction("<words>To Coda</words>"),
            direction("<words>D.S. al Coda</words>"),
            direction("<words>Coda</words>"),
        ),
        (  # signs, and what they sound like
            direction("<segno/>", sound="<sound segno='a'/>"),
            direction("<words>To</words>", "<coda/>", sound="<sound tocoda='b'/>"),
            direction("<words>D.S. al Coda</words>", sound="<sound dalsegno='a'/>"),
            direction("<coda/>", sound="<sound coda='b'/>"),
        ),
        (  # one saying in several words
            direction("<segno/>"),
            direction("<words>To</words><words>Coda</words>"),
            direction("<words>D.S.</words>", "<words>al Coda</words>"),
            direction("<coda/>"),
        ),
        (  # sounds alone in a measure: what is left for is said, so the coda is where to go on
            "<sound segno='a'/>",
            "<sound tocoda='b'/>",
            "<sound dalsegno='a'/>",
            "<sound coda='b'/>",
        ),
        (  # in the barlines
            "<barline location='left' segno='a'><segno/></barline>",
            direction("<words>To Coda</words>"),
            direction("<words>D.S. al Coda</words>"),
            "<barline location='left' coda='b'><coda/></barline>",
        ),
    ],
)
def test_as_other_programs_write_them(segno: str, leave: str, jump: str, coda: str) -> None:
    assert order(segno, leave, jump, coda) == (0, 1, 2, 3, 1, 2, 4)
