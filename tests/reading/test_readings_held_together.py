"""Rows, signs and words that can be read in several ways, where the rest of the tab says which.

What people type is common practice, no source; the plain tab beside each is by hand.
"""

from __future__ import annotations

import pytest

import rollstave
from tests.reading.plain_tab import HEAD, ROWS, music, tune_of

EIGHTHS = ["0", "1/2", "1", "3/2", "2", "5/2", "3", "7/2"]


PLAIN = music(HEAD + ROWS)


@pytest.mark.parametrize(
    "typed",
    [
        ROWS.replace("-", "%").replace("|", "+"),
        ROWS.replace("|", "+").replace("\nG", "\n     both together here\nG"),
        "\n\n\n".join(ROWS.splitlines()).replace("-", "_").replace("|", "+"),
        "".join(f"{line[0]} [{line[2:-1]}]\n" for line in ROWS.splitlines()),
        ROWS.replace("|", "||").replace("||\n", "|\n").replace("D||", "D|"),
    ],
)
def test_what_rows_are_drawn_with_is_seen_in_them(typed: str) -> None:
    assert music(HEAD + typed) == PLAIN


def test_a_measure_without_bars_is_closed_by_its_labels() -> None:
    typed = "\n".join(f"{line[0]} {line[2:19]}" for line in ROWS.splitlines())
    assert music(HEAD + typed) == PLAIN[:1]


@pytest.mark.parametrize("sign", ["a", "an", "."])
def test_what_stands_half_way_between_numbers_is_the_half(sign: str) -> None:
    widths = (2, 3) * 4
    rows = ""
    struck = ("---0---0", "-0---0--", "0---0---", "--------", "--0---0-")
    for label, frets in zip("DBGDg", struck, strict=True):
        moments = zip(frets, widths, strict=True)
        rows += f"{label}|-{''.join(fret.ljust(width, '-') for fret, width in moments)}|\n"
    counts = "".join(f"{n} {sign:3}" for n in range(1, 5))
    found = music(f"{HEAD}{rows}   {counts}\n")
    assert [onset for onset, *_ in found[0]] == EIGHTHS


def test_an_a_at_three_quarters_is_the_last_quarter() -> None:
    rows = "D|-0--0---|\nB|--------|\nG|-----0-0|\nD|--------|\ng|--------|\n"
    tune = tune_of(HEAD.replace("4/4", "2/4") + rows + "  1  a2 a\n")
    assert [str(e.onset) for e in tune.score.measures[0].events][1] == "3/4"


def test_a_measure_played_again_has_the_time_of_the_one_before() -> None:
    same = ROWS.replace("|-------2-------2-|", "|-------------------|")
    same = same.replace("|---1-------1-----|", "|-------------------|")
    same = same.replace("|---------0-------|", "|-------ditto-------|")
    same = same.replace("|-2---------------|", "|-------------------|")
    same = same.replace("-|-----0-------0---|", "-|-------------------|")
    typed = same + "   1 & 2 & 3 & 4 &   1  &  2 & 3  & 4 &\n"
    found = music(HEAD + typed)
    assert found[1] == found[0] == PLAIN[0]


def test_a_legend_says_what_stands_in_place_of_a_fret_or_before_it() -> None:
    muted = ROWS.replace("G|-0-------0", "G|-0-------m")
    notes = tune_of(HEAD + "m = muted with the left hand\n\n" + muted).score.measures[0].events
    assert notes[4].notes[0].muted
    assert notes[4].notes[0].string == 3
    assert not notes[0].notes[0].muted
    tied = ROWS.replace("|-------2-------2-|", "|-t0----2-------2-|")
    measure = tune_of(HEAD + "t = tied, do not strike it again\n\n" + tied).score.measures[1]
    links = [n.link for e in measure.events for n in e.notes if n.string == 1 and n.fret == 0]
    assert links == [rollstave.Link.TIE]


