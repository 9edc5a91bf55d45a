"""Lines as people type them around the rows: titles that say more, mails, pages, chord names with
bars, endings drawn as a row, rows without bars. All are common practice, no source; the tunes are
invented."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

import rollstave
from rollstave.deciding.dances import dance_of
from rollstave.grid.typed import Bar

ROWS = """\
D|-0-2-0---|-0-------|
B|-------0-|---0-----|
G|---------|-----2-0-|
D|---------|---------|
g|-0---0---|-0-------|
"""


def _tune(text: str) -> rollstave.Tune:
    (tune,) = rollstave.read(text)
    return tune


@pytest.mark.parametrize(
    ("line", "title", "tuning", "meter"),
    [
        ("Willow Gate gDGCD", "Willow Gate", "gDGCD", None),
        ("Ropewalk Waltz 3/4  -- key G", "Ropewalk Waltz", "gDGBD", "3/4"),
        ("Millpond Reel        (banjo, gDGBD)      for the class", "Millpond Reel", "gDGBD", None),
        ("Bees in the Belfry / gCGCD / 2/4", "Bees in the Belfry", "gCGCD", "2/4"),
        ("Nettle Bridge | gDGCD | 4/4 | key of G", "Nettle Bridge", "gDGCD", "4/4"),
        ("Weir House (old: gDGDE?) tuning gDGCD", "Weir House", "gDGCD", None),
        ("* * *  THE HERON'S JIG  * * *", "THE HERON'S JIG", "gDGBD", None),
        (
            '"Shingle Bank Two-Step" -- arr. by the Thursday group -- G tuning -- cut time',
            "Shingle Bank Two-Step",
            "gDGBD",
            "2/2",
        ),
        ("Half Past Six", "Half Past Six", "gDGBD", None),
        ("Bread / Butter", "Bread / Butter", "gDGBD", None),
    ],
)
def test_a_title_that_says_more(line: str, title: str, tuning: str, meter: str | None) -> None:
    rows = "\n".join("|" + row.partition("|")[2] for row in ROWS.splitlines())
    tune = _tune(f"{line}\n\n{rows}\n")
    assert tune.score.title == title
    assert tune.score.setup.tuning.written == tuning
    if meter is not None:
        assert str(tune.score.meter) == meter


def test_headings_with_a_dash_in_place_of_the_colon() -> None:
    tune = _tune(f"TITLE - LOCK KEEPER\nTUNING - gDGBD\nTIME - 2/4\nTEMPO - 96\n\n{ROWS}")
    assert (tune.score.title, str(tune.score.meter)) == ("LOCK KEEPER", "2/4")
    assert tune.score.tempo == 96


def test_the_subject_of_a_mail_without_other_fields() -> None:
    body = "\n".join(f"> {row}" for row in ROWS.splitlines())
    tune = _tune(f'Subject: Re: tab for "Willow Gate"\n> here it is\n>\n{body}\n')
    assert tune.score.title == "Willow Gate"


def test_two_parts_of_a_page_on_one_line_are_two_lines() -> None:
    tune = _tune(
        "<title>Otter's Run - Larkspur Ferry</title>\n<h1>Otter's Run</h1><p>Tuning: gDGCD</p>\n"
        f"<pre>\n{ROWS.replace('B|', 'C|')}</pre>\n"
    )
    assert tune.score.title == "Otter's Run"
    assert tune.score.setup.tuning.written == "gDGCD"


def test_headings_behind_other_words() -> None:
    tune = _tune(f"Otter's Run\n\nfor the spring recital    Tuning: gDGCD\n\n{ROWS}")
    assert tune.score.setup.tuning.written == "gDGCD"
    assert "for the spring recital" in tune.score.notes


def test_chord_names_between_bars_with_repeat_dots() -> None:
    tune = _tune(f"Weir House\n\n |: (G)     | (D7)   :|\n{ROWS}")
    assert tune.score.title == "Weir House"
    assert [[c.text for c in m.chords] for m in tune.score.measures] == [["G"], ["D7"]]


def test_letters_with_a_remark_behind_them() -> None:
    tune = _tune(f"{ROWS}   T I T M    T I M T   (the same roll throughout)\n")
    letters = [
        n.finger.value if n.finger and not n.inferred_finger else ""
        for e in tune.score.measures[0].events
        for n in e.notes
    ]
    assert any(letters)
    assert list(tune.score.notes) == ["(the same roll throughout)"]
    assert not any(e.lyric for m in tune.score.measures for e in m.events)


def test_endings_drawn_as_a_row() -> None:
    rows = ["D|-0-2-|-0---|-2---|", "B|-----|-----|-----|", "G|-----|-----|-----|"]
    rows += ["D|-----|-----|-----|", "g|-----|-----|-----|"]
    for labelled in (True, False):
        typed = rows if labelled else [row[1:] for row in rows]
        over = (" " * labelled) + "      |-1---|-2---|"
        tune = _tune("\n".join([over, *typed]))
        assert [m.ending for m in tune.score.measures] == [None, "1", "2"]


@pytest.mark.parametrize(
    ("ends", "bars"),
    [
        (("|", "|:"), [Bar.SINGLE, Bar.REPEAT_END]),
        (("|:", "|:"), [Bar.REPEAT_END, Bar.REPEAT_END]),
        (("|:", ":|"), [Bar.SINGLE, Bar.REPEAT_END]),
        (("|:", "|"), [Bar.SINGLE, Bar.SINGLE]),
    ],
)
def test_a_repeat_sign_that_opens_at_the_end_of_a_line(
    ends: tuple[str, str], bars: list[Bar]
) -> None:
    """It is for the next line; with nothing after it, it was meant to close."""
    systems = [
        [f"{n}|-{'0-2-0-2' if n != 'g' else '0-----0'}-{end}" for n in "DBGDg"] for end in ends
    ]
    tune = _tune("\n\n".join("\n".join(rows) for rows in systems))
    assert [m.right for m in tune.grid.measures] == bars
    starts = [m.left is Bar.REPEAT_START for m in tune.grid.measures]
    assert starts == [False, ends[0] == "|:" and bars[0] is Bar.SINGLE]
    turned = [p for p in tune.problems if p.code == "repeat-sign"]
    assert len(turned) == (ends[1] == "|:")


def test_measures_between_gaps_begin_right_behind_them() -> None:
    """The first stands behind its labels, with another room than that of the gaps."""
    rows = ["....3.   ....2.   ......", "..0...   ..1...   ..0.0.", "0.....   ......   ......"]
    rows += ["......   2.....   ......", "......   ......   0....."]
    text = "Button Gate\nTime: 3/4\n\n" + "\n".join(
        f"{label}  {row}" for label, row in zip("DBGDg", rows, strict=True)
    )
    tune = _tune(text)
    assert [m.length for m in tune.score.measures] == [3, 3, 3]
    assert [[e.onset for e in m.events] for m in tune.score.measures] == [[0, 1, 2]] * 3


def test_runs_of_figures_that_are_no_fret_are_notes_side_by_side() -> None:
    """No neck has a fret 2452, and no fret is written 024 (common practice, no source)."""
    tune = _tune(
        "Time: 2/2\nInstrument: mandolin\n\n"
        "E|20-0----|--------|\nA|--5-0---|-025420-|\nD|-----424|5------5|\nG|--------|--------|\n"
    )
    frets = [[n.fret for e in m.events for n in e.notes] for m in tune.score.measures]
    assert frets == [[2, 0, 5, 0, 0, 4, 2, 4], [5, 0, 2, 5, 4, 2, 0, 5]]


def test_a_part_is_called_low_or_high_alone() -> None:
    row = "\n".join(f"{n}|-0---{'0' if n == 'g' else '2'}---|" for n in "DBGDg")
    tune = _tune(f"Tin Gate\n\nlow\n{row}\n\nhigh\n{row}\n")
    assert [m.section for m in tune.score.measures] == ["low", "high"]


def test_gaps_in_all_rows_are_bars_where_there_are_none() -> None:
    rows = [
        "--0---2-- --0------ ----2----",
        "------0-- ----1---- --1------",
        "--0------ ------0-- ------2--",
        "--------- --------- ---------",
        "----0---- --0------ ----0----",
    ]
    tune = _tune("Gap Lane\n\n" + "\n".join(rows))
    assert len(tune.score.measures) == 3
    assert [p.code for p in tune.problems].count("gaps-as-bars") == 1
    # A gap that not every row has, or groups as short as a beat, are no measures.
    odd = [rows[0].replace(" ", "-"), *rows[1:]]
    assert len(_tune("Gap Lane\n\n" + "\n".join(odd)).score.measures) == 1
    short = ["-0--- -0--- -2--- -0---"] * 2 + ["----- ----- ----- -----"] * 3
    assert len(_tune("Gap Lane\n\n" + "\n".join(short)).score.measures) == 1


MEASURE = {"D": "0---2---0---2---", "B": "----------------", "g": "--0---0---0---0-"}


def _systems(over: list[str], measures: int) -> str:
    """Systems of so many measures of 16 columns, each with a line over it that is made from a
    word at the start of every measure."""
    found = []
    for line in over:
        words = line.split()
        head = "  " + "".join(f"{word:17}" for word in words)
        rows = [f"{n}|" + (MEASURE.get(n, MEASURE["B"]) + "|") * measures for n in "DBGDg"]
        found.append("\n".join([head.rstrip(), *rows]))
    return "Mill Race\n\n" + "\n\n".join(found) + "\n"


@pytest.mark.parametrize(
    ("over", "measures"),
    [
        (["1 2", "3 4"], 2),
        (["|1 |2 |3", "|4 |5 |6"], 3),
        (["1 2 3", "1 2 3"], 3),
        (["1", "3"], 2),
        (["17 18", "19 20"], 2),
    ],
)
def test_numbers_of_measures_are_no_counts_and_no_endings(over: list[str], measures: int) -> None:
    plain = _tune(_systems(["" for _ in over], measures))
    tune = _tune(_systems(over, measures))
    assert [m.events for m in _without_places(tune)] == [m.events for m in _without_places(plain)]
    assert [m.ending for m in tune.score.measures] == [None] * len(tune.score.measures)
    assert [p.code for p in tune.problems].count("measure-numbers") == 1


def _without_places(tune: rollstave.Tune) -> tuple[rollstave.Measure, ...]:
    """The measures with every note at the same place of the file."""
    place = rollstave.Place(1, 1)
    return tuple(
        replace(
            m,
            events=tuple(
                replace(e, notes=tuple(replace(n, place=place) for n in e.notes)) for e in m.events
            ),
        )
        for m in tune.score.measures
    )


def test_counts_and_endings_are_still_counts_and_endings() -> None:
    """One number a measure that does not go on, numbers with what is between them, and endings."""
    head, _, rows = _systems([""], 2).partition("\n\n")
    counts = "  " + "1   2   3   4    " * 2
    counted = _tune(f"{head}\n\n{counts.rstrip()}\n{rows.strip()}\n")
    assert not [p for p in counted.problems if p.code == "measure-numbers"]
    assert {m.rhythm.source.value for m in counted.score.measures} == {"written"}
    text = _systems(["", ""], 3)
    first, _, second = text.rpartition("\n\n")
    ended = _tune(f"{first}\n\n  {'':17}{'|1.':17}{'|2.':17}\n{second}")
    assert [m.ending for m in ended.score.measures][-2:] == ["1", "2"]


def test_a_section_and_chords_on_one_line() -> None:
    tune = _tune("Wren's Nest\n\n" + "Verse 1   (C)\n" + ROWS)
    assert tune.score.measures[0].section == "Verse 1"
    assert [c.text for m in tune.score.measures for c in m.chords] == ["C"]


@pytest.mark.parametrize(
    ("line", "dance"),
    [
        ("Copper Kettle Reel, March 14, 2004", "reel"),
        ("Copper Kettle, 3rd of March 2004", None),
        ("The Tinker's March", "march"),
    ],
)
def test_a_month_is_no_dance(line: str, dance: str | None) -> None:
    assert dance_of([line]) == dance


def test_the_same_tuning_in_other_words_is_not_played_with_a_capo_more() -> None:
    """By arithmetic: aEADE sounds as it is spelled, string 1 E4."""
    rows = "\n".join("|" + row.partition("|")[2] for row in ROWS.splitlines())
    tune = _tune(f"Quarry Bell\nTuning: A modal (aEADE)  [= G modal capo 2]\n\n{rows}\n")
    assert tune.score.setup.capo == 0
    assert [p.midi for p in tune.score.setup.tuning.pitches] == [64, 62, 57, 52, 69]


def test_labels_without_sharps_and_flats() -> None:
    """f#DF#AD is the open D that is known; its letters alone name it, and do not contradict it."""
    rows = "\n".join(
        f"{label}|{row.partition('|')[2]}"
        for label, row in zip("DAFDf", ROWS.splitlines(), strict=True)
    )
    for head in ("Otter Bank\n", "Otter Bank\nTuning: f#DF#AD\n"):
        tune = _tune(f"{head}\n{rows}\n")
        assert tune.score.setup.tuning.written == "f#DF#AD"
        assert "labels" not in [p.code for p in tune.problems]
    (reason,) = [
        f.reason for f in _tune(f"Otter Bank\n\n{rows}\n").findings if f.subject == "tuning"
    ]
    assert "leave out sharps" in reason


