"""What teachers type over a tab: one line with a title and more, in many habits.

All of it is common practice of typists, no source; the names are invented.
"""

from __future__ import annotations

import pytest

import rollstave

TAB = "\n\n |-0-2-0-2-|\n |---------|\n |---------|\n |---------|\n |---------|\n"
N, T, C, G = "Nettle Hill", "gDGBD", "gCGCD", "gDGCD"

# The head; then title, composer, source, tuning, capo, and the key if it is said.
HEADS: tuple[tuple[str, tuple[str, str, str, str, int], str], ...] = (
    ("Nettle Hill", (N, "", "", T, 0), ""),
    ("Nettle Hill (trad.)", (N, "trad.", "", T, 0), ""),
    ('"Nettle Hill" (trad.)', (N, "trad.", "", T, 0), ""),
    ("Nettle Hill - gDGCD", (N, "", "", G, 0), ""),
    ("Nettle Hill (gDGCD)", (N, "", "", G, 0), ""),
    ("Nettle Hill (G tuning)", (N, "", "", T, 0), ""),
    ("Nettle Hill - key of D", (N, "", "", T, 0), "D major"),
    ("Nettle Hill -- Larkspur Ferry school", (N, "", "Larkspur Ferry school", T, 0), ""),
    (
        "Nettle Hill -- Larkspur Ferry school, book 2, page 14",
        (N, "", "Larkspur Ferry school, book 2, page 14", T, 0),
        "",
    ),
    (
        "Nettle Hill -- Larkspur Ferry school, key of G",
        (N, "", "Larkspur Ferry school", T, 0),
        "G major",
    ),
    ("Nettle Hill by Mara Quay", (N, "Mara Quay", "", T, 0), ""),
    ("Nettle Hill\n===========", (N, "", "", T, 0), ""),
    ("***** Nettle Hill *****", (N, "", "", T, 0), ""),
    ("Tune: Nettle Hill", (N, "", "", T, 0), ""),
    ("Name of tune: Nettle Hill\nby Mara Quay", (N, "Mara Quay", "", T, 0), ""),
    ("Nettle Hill\nTuning: gCGCD", (N, "", "", C, 0), ""),
    ("Nettle Hill\nTuning - double C", (N, "", "", C, 0), ""),
    ("Nettle Hill\nG tuning (gDGBD)", (N, "", "", T, 0), ""),
    ("Nettle Hill\ntuned to open G", (N, "", "", T, 0), ""),
    ("Nettle Hill\nSawmill", (N, "", "", G, 0), ""),
    ("Nettle Hill\ncapo 2", (N, "", "", T, 2), ""),
    ("Nettle Hill\nCapo on 2nd fret", (N, "", "", T, 2), ""),
    ("Nettle Hill\nCapo II", (N, "", "", T, 2), ""),
    ("Nettle Hill\ncapo at the second fret", (N, "", "", T, 2), ""),
    ("Nettle Hill\nkey of A, capo 2", (N, "", "", T, 2), "A major"),
    ("Nettle Hill, key of D, double C tuning, capo 2", (N, "", "", C, 2), "D major"),
    ("Nettle Hill\nKey: A (capo 2)", (N, "", "", T, 2), "A major"),
    ("Tune: Nettle Hill      Banjo: gDGCD      Capo: 2", (N, "", "", G, 2), ""),
    ("Nettle Hill.    Five-string banjo gCGCD.    4/4", (N, "", "", C, 0), ""),
    ("Nettle Hill\nStrings: gDGCD", (N, "", "", G, 0), ""),
    ("Name....Nettle Hill\nTuning....gCGCD\nCapo......2", (N, "", "", C, 2), ""),
    (
        "NAME OF TUNE ..... Nettle Hill\nMADE UP BY ....... Mara Quay\nSTRINGS .......... gDGCD\n"
        "HUNG ON .......... a nail",
        (N, "Mara Quay", "", G, 0),
        "",
    ),
    ("Nettle Hill, 3/4, D, double C", (N, "", "", C, 0), "D major"),
    ("Nettle Hill\nBanjo gCGCD, 4/4, Dm", (N, "", "", C, 0), "D minor"),
    ("Nettle Hill\nBanjo    gDGCD    A    4/4", (N, "", "", G, 0), "A major"),
    ("Nettle Hill.  Tuning gDGCD.  D.  2/4.", (N, "", "", G, 0), "D major"),
    ("NETTLE HILL\nKEY: BB", ("NETTLE HILL", "", "", T, 0), "Bb major"),
)


