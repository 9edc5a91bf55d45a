"""What does not fit is said at its line. The texts are invented."""

from __future__ import annotations

import pytest

import rollstave

ROWS = """\
D|----0-------0---|----2-------2---|
B|--0-------0-----|--1-------1-----|
G|0-------0-------|0-------2-------|
D|----------------|----------------|
g|------0-------0-|------0-------0-|
"""
HEAD = "Ferry Bell\nTuning: gDGBD\nTime: 4/4\n\n"


def _warnings(text: str) -> list[tuple[str, int]]:
    (tune,) = rollstave.read(HEAD + text)
    return [
        (p.code, p.place.line if p.place else 0)
        for p in tune.problems
        if p.severity is rollstave.Severity.WARNING
    ]


@pytest.mark.parametrize(
    ("words", "code"),
    [
        ("| G | C | D |", "stray"),  # three measures where there are two
        ("1  2  3", "stray"),
        ("G  C", "stray"),
    ],
)
def test_words_that_look_like_more_are_doubted(words: str, code: str) -> None:
    assert _warnings(f"{words}\n\nA word or two.\n\n{ROWS}") == [(code, 5)]


@pytest.mark.parametrize(
    "words",
    [
        *("Play it softly, please.", "AABB", "The thumb keeps to its strings.", "(1962)"),
        "so it comes out right when you go round again",
    ],
)
def test_words_are_words(words: str) -> None:
    assert _warnings(f"{words}\n\n{ROWS}") == []


@pytest.mark.parametrize(
    ("words", "doubted"),
    # How many words may only be an order, and with one more tell of something (our choice): six
    # of a repeat, four of an ending. Who says it of all parts orders it at length.
    [
        ("Softly and slowly and then twice.", True),
        ("Softly and slowly and then not twice.", False),
        ("Third pass up high", True),
        ("Third pass up high now", False),
        ("When you have it by heart play every part of it through twice", True),
    ],
)
def test_few_words_are_an_order(words: str, doubted: bool) -> None:
    codes = [code for code, _ in _warnings(f"{ROWS}\n{words}\n")]
    assert ("not-followed" in codes) == doubted


@pytest.mark.parametrize(
    "words",
    [
        "The second time leave the fifth string out.",
        "Last time round play it softer and softer.",
        "Third time through let the others sing over it.",
    ],
)
def test_how_a_pass_is_played_is_no_ending(words: str) -> None:
    assert _warnings(f"{ROWS}\n{words}\n") == []


@pytest.mark.parametrize(
    "words",
    [
        "Second time through, stop on the open G and smile.",
        "Last time round play an open G instead, and no more.",
    ],
)
def test_what_else_is_played_in_a_pass_is_doubted(words: str) -> None:
    assert ("not-followed", 11) in _warnings(f"{ROWS}\n{words}\n")


def _doubted(text: str, head: str = HEAD) -> list[tuple[str, int]]:
    (tune,) = rollstave.read(head + text)
    return [(p.code, p.place.line) for p in tune.problems if p.place and p.code not in _NOT_ASKED]


_NOT_ASKED = ("rhythm-unsure", "tuning-assumed", "meter-assumed", "tuning-inferred", "times")


@pytest.mark.parametrize(
    ("words", "code"),
    [
        ("each part gets played two times", "not-followed"),
        ("then play the lot over again, up high", "not-followed"),
        ("(2nd volta)", "not-followed"),
        ("<7> <9>", "kept-as-words"),
        ("She went round it all, every bit of it, three times before her tea", "not-followed"),
        ("Bars 7 and 8 are the same as 1 and 2.", "not-followed"),  # there are four
    ],
)
def test_words_whose_matter_is_nowhere_are_doubted(words: str, code: str) -> None:
    assert (code, 11) in _doubted(f"{ROWS}\n{words}\n{ROWS}")


def test_the_name_of_a_part_that_orders_something_is_doubted() -> None:
    assert ("not-followed", 12) in _doubted(f"{ROWS}\nD.C.  softly now\n{ROWS}")


def test_a_row_in_another_fill_that_no_system_has_is_doubted() -> None:
    text = f"{ROWS}\nD|~~~~0~~~~~~~0~~~|~~~~2~~~~~~~2~~~|\n\n{ROWS}"
    assert ("unread", 11) in _doubted(text)


def test_an_ending_without_the_one_before_is_doubted() -> None:
    assert ("ending-order", 6) in _doubted(f"  2.\n{ROWS}")


def test_a_part_that_is_named_twice_is_doubted() -> None:
    text = f"Part A\n{ROWS}\nPart B\n{ROWS}\nPart A\n{ROWS}"
    assert [place for code, place in _doubted(text) if code == "part-twice"] == [20]


def test_letters_beside_the_notes_that_are_struck_are_doubted() -> None:
    rows = ROWS.replace("G|0-------0-------|0", "G|0-h2----0-------|0", 1)
    letters = "      T   I   M   T"
    assert [code for code, _ in _doubted(f"{rows}{letters}\n")] == []
    assert "letter-beside" in [code for code, _ in _doubted(f"{rows}     T    I   M   T\n")]


@pytest.mark.parametrize(
    ("words", "code"),
    [
        ("The capo goes somewhere near the two, I think.", "capo"),
    ],
)
def test_facts_that_no_heading_has_are_doubted(words: str, code: str) -> None:
    assert (code, 5) in _doubted(f"{words}\n\n{ROWS}")


@pytest.mark.parametrize(
    ("title", "doubted"),
    [
        ("Ferry Bell", False),
        ("the miller's wheel", False),
        ("FERRY WALTZ NO. 2", False),
        ("Larkspur Ferry Music School", True),
        ('Learning "Ferry Bell" by ear', True),
        ("can somebody send me the ferry bell?", True),
    ],
)
def test_a_title_that_may_be_none_is_doubted(title: str, doubted: bool) -> None:
    head = f"{title}\n\nTuning: gDGBD\nTime: 4/4\n\n"
    assert (("title-line", 1) in _doubted(ROWS, head)) is doubted