def test_the_numbers_of_pages_are_no_words_of_the_tune() -> None:
    tune = _tune(f"Otter Bank\n{'page 1':>70}\n{ROWS}{'- page 2 of 2 -':>70}\n{ROWS}")
    assert len(tune.score.measures) == 4
    assert not [p for p in tune.problems if p.code in ("stray", "not-understood")]
    assert list(tune.score.notes) == []


def test_chords_over_a_line_of_dots_for_the_beats() -> None:
    tune = _tune(f"Tansy and Rue\n\n  G         D\n   . . . .   . . . .\n{ROWS}")
    assert [[c.text for c in m.chords] for m in tune.score.measures] == [["G"], ["D"]]


@pytest.mark.parametrize(("words", "key"), [("in C", "C major"), ("in A minor", "A minor")])
def test_in_a_key_behind_a_title(words: str, key: str) -> None:
    tune = _tune(f"Apple Loft ({words})\n\n{ROWS}")
    assert (tune.score.title, str(tune.score.key)) == ("Apple Loft", key)


def test_numbers_of_lines_before_the_chords_are_no_endings() -> None:
    row = "\n".join(f"{n}|-0---{'0' if n == 'g' else '2'}---|-0-------|" for n in "DBGDg")
    lines = [f"{number}) G         D7\n{row}\n" for number in (1, 2, 3)]
    tune = _tune("Tin Gate\n\n" + "\n".join(lines))
    assert [m.ending for m in tune.score.measures] == [None] * 6
    assert [[c.text for c in m.chords] for m in tune.score.measures] == [["G"], ["D7"]] * 3