@pytest.mark.parametrize(("head", "meant", "key"), HEADS, ids=[h for h, _, _ in HEADS])
def test_heads(head: str, meant: tuple[str, str, str, str, int], key: str) -> None:
    (tune,) = rollstave.read(head + TAB)
    score = tune.score
    tuning = score.setup.tuning.written
    found = (score.title, score.composer, score.source, tuning, score.setup.capo)
    assert found == meant
    assert not key or str(score.key) == key


FIFTHS = (
    ("5th string to A", 69),
    ("fifth string up two frets", 69),
    ("5th string up 2", 69),
    ("spike the 5th at 7", 69),
    ("5th capo 7", 69),
    ("fifth string capo at 9", 71),
    ("Sawmill, 5th string capoed at 7", 69),
    ("key of A, capo 2, spike 5th at 7", 69),
    ("capo 2, 5th string not raised", 67),
)


@pytest.mark.parametrize(("head", "midi"), FIFTHS, ids=[h for h, _ in FIFTHS])
def test_fifth_strings(head: str, midi: int) -> None:
    """67 is G4, 69 A4, 71 B4 (General MIDI); a spike at 7 is two semitones over the peg at 5."""
    (tune,) = rollstave.read(f"Nettle Hill\n{head}{TAB}")
    assert tune.score.setup.open_midi(5) == midi


def test_what_a_line_was_taken_for_is_said() -> None:
    (tune,) = rollstave.read("Nettle Hill -- Larkspur Ferry school, key of G" + TAB)
    (said,) = [p for p in tune.problems if p.code == "title-line"]
    assert "Nettle Hill" in said.message
    assert "Larkspur Ferry school" in said.message
    assert said.place is not None
    assert (said.place.line, said.place.column) == (1, 1)


def test_markup_amidst_a_title_is_named() -> None:
    rows = "\n".join(f"{label}|-0---7---|" for label in "DBGDg")
    (tune,) = rollstave.read(f"Title: Hill <script>x</script> y <tune>\n\n{rows}\n")
    assert tune.score.title == "Hill x y <tune>"
    (said,) = [p for p in tune.problems if p.code == "markup"]
    assert (said.place.line, said.place.column) == (1, 13) if said.place else False
    assert "<script>" in said.message
    # Around the words it is how a page is written.
    (tune,) = rollstave.read(f"<b>Title: Hill</b>\n<pre>\n{rows}\n</pre>\n")
    assert tune.score.title == "Hill"
    assert "markup" not in {p.code for p in tune.problems}


@pytest.mark.parametrize(
    ("line", "title"),
    [
        ("W I D O W ' S   L A N T E R N", "WIDOW'S LANTERN"),
        ("Nettle Hill      arr. for the Larkspur Ferry school", "Nettle Hill"),
        ("NETTLE HILL - up the neck - G tuning (gDGBD)", "NETTLE HILL"),
        ('LEARNING "NETTLE HILL" BY EAR', "NETTLE HILL"),
        ("Re: Re: has anyone got a tab for Nettle Hill in the Rain?", "Nettle Hill in the Rain"),
        ("Larkspur Ferry Music School     Date: ____\n\n     NETTLE HILL", "NETTLE HILL"),
        ("Song sheet 14\nNETTLE HILL", "NETTLE HILL"),
        ("# title:   Nettle Hill", "Nettle Hill"),
    ],
)
def test_a_title_among_other_words(line: str, title: str) -> None:
    (tune,) = rollstave.read(line + TAB)
    assert tune.score.title == title
