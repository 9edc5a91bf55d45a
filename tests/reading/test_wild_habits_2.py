"""Still more habits of typing, each beside the plain tab that it stands for.

All are common practice of mail, message boards, pages and word processors, no source. What a habit
means is given by how it is made here; the tunes are invented.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable
from functools import partial

import pytest

import rollstave
from rollstave.deciding.playback import play_order
from rollstave.grid.typed import Link, SlideEdge
from rollstave.reading.beside import attach
from rollstave.reading.page.decode import Line
from rollstave.reading.rows.finding import as_row
from rollstave.reading.words.headings import read_headings
from rollstave.reading.words.section_names import read_section
from tests.reading.test_wild import PLAIN, on_rows
from tests.reading.test_wild_habits import blocks, score_of, struck
from tests.work import LINEAR, growth

FIRST, SECOND = (block.rstrip("\n") + "\n" for block in blocks(PLAIN)[1:])
HEAD = "Gull Street\n\n"


def tune_of(text: str) -> rollstave.Tune:
    (tune,) = rollstave.read(text)
    return tune


def labels(*forms: str) -> Callable[[str], str]:
    """Each row with another label; ``{}`` is the letter that it has."""

    def change(text: str) -> str:
        found = itertools.cycle(forms)
        return on_rows(lambda row: next(found).format(row[0]) + row[1:])(text)

    return change


def beside(text: str) -> str:
    """Both systems side by side."""
    head, one, two = blocks(text)
    rows = zip(one.strip().split("\n"), two.strip().split("\n"), strict=True)
    return f"{head}\n\n" + "\n".join(f"{a}     {b}" for a, b in rows) + "\n"


def beside_without_labels(text: str) -> str:
    return re.sub(r"\b[DBGg]\|", "|", beside(text))


def around(left: str, right: str) -> Callable[[str], str]:
    return lambda text: on_rows(lambda row: row[0] + left + row[2:-1] + right)(text)


HABITS: dict[str, Callable[[str], str]] = {
    "codes of a message board": lambda t: (
        "[b]" + t.replace("Street", "Street[/b]").replace("\n\n", "\n\n[code]\n", 1) + "[/code]"
    ),
    "strings in words": labels(*(f"string {n} " for n in range(1, 6))),
    "ordinals and the word": labels("1st string ", "2nd string ", "3rd string ", "4th string ",
                                    "5th string "),
    "numbers and letters": labels(*(f"{n}{{}}" for n in range(1, 6))),
    "numbers equal letters": labels(*(f"{n}={{}} " for n in range(1, 6))),
    "letters and numbers in brackets": labels(*(f"{{}}({n})" for n in range(1, 6))),
    "labels with a full stop": labels("{}. "),
    "labels at both ends": on_rows(lambda row: row + row[0]),
    "names of parts in the margin": lambda t: on_rows(lambda row: "   " + row)(t).replace(
        "   D|-----0", "A  D|-----0"
    ),
    "numbers of measures in the margin": lambda t: on_rows(lambda row: "   " + row)(t)
    .replace("   D|-----0", "1  D|-----0")
    .replace("   D|-----5", "3  D|-----5"),
    "systems side by side": beside,
    "systems side by side without labels": beside_without_labels,
    "slashes for bars": on_rows(lambda row: row.replace("|", "/")),
    "brackets for bars": on_rows(lambda row: row.replace("|", "[")),
    "the letter o for zero": on_rows(lambda row: row.replace("0", "o")),
    "the letter O for zero": on_rows(lambda row: row.replace("0", "O")),
    "a remark between rows": lambda t: re.sub(r"\n(?=G\|)", "\n   (gently)\n", t),
    "a slur in brackets": lambda t: t.replace("-2h4--", "(2h4)-"),
    "numbers of pages": lambda t: t.replace("\n\nD|-----5", "\n\n   - 1 -\n\n\f\n\nD|-----5"),
}  # fmt: skip


@pytest.mark.parametrize("name", HABITS)
def test_a_habit_reads_as_the_plain_tab(name: str) -> None:
    tune = tune_of(HABITS[name](PLAIN))
    assert struck(tune.score) == struck(score_of(PLAIN))
    assert tune.score.title == "Gull Street"
    assert not [p for p in tune.problems if p.severity is not rollstave.Severity.NOTICE]


def test_what_a_habit_says_more_is_kept() -> None:
    remark = tune_of(HABITS["a remark between rows"](PLAIN))
    assert remark.score.notes == ("(gently)",) * 2
    part = tune_of(HABITS["names of parts in the margin"](PLAIN))
    assert [m.section for m in part.score.measures if m.section] == ["A"]
    assert tune_of(HABITS["labels at both ends"](PLAIN)).score.notes == ()
    zero = tune_of(HABITS["the letter o for zero"](PLAIN))
    (said,) = [p for p in zero.problems if p.code == "letter-for-zero"]
    assert said.place == rollstave.Place(5, 8)


def test_a_row_left_out_of_the_first_system_is_found_by_a_tuning() -> None:
    """D, B, G and g name four of the strings of open G; nothing is played on string 4."""
    typed = "\n".join(row for row in FIRST.split("\n") if "D|---------" not in row)
    tune = tune_of(HEAD + typed)
    assert struck(tune.score) == struck(score_of(HEAD + FIRST))
    (said,) = [p for p in tune.problems if p.code == "row-left-out"]
    assert "D (string 4)" in said.message


@pytest.mark.parametrize("front", ["{} |", "{}|", "{}) |"])
def test_rows_left_out_are_found_by_the_numbers_of_the_others(front: str) -> None:
    """Nothing is played on string 4, and each row begins with the number of its string."""
    numbers = iter("1235" * 2)
    typed = "".join(
        front.format(next(numbers)) + row[2:] + "\n"
        for row in FIRST.split("\n")
        if row and "D|---------" not in row
    )
    tune = tune_of(HEAD + typed)
    assert struck(tune.score) == struck(score_of(HEAD + FIRST))
    assert [p.code for p in tune.problems if p.code == "row-left-out"] == ["row-left-out"]


def test_a_page_whose_lines_are_only_breaks() -> None:
    one_line = f"<p>Gull Street</p><p>{FIRST.strip().replace(chr(10), '<br>')}</p>\n"
    before = f"<h2>Gull Street</h2><pre>{FIRST.strip()}</pre><p>Good luck with it</p>\n"
    for text in (one_line, before):
        tune = tune_of(text)
        assert struck(tune.score) == struck(score_of(HEAD + FIRST))
        assert tune.score.title == "Gull Street"
        for column in tune.grid.measures[0].columns:
            for stroke in column.strokes:
                typed = text.split("\n")[stroke.place.line - 1]
                assert typed[stroke.place.column - 1] == str(stroke.fret)


@pytest.mark.parametrize(("one", "two"), [("A1", "A2"), ("Variation 1:", "Variation 2:")])
def test_sections_with_numbers(one: str, two: str) -> None:
    score = score_of(f"{HEAD}{one}\n{FIRST}\n{two}\n{SECOND}")
    assert [m.section for m in score.measures if m.section] == [one.strip(":"), two.strip(":")]
    assert not [c for m in score.measures for c in m.chords if not c.inferred]


def test_a_letter_o_beside_zeros_is_not_guessed() -> None:
    tune = tune_of(PLAIN.replace("-5-------5-", "-o-------o-"))
    assert [p.code for p in tune.problems if p.severity is rollstave.Severity.WARNING] == [
        "unread"
    ] * 2


def test_a_letter_o_behind_a_fret_is_no_zero() -> None:
    """A harmonic typed so is pointed at: without open strings too, 12o is not fret 120."""
    rows = "".join(f"{s}|{'-12o--7o---5o--12o-' if s == 'D' else '-' * 19}|\n" for s in "DBGEg")
    tune = tune_of(HEAD + rows.replace("E|", "D|"))
    assert "letter-for-zero" not in {p.code for p in tune.problems}
    assert {n.fret for m in tune.score.measures for e in m.events for n in e.notes} == {5, 7, 12}


@pytest.mark.parametrize(("left", "right"), [("[:", ":]"), ("{:", ":}")])
def test_repeats_drawn_with_brackets(left: str, right: str) -> None:
    tune = tune_of(HEAD + around(left, right)(FIRST))
    assert play_order(tune.score.measures) == (0, 1, 0, 1)
    assert struck(tune.score) == struck(score_of(HEAD + FIRST))


def test_repeat_dots_typed_as_letters() -> None:
    rows = FIRST.strip().split("\n")
    dots = ["-", "o", "-", "o", "-"]
    typed = [f"{r[0]}||{d}{r[2:-1]}{d}||" for r, d in zip(rows, dots, strict=True)]
    tune = tune_of(HEAD + "\n".join(typed))
    assert play_order(tune.score.measures) == (0, 1, 0, 1)
    assert "unread" not in {p.code for p in tune.problems}


def test_a_time_signature_in_the_rows() -> None:
    """Figures one over the other in a place of their own; 3 over 4 is three quarters."""
    figures = ["---", "-3-", "---", "-4-", "---"]
    rows = FIRST.strip().split("\n")
    typed = [f"{r[0]}|{f}|{r[2:]}" for r, f in zip(rows, figures, strict=True)]
    tune = tune_of(HEAD + "\n".join(typed))
    assert str(tune.score.meter) == "3/4"
    assert len(tune.score.measures) == 2
    (said,) = [p for p in tune.problems if p.code == "meter-in-rows"]
    assert said.place == rollstave.Place(4, 4)
    # A measure of its own, as a pinch before the first bar, is music.
    pinch = ["-0-", "---", "-0-", "---", "---"]
    typed = [f"{r[0]}|{f}|{r[2:]}" for r, f in zip(rows, pinch, strict=True)]
    assert len(tune_of(HEAD + "\n".join(typed)).score.measures) == 3


ENDED = """\
D|:----0-------0---|-----2-------2--:|-----0----------||
B|:--0-------1-----|---0-------1----:|---1-------0----||
G|:0-------2-----0-|-0-------2------:|-0-------0------||
D|:----------------|----------------:|----------------||
g|:------0-------0-|-------0--------:|-------0--------||
"""


@pytest.mark.parametrize(
    "over",
    [
        "|1.--------------:|2.--------------||",
        "1st ending        2nd ending",
        "First time        Second time",
        "(1st time)        (2nd time)",
        "[first ending]    [second ending]",
    ],
)
def test_endings_in_many_habits(over: str) -> None:
    score = score_of(f"{HEAD}{' ' * 19}{over}\n{ENDED}")
    assert [m.ending for m in score.measures] == [None, "1", "2"]
    assert play_order(score.measures) == (0, 1, 0, 2)
    assert score.notes == ()


def test_endings_that_are_systems_of_their_own() -> None:
    first, one, two = (around(a, b)(t) for a, b, t in (
        ("|:", "|", FIRST), ("|", ":|", SECOND), ("|", "||", SECOND)))  # fmt: skip
    score = score_of(f"{HEAD}{first}\nFirst ending:\n{one}\nSecond ending:\n{two}")
    assert play_order(score.measures) == (0, 1, 2, 3, 0, 1, 4, 5)


@pytest.mark.parametrize(
    ("typed", "names"),
    [
        ("   [G]              [C]", [["G"], ["C"]]),
        ("   G major          A minor", [["G"], ["Am"]]),
        ("   G / / /          C / D /", [["G"], ["C", "D"]]),
        ("  |G               |%", [["G"], []]),
        ("  G---------------  C-----D---", [["G"], ["C", "D"]]),
        ("Chords: G           C", [["G"], ["C"]]),
        ("  G               C", [["G"], ["C"]]),  # right before the bar
    ],
)
def test_chords_in_many_habits(typed: str, names: list[list[str]]) -> None:
    score = score_of(f"{HEAD}{typed}\n{FIRST}")
    assert [[c.text for c in m.chords if not c.inferred] for m in score.measures] == names
    assert score.notes == ()


def test_chords_under_a_system() -> None:
    score = score_of(f"{HEAD}{FIRST}   G                C\n\n{SECOND}   D                G\n")
    found = [[c.text for c in m.chords if not c.inferred] for m in score.measures]
    assert found == [["G"], ["C"], ["D"], ["G"]]


@pytest.mark.parametrize("words", ["A A B B", "A  A  B  B", "G D G B D"])
def test_other_letters_under_a_system_are_no_chords(words: str) -> None:
    score = score_of(f"{HEAD}{FIRST}{words}\n\n{SECOND}")
    assert not [c for m in score.measures for c in m.chords if not c.inferred]
    assert words in score.notes


def test_a_row_too_many_without_bars_is_no_chord() -> None:
    tune = tune_of(f"{HEAD}E{'-' * 36}\n{FIRST}")
    assert not [c for m in tune.score.measures for c in m.chords if not c.inferred]
    assert "extra-row" in {p.code for p in tune.problems}


@pytest.mark.parametrize("typed", ["[G]", "[A]"])
def test_a_lone_name_in_square_brackets_is_no_chord(typed: str) -> None:
    score = score_of(f"{HEAD}{typed}\n{FIRST}")
    assert not [c for m in score.measures for c in m.chords if not c.inferred]


@pytest.mark.parametrize(
    "typed",
    [
        "   T I M T T I M T   T I M   T T I",
        "  T I M T T I M T   T I M   T T I",  # a column to the left
        "    T I M T T I M T   T I M   T T I",  # and to the right
        "   p i m p p i m p   p i m   p p i",
        "   T 1 2 T T 1 2 T   T 1 2   T T 1",
        "RH T I M T T I M T   T I M   T T I",
    ],
)
def test_letters_of_the_picking_hand_in_many_habits(typed: str) -> None:
    score = score_of(HEAD + FIRST.replace("2h4-----", "2-----4-") + typed + "\n")
    letters = [
        note.finger.value
        for m in score.measures
        for e in m.events
        for note in e.notes[:1]
        if note.finger and not note.inferred_finger
    ]
    assert "".join(letters) == "TIMTTIMT" + "TIMTTI"
    assert not [e.lyric for m in score.measures for e in m.events if e.lyric]


@pytest.mark.parametrize("pinch", ["TM", "(TM)", "T+M", "T/M"])
def test_a_pinch_in_many_habits(pinch: str) -> None:
    found = attach.classify(Line(1, line := f"   T I M T  {pinch}", line), attach.BELOW)
    assert found is not None
    assert [w.text for w in found[1]] == ["T", "I", "M", "T", "TM"]


@pytest.mark.parametrize("under", ["         1 n 2 n 3 n 4 n", "  Count: 1 & 2 & 3 & 4 &"])
def test_counts_in_many_habits(under: str) -> None:
    rows = on_rows(lambda row: f"      {row}")(FIRST)
    tune = tune_of(f"{HEAD}{rows}{under}\n")
    assert tune.score.measures[0].rhythm.source.value == "written"
    assert not [e.lyric for m in tune.score.measures for e in m.events if e.lyric]


@pytest.mark.parametrize("mark", ["#{}", "m.{}", "m. {}", "bar {}"])
def test_numbers_of_measures_with_a_word(mark: str) -> None:
    over = [mark.format(n).ljust(18) for n in (1, 2)]
    tune = tune_of(f"{HEAD}  {''.join(over)}\n{FIRST}")
    assert tune.score.notes == ()
    assert [m.ending for m in tune.score.measures] == [None, None]
    assert "measure-numbers" in {p.code for p in tune.problems}


@pytest.mark.parametrize(
    "words", ["(forward roll)     (alternating thumb)", "forward roll      reverse roll"]
)
def test_the_names_of_rolls_are_no_lyrics(words: str) -> None:
    score = score_of(f"{HEAD}{FIRST}   {words}\n")
    assert not [e.lyric for m in score.measures for e in m.events if e.lyric]
    assert score.notes == (words,)


@pytest.mark.parametrize("name", ["--- A part ---", "*A part*", "== A part ==", "~ A part ~"])
def test_sections_between_signs(name: str) -> None:
    score = score_of(f"{HEAD}{name}\n{FIRST}\n{name.replace('A', 'B')}\n{SECOND}")
    assert [m.section for m in score.measures if m.section] == ["A part", "B part"]


def test_sections_that_are_repeated_with_a_colon_behind() -> None:
    score = score_of(f"{HEAD}Part A (x2):\n{FIRST}\nPart B (x2):\n{SECOND}")
    assert play_order(score.measures) == (0, 1, 0, 1, 2, 3, 2, 3)


def test_sections_with_roman_numbers() -> None:
    tune = tune_of(f"{HEAD}I.\n{FIRST}\nII.\n{SECOND}")
    assert [m.section for m in tune.score.measures if m.section] == ["I", "II"]
    assert "stray" not in {p.code for p in tune.problems}


@pytest.mark.parametrize(
    "words", ["(back to top)", "Go back to the beginning", "From the top", "then back to the start"]
)
def test_back_to_the_beginning_in_words(words: str) -> None:
    score = score_of(f"{HEAD}{FIRST}\n{SECOND}{words}\n")
    assert play_order(score.measures) == (0, 1, 2, 3, 0, 1, 2, 3)


def test_back_to_the_beginning_as_far_as_fine() -> None:
    words = "Go back to the beginning and play to Fine"
    score = score_of(f"{HEAD}{FIRST}Fine\n\n{SECOND}{words}\n")
    assert play_order(score.measures) == (0, 1, 2, 3, 0, 1)


def test_the_letter_of_a_rest_ties_nothing() -> None:
    rest, plain = (score_of(HEAD + FIRST.replace("G|-0------", cell)) for cell in
                   ("G|-0---r--", "G|-0------"))  # fmt: skip
    assert struck(rest) == struck(plain)
    (bent,) = [
        n for e in score_of(HEAD + FIRST.replace("2h4---", "2b--r2")).measures[1].events
        for n in e.notes if n.link is not None
    ]  # fmt: skip
    assert bent.link is Link.TIE


def test_a_triplet_bracket_over_labelled_rows_is_no_row() -> None:
    tune = tune_of(f"{HEAD}   |-3-|\n{FIRST}")
    assert struck(tune.score) == struck(score_of(HEAD + FIRST))


@pytest.mark.parametrize(
    "box",
    [
        "+-------------------+\n|    Gull Street    |\n+-------------------+",
        "#####################\n#    Gull Street    #\n#####################",
        "#-----------NOTICE-----------#\n# The work of the class only. #\n"
        "#----------------------------#\n\nGull Street",
    ],
)
def test_a_title_in_a_box_or_under_one(box: str) -> None:
    assert score_of(f"{box}\n\n{FIRST}").title == "Gull Street"


@pytest.mark.parametrize("title", ["Gull Street", "GULL STREET"])
@pytest.mark.parametrize("more", ["", " (cont.)", ", continued"])
def test_the_title_again_at_the_head_of_a_page(title: str, more: str) -> None:
    score = score_of(f"{title}\n\n{FIRST}\nPage 1\n\f\n{title}{more}\n\n{SECOND}")
    assert struck(score) == struck(score_of(PLAIN))
    assert (score.title, score.notes) == (title, ())
    assert not [m.section for m in score.measures if m.section]


def test_a_title_with_a_tuning_begins_a_tune() -> None:
    tunes = rollstave.read(f"Gull Street\n\n{FIRST}\n--------\n\nOtter Weir (gDGCD)\n\n" +
                           on_rows(lambda row: row[1:])(SECOND))  # fmt: skip
    assert [t.score.title for t in tunes] == ["Gull Street", "Otter Weir"]
    assert tunes[1].score.setup.tuning.written == "gDGCD"


@pytest.mark.parametrize(
    ("line", "written"),
    [
        ("Tuning: std G", "gDGBD"),
        ("Tuning: dbl C", "gCGCD"),
        ("Tuning: 2C", "gCGCD"),
        ("Tuning: G modal", "gDGCD"),
        ("G minor tuning gDGBbD", "gDGBbD"),
    ],
)
def test_tunings_in_short(line: str, written: str) -> None:
    tune = tune_of(f"Gull Street\n{line}\n\n" + on_rows(lambda row: row[1:])(FIRST))
    assert tune.score.setup.tuning.written == written
    assert tune.score.notes == ()


def test_an_unknown_tuning_is_said_in_whole_sentences() -> None:
    text = "Tuning: xyzzy\n\n" + on_rows(lambda row: row[1:])(FIRST)
    with pytest.raises(rollstave.TabError) as caught:
        rollstave.read(text)
    said = next(p for p in caught.value.problems if p.code == "tuning")
    assert "is not known. Write its name" in said.message


def test_cut_time_with_its_sign() -> None:
    assert str(score_of(f"{HEAD}Time: C|\n\n{FIRST}").meter) == "2/2"


def test_the_fifth_string_on_a_spike() -> None:
    """A spike at fret 7 raises the string by two frets: 7 - 5."""
    score = score_of(f"Gull Street\nCapo 2\n5th on 7\n\n{FIRST}")
    assert score.setup.open_midi(5) == 67 + 2


def test_a_key_that_lists_signs_is_a_legend() -> None:
    words = "Key: h - hammer, p - pull, ^ - slide"
    tune = tune_of(f"{HEAD}{words}\n\n{FIRST.replace('2h4', '2^4')}")
    assert words in tune.score.notes
    assert [n.link for m in tune.score.measures for e in m.events for n in e.notes if n.link] == [
        Link.SLIDE
    ]
    assert {p.code for p in tune.problems} & {"key", "unread"} == set()


def test_letters_of_duration_over_a_system() -> None:
    tune = tune_of(f"{HEAD}   q q q q           q e e q q\n" + "\n".join([
        "D|-0---2---0---2---|-0---2-0-2---0---|", *(f"{s}|{'-' * 17}|{'-' * 17}|" for s in "BGDg")
    ]))  # fmt: skip
    assert [str(e.duration) for e in tune.score.measures[1].events if e.notes] == [
        "1", "1/2", "1/2", "1", "1"]  # fmt: skip
    assert tune.score.notes == ()


def test_a_slide_into_a_first_note_is_still_one() -> None:
    (tune,) = rollstave.read(HEAD + FIRST.replace("G|-0---", "G|-/4--"))
    first = [n for e in tune.score.measures[0].events for n in e.notes if n.fret == 4]
    assert first[0].slide_from is SlideEdge.UP


BLANKS = " " * 2_000
# Made so many times as long: the marks of a long line.
LONG: dict[str, Callable[[int], str]] = {
    "A part": lambda n: f"A part{BLANKS * n}x",
    "* A": lambda n: f"* A{BLANKS * n}x",
    "D": lambda n: f"D{BLANKS * n}x",
    "|": lambda n: f"|{BLANKS * n}abc{BLANKS * n}x",
    "1": lambda n: f"1{BLANKS * n}D",
    "G major": lambda n: f"G major{BLANKS * n}x",
    "first time": lambda n: f"first time{BLANKS * n}x",
    "x tuning": lambda n: f"x tuning{BLANKS * n}y",
    "m.1": lambda n: "m.1 " * 1_000 * n,
    "go": lambda n: "go " * 2_000 * n,
    "G--": lambda n: "G--" * 900 * n,
    "(1h": lambda n: "(1h" * 900 * n,
    "p+i": lambda n: "p+i " * 900 * n + "x",
    "Key": lambda n: "Key: " + "h - " * 900 * n,
}


@pytest.mark.parametrize("name", LONG)
def test_no_pattern_takes_long_over_a_long_line(name: str) -> None:
    """Four times the line is about four times the work, of each reader of lines by itself."""
    short, long = (Line(1, text, text) for text in (LONG[name](3), LONG[name](12)))
    readers: tuple[Callable[[Line], object], ...] = (
        read_section,
        lambda line: read_headings(line, head=True),
        as_row,
        lambda line: attach.classify(line, attach.ABOVE),
        lambda line: attach.classify(line, attach.BELOW),
    )
    for read in readers:
        assert growth(partial(read, short), partial(read, long)) < LINEAR