def test_one_sign_for_two_goes_as_its_frets_go() -> None:
    rows = "D|-0^2-----4^2-----|\n"
    rows += "".join(f"{c}|-----------------|\n" for c in "BGDg")
    links = [
        n.link
        for m in tune_of(HEAD + "^ = hammer-on or pull-off\n\n" + rows).score.measures
        for e in m.events
        for n in e.notes
    ]
    assert links == [None, rollstave.Link.HAMMER_ON, None, rollstave.Link.PULL_OFF]


def test_dots_of_a_repeat_that_are_added_are_no_column() -> None:
    lines = ROWS.splitlines()
    added = "\n".join(f"{line[:-1]}{':' if i in (1, 3) else '-'}|" for i, line in enumerate(lines))
    assert music(HEAD + added) == PLAIN
    assert tune_of(HEAD + added).score.measures[1].right is rollstave.Bar.REPEAT_END


def test_numbers_that_go_on_are_no_endings() -> None:
    typed = "".join(f"   [{n}]               [{n + 1}]\n{ROWS}\n" for n in (1, 3, 5))
    assert [m.ending for m in tune_of(HEAD + typed).score.measures] == [None] * 6


def test_a_lone_chord_over_its_measure_is_no_part() -> None:
    one = "\n".join(line[:20] for line in ROWS.splitlines())
    typed = f"   [G]               [C]\n{ROWS}\n   [G]\n{one}\n"
    measures = tune_of(HEAD + typed).score.measures
    assert [c.text for m in measures for c in m.chords if not c.inferred] == ["G", "C", "G"]
    assert not any(m.section for m in measures)


def test_parts_stand_side_by_side() -> None:
    two = "\n".join(f"{line[:19]}     {line[0]}{line[19:]}" for line in ROWS.splitlines())
    measures = tune_of(f"{HEAD}A part                  B part\n{two}\n").score.measures
    assert [m.section for m in measures] == ["A part", "B part"]


def test_a_part_again_under_itself_is_a_repeat() -> None:
    measures = tune_of(f"{HEAD}Part A\n{ROWS}\n(Part A again)\n").score.measures
    assert len(measures) == 2
    assert measures[1].right is rollstave.Bar.REPEAT_END


@pytest.mark.parametrize(
    ("line", "name"),
    [
        ("LANTERN HILL, as played in the hall", "LANTERN HILL"),
        ("Lantern Hill - fingerpicking for banjo", "Lantern Hill"),
        ("Tab number 12 -- LANTERN HILL -- from the drawer", "LANTERN HILL"),
        ("riff for the lantern hill", "lantern hill"),
        ("TUNE      Lantern Hill", "Lantern Hill"),
        ("Lantern Hill, or the Ferry Bell", "Lantern Hill, or the Ferry Bell"),
    ],
)
def test_a_title_is_the_name_in_its_line(line: str, name: str) -> None:
    tune = tune_of(HEAD.replace("Larkspur Landing", line) + ROWS)
    assert tune.score.title == name
    kept = " ".join([tune.score.title, tune.score.source, *tune.score.notes]).lower().split()
    for word in line.replace(",", "").lower().split():
        assert word in kept or word in ("--", "-", "tune") or f"{word}," in kept


def test_a_row_that_can_be_read_in_one_way_is_no_warning() -> None:
    empty = ROWS.replace("D|-----------------|", "D|----------------|")
    found = [p for p in tune_of(HEAD + empty).problems if p.code == "rows-out-of-step"]
    assert [p.severity for p in found] == [rollstave.Severity.NOTICE]
    struck = ROWS.replace("|---------0-------|", "|--------0-------|")
    found = [p for p in tune_of(HEAD + struck).problems if p.code == "rows-out-of-step"]
    assert [p.severity for p in found] == [rollstave.Severity.WARNING]


def test_a_legend_that_begins_with_its_sign_is_no_quotation() -> None:
    assert "> = accent" in tune_of(f"{HEAD}> = accent\n\n{ROWS}").score.notes


def test_measures_that_words_repeat() -> None:
    measures = tune_of(f"{HEAD}{ROWS}\nplay bars 1 to 2 twice\n").score.measures
    assert measures[0].left is rollstave.Bar.REPEAT_START
    assert measures[1].right is rollstave.Bar.REPEAT_END