def test_a_chord_in_brackets_is_no_part_where_others_stand_in_a_line() -> None:
    row = "\n".join(f"{n}|-0---{'0' if n == 'g' else '2'}---|-0-------|" for n in "DBGDg")
    tune = _tune(f"Tin Gate\n\nPart A\n  [G]\n{row}\n\n  [C]       [D7]\n{row}\n")
    assert [m.section for m in tune.score.measures] == ["Part A", None, None, None]
    names = [[c.text for c in m.chords] for m in tune.score.measures]
    assert names == [["G"], [], ["C"], ["D7"]]


def test_a_first_ending_leads_back_where_a_second_follows() -> None:
    """Common practice, no source."""
    row = "\n".join(f"{n}|-0---{'0' if n == 'g' else '2'}---|" + "-0-------|" * 2 for n in "DBGDg")
    tune = _tune(f"Tin Gate\n\n            1st time  2nd time\n{row}\n")
    assert [m.ending for m in tune.score.measures] == [None, "1", "2"]
    assert [m.right for m in tune.score.measures][1] is Bar.REPEAT_END
    assert [p.code for p in tune.problems if p.code == "leading-back"] == ["leading-back"]


def test_endings_stand_over_the_numbers_of_measures() -> None:
    row = "\n".join(f"{n}|-0---{'0' if n == 'g' else '2'}---|-0-------|" for n in "DBGDg")
    lines = [f"  m{n}        m{n + 1}\n{row}\n\n" for n in (1, 3, 5, 7)]
    text = f"Tin Gate\n\n{lines[0]}{lines[1]}1st ending:\n{lines[2]}2nd ending:\n{lines[3]}"
    measures = _tune(text).score.measures
    assert [m.ending for m in measures] == [None] * 4 + ["1", None, "2", None]