def test_a_figure_that_became_no_note_is_doubted() -> None:
    """The check does not ask the reader: the fret is taken out of what was read."""
    from msgspec.structs import replace

    from rollstave.instruments.table import FIVE_STRING_BANJO
    from rollstave.problems import ProblemList
    from rollstave.reading.doubts import doubts
    from rollstave.reading.reader import prepare, read_prepared

    problems = ProblemList()
    state = prepare(HEAD + ROWS, problems)
    (grid,) = read_prepared(state, FIVE_STRING_BANJO)
    assert problems.sorted() == ()
    first, *others = grid.measures
    state.grid = (replace(grid, measures=(replace(first, columns=first.columns[1:]), *others)),)
    doubts(state)
    assert [(p.code, p.place and (p.place.line, p.place.column)) for p in problems.sorted()] == [
        ("lost-figure", (7, 3))
    ]


def test_a_repeat_that_nothing_closes_is_doubted() -> None:
    rows = "\n".join(f"{row[:2]}:{row[2:]}" for row in ROWS.strip().split("\n"))
    assert ("not-followed", 5) in _doubted(f"{rows}\n\n{ROWS}")


def test_a_first_ending_alone_is_doubted() -> None:
    text = f"  1.               2.\n{ROWS}"
    assert "ending-order" not in [code for code, _ in _doubted(text)]
    assert ("ending-order", 6) in _doubted(f"{' ' * 18}1.\n{ROWS}\n{ROWS}")


@pytest.mark.parametrize("letters", ["  k l z w k l z w"])
def test_letters_that_are_sung_are_doubted(letters: str) -> None:
    assert [code for code, _ in _doubted(f"{ROWS}{letters}\n")] == ["kept-as-words"]


def test_a_name_over_rows_that_heads_nothing_is_doubted() -> None:
    from rollstave.reading.doubting.kept import Kept, _may_head
    from rollstave.reading.page.decode import Line

    def said(text: str) -> bool:
        line = Line(number=9, text=text, typed=text)
        kept = Kept(line=line, before=4, touches=True, near=True, heads=True)
        return _may_head(kept) is not None

    assert said("~ Bridge ~")
    assert said("Part the Second")
    assert not said("Play it softly now, as before.")
    assert not said("(softly)")


def test_letters_with_other_words_among_them_are_doubted() -> None:
    letters = "T I T M T I T M and softly T I T M T I T M"
    assert ("kept-as-words", 10) in _doubted(f"{ROWS}{letters}\n")


@pytest.mark.parametrize(
    ("words", "sign", "doubted"),
    [
        ("z = nothing sounds there at all", "z", True),
        ("! means look at the fiddler", "!", True),
        ("the ! sign is a nod of the head", "!", False),  # too loosely said to be a legend
        ("z = nothing sounds there at all", "-", False),  # it stands nowhere
        ("* = ghost note", "*", False),
        ("x is the flat of my hand", "x", False),
    ],
)
def test_a_legend_that_nobody_understands_is_doubted(words: str, sign: str, doubted: bool) -> None:
    rows = ROWS.replace("D|----0-------0---|", f"D|----0-----{sign}-0---|", 1)
    (tune,) = rollstave.read(f"{HEAD}{words}\n\n{rows}")
    said = [p for p in tune.problems if p.code == "legend" and "not understood" in p.message]
    assert bool(said) is doubted


def test_beats_in_words_that_no_time_has_are_doubted() -> None:
    head = "Ferry Bell\nTuning: gDGBD\n\n"
    words = "We count two slow beats in a bar and four little notes to each."
    assert ("time", 4) in _doubted(f"{words}\n\n{ROWS}", head)
    assert ("time", 5) not in _doubted(f"{words}\n\n{ROWS}")  # it has a time


def test_a_line_of_the_same_few_letters_is_doubted() -> None:
    rows = "".join(f"|{row}|\n" for row in ("3-3-33-3", *["0-0-00-0"] * 3))
    text = f"Ferry Bell\nInstrument: ukulele\n4/4\n\n{rows}k du kudu k\n"
    assert "kept-as-words" in [code for code, line in _doubted(text, head="") if line == 9]


@pytest.mark.parametrize(
    "words",
    [
        "Third time through, whistle it.",
        "The second time round go an octave up, if your hand is warm.",
        "Six strings in one go, that is the whole trick.",
        "In bar 2 my little finger rests the second time, mind.",
    ],
)
def test_how_a_time_is_played_is_no_ending(words: str) -> None:
    assert _warnings(f"{ROWS}\n{words}\n") == []


@pytest.mark.parametrize(
    "words",
    [
        "The second time, play this bar in its place.",
        "The second time, finish on the low note instead.",
    ],
)
def test_other_notes_at_a_second_time_are_asked_for(words: str) -> None:
    assert [code for code, _ in _warnings(f"{ROWS}\n{words}\n")] == ["not-followed"]


@pytest.mark.parametrize(
    ("words", "typed"),
    [
        ("x = choked, no note comes out", "x"),
        ("<12> = harmonique naturelle", "<12>"),
        ("(3) = ghost note, hardly heard", "(0)"),
    ],
)
def test_a_legend_that_says_what_is_read_is_no_doubt(words: str, typed: str) -> None:
    rows = ROWS.replace("D|----0-------0---|", f"D|----0-----{typed:-<6}|")
    assert "legend" not in [code for code, _ in _warnings(f"{words}\n\n{rows}")]