@pytest.mark.parametrize(("said", "tempo"), [("M.M. 88 a quarter", 88), ("MM 60 to the half", 120)])
def test_a_metronome_mark_says_its_note_behind(said: str, tempo: int) -> None:
    row = "\n".join(f"{n}|-0---{'0' if n == 'g' else '2'}---|" for n in "DBGDg")
    assert _tune(f"Tune: Tin Gate\nTuning: gDGBD\n{said}\n\n{row}\n").score.tempo == tempo


def test_the_first_of_several_numbered_tunes_has_its_name() -> None:
    row = "\n".join(f"{n}|-0---{'0' if n == 'g' else '2'}---|" for n in "DBGDg")
    tunes = [
        f"#{number}  {name}\ntuned gDGBD, key G\n\n{row}\n{row}\n"
        for number, name in ((3, "Barley in the Loft"), (4, "Rook's Lament"))
    ]
    read = rollstave.read("Basil Tarn, tunes 3 and 4\n\n" + "\n".join(tunes))
    assert [t.score.title for t in read] == ["Barley in the Loft", "Rook's Lament"]


def test_chords_stand_over_a_line_of_slurs() -> None:
    played = {"D": "-0---2-|-2---0-", "g": "-------|-------"}
    rows = "\n".join(f"{n}|{played.get(n, '-------|-------')}|" for n in "DBGCg")
    text = f"h is a hammer, p a pull\nTin Gate\n\n  G       D7\n      h       p\n{rows}\n"
    names = [[c.text for c in m.chords] for m in _tune(text).score.measures]
    assert names == [["G"], ["D7"]]


def test_numbers_of_two_measures_hide_no_ending_and_no_counts() -> None:
    row = "\n".join(f"{n}|-0---{'0' if n == 'g' else '2'}---|-0-------|" for n in "DBGDg")
    lines = [f"m. {n}-{n + 1}\n{{over}}  1 & 2 &   1 & 2 &\n{row}\n" for n in (1, 3, 5, 7)]
    over = ["", "", "            1.\n", "  2.\n"]
    text = "Tin Gate\nTime: 2/4\n\n" + "\n".join(
        line.format(over=words) for line, words in zip(lines, over, strict=True)
    )
    measures = _tune(text).score.measures
    assert [m.ending for m in measures] == [None] * 5 + ["1", "2", None]
    assert [e.onset for e in measures[0].events] == [0, 1]


def test_words_of_a_measure_keep_their_brackets_and_are_no_key() -> None:
    row = "\n".join(f"{n}|-0---{'0' if n == 'g' else '2'}---|" for n in "DBGDg")
    head = "Title: Tin Gate\nTuning: gDGBD\n\n"
    tune = _tune(f"{head}Bar 1 (Em)  start here\n{row}\n\nBar 2 (softly)\n{row}\n")
    assert not [h for h in tune.grid.headings if h.key == "key"]
    clean = rollstave.write(tune, "text")[0].decode()
    assert "Bar 1 (Em)" in clean
    assert "Bar 2 (softly)" in clean
