"""The tables of reading: every row is needed, and a file is prepared once.

What odd typing means is common practice, no source: each habit stands beside the plain tab.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable

import pytest
from msgspec.structs import replace

import rollstave
from rollstave.grid.typed import GridTune
from rollstave.instruments.table import FIVE_STRING_BANJO
from rollstave.problems import Problem, ProblemList
from rollstave.reading import chapters, stages, which
from rollstave.reading.beside import lines
from rollstave.reading.reader import read_grid
from rollstave.reading.state import At, ReadingState
from rollstave.reading.words import between
from tests.reading.test_wild import DIALECTS, PLAIN, on_rows
from tests.reading.test_wild_habits import HABITS as TYPED
from tests.reading.test_wild_habits_2 import HABITS as TYPED_TOO

SYSTEM = PLAIN.split("\n\n")[1].rstrip("\n")
FOUR = "A|-0---2---|\nD|-0---2---|\nG|-0---2---|\nC|-0---2---|"


def read(text: str) -> tuple[tuple[GridTune, ...], tuple[Problem, ...]]:
    problems = ProblemList()
    return read_grid(text, FIVE_STRING_BANJO, problems), problems.sorted()


def frets(tunes: tuple[GridTune, ...]) -> list[list[tuple[int, int | None]]]:
    """String and fret of everything struck, measure by measure."""
    return [
        [(s.string, s.fret) for c in m.columns for s in c.strokes]
        for t in tunes
        for m in t.measures
    ]


def without(name: str) -> tuple[stages.Habit, ...]:
    return tuple(habit for habit in stages.HABITS if habit.name != name)


def _beaten(row: str) -> str:
    """A bar at each beat, which are four columns apart, and two where a measure ends."""
    first, *bars = row.rstrip("|").split("|")
    return f"{first}||" + "||".join(_beats(bar) for bar in bars) + "||"


def _beats(bar: str) -> str:
    """The measures of the plain tab have a column before the first beat."""
    return "|".join([bar[1:5], bar[5:9], bar[9:13], bar[13:17]])


# The plain tab as a habit types it, by the names of the table.
AS_TYPED: dict[str, Callable[[str], str]] = {
    "line numbers": DIALECTS["line numbers"],
    "bars before lines": DIALECTS["quote bars"],
    "initials": TYPED["initials before quoted lines"],
    "chat stamps": lambda t: "[Sat 09:12] Nan D.:\n" * 3 + f"[Sat 09:13] Nan D.: {t}",
    "page numbers": TYPED_TOO["numbers of pages"],
    "breaks in markup": lambda t: t.replace("\n", "<br>"),
    "line ends": lambda t: "".join(f"{line}\\\n" for line in t.splitlines()),
    "quote marks": DIALECTS["mail quotes"],
    "fences": lambda t: t.replace("\n\nD", "\n```tab\nD", 1) + "```\n",
    "scissors": lambda t: f"------8<------\n{t}------>8------\n",
    "page heads": lambda t: t.replace("\n\nD|-----5", "\n\nPage 2 of 3\n\nD|-----5"),
    "tables": lambda t: t.replace("Title: Gull Street", "| Title | Gull Street |\n| Key | G |"),
    "leaders": lambda t: t.replace("Title: Gull Street", "Title . . . . . . Gull Street"),
    "boxes": lambda t: t.replace("Title: Gull Street", "| Title: Gull Street |"),
    "markup": DIALECTS["pre block"],
    "mail coding": DIALECTS["long lines cut by mail"],
    "mail heads": lambda t: f"From: mara@ferry.example\nDate: 3 May\n\n{t}",
    "systems side by side": TYPED_TOO["systems side by side without labels"],
    "other fills": on_rows(lambda row: row.replace("-", " ")),
    "rows drawn alike": on_rows(lambda row: row.replace("-", "%")),
    "another fill in one row": TYPED["the fifth string in equals signs"],
    "letters for zeros": TYPED_TOO["the letter o for zero"],
    "spaced lines": lambda t: t.replace("\n", "\n\n\n\n"),
    "double spacing": DIALECTS["blank rows between"],
    "line between rows": TYPED_TOO["a remark between rows"],
    "headings of one letter": lambda t: t.replace("Title: Gull Street", "T: Gull Street\nK: G"),
    "strings in other tongues": on_rows(lambda row: re.sub(r"^B", "H", row)),
    "wrapped rows": DIALECTS["wrapped lines"],
    "extra rows": DIALECTS["a box around"],
    "rows left out": lambda t: re.sub(r"^D\|[-|]+\n", "", t, flags=re.MULTILINE),
    "other bars": on_rows(lambda row: row.replace("|", "l")),
    "bars at beats": on_rows(_beaten),
    "bars in few rows": on_rows(lambda row: row if row[0] == "g" else row.replace("|", "-")),
    "gaps as bars": on_rows(lambda row: row.replace("|", " ").rstrip()),
    "fronts alike": on_rows(lambda row: f"{row[0]}/{row[2:]}" if row[1] == "|" else row),
    "underlines": lambda t: DIALECTS["blank rows between"](t).replace(
        "\n\nD|", "\n\nA part\n------\nD|", 1
    ),
    "frets after labels": on_rows(lambda row: row[0] + row[3:] if row[1] == "|" else row),
    "bare labels": lambda t: re.sub(r"^D\|[-|]+$", "D|", t, flags=re.MULTILINE),
    "upside down": DIALECTS["upside down"],
}
# Tabs of their own, for habits that the plain tab cannot show.
OWN: dict[str, str] = {
    "bracketed repeats": "Tune\n\n" + re.sub(r"\|$", ":]", SYSTEM, flags=re.MULTILINE),
    "notes in neighbouring columns": """Tune

D|-2-2-2-2-2-24-|
B|--1-1-1-1-1---|
G|--------------|
D|--------------|
g|--------------|
""",
    "ends of wrapped rows": "Tune\n\n"
    + "\n".join((row + row[2:])[:-2] + "\n" + (row + row[2:])[-2:] for row in SYSTEM.split("\n")),
    "numbers as labels": "Tune\n\n"
    + "\n".join(
        f"{name:6}{row}"
        for name, row in zip(
            ("fifth", "fourth", "third", "second", "first"),
            ("|-2-------|", "|---2-----|", "|-----2---|", "|-------2-|", "|---------|"),
            strict=True,
        )
    ),
    "words before bars": "Tune\n\n"
    + "\n".join(
        f"{name:6}{row[1:]}"
        for name, row in zip(
            ("high", "next", "mid", "low", "drone"), SYSTEM.split("\n"), strict=True
        )
    ),
    "square brackets": "Tune\n\n[n] tied note\n\n" + SYSTEM.replace("0-", "[0]-", 1),
    "own peg": f"Tune\n\n{SYSTEM[:-4].replace('g|-------0-------0-', 'g|-------2-2-2---0-')}----",
    "measure numbers": f"Tune\n\n 1                  2\n{SYSTEM}\n",
    "numbers that go on": "Tune\n\n"
    + "\n".join(f"   [{n}]               [{n + 1}]\n{SYSTEM}\n" for n in (1, 3, 5)),
    "numbers of systems": "Tune\n\n" + "\n".join(f"{n}) G   D7\n{SYSTEM}\n" for n in (1, 2, 3)),
    "chords in brackets": f"Tune\n\n  [G]\n{SYSTEM}\n\n  [C]          [D7]\n{SYSTEM}\n",
    "chords of numbered measures": "Tune\n\n"
    + "\n".join(f"Bar {n} ({name})\n{SYSTEM}\n" for n, name in ((1, "G"), (2, "C"), (3, "Am"))),
    "rows cut short": f"Tune\n\n{SYSTEM}\n\nD|\nB|-0\nG|\nD|\ng|\n",
    "repeats at line ends": "Tune\n\n" + re.sub(r"\|$", "|:", SYSTEM, flags=re.MULTILINE),
    "triplet figures": f"Tune\n\n{' ' * 10}(3)\n{SYSTEM}",
    "numbers that are no endings": f"Tune\n\n  1 . . . 2 . . . 3 . . . 4 . . .\n{SYSTEM}",
    "broken measures": "Tune\n\n"
    + "\n".join(row[:28] for row in SYSTEM.split("\n"))
    + "\n\n"
    + "\n".join(row[28:] for row in SYSTEM.split("\n")),
    "fret behind the last bar": "Tune\n\n"
    + "\n".join(
        row + rest
        for row, rest in zip(SYSTEM.split("\n"), ("--0-", "----", "2", "----", "----"), strict=True)
    ),
    "exercises without ends": f"Tune\n\n1) Thumb\n{SYSTEM}\n\n2) Index\n{SYSTEM}\n",
    "dots for dashes": f"Tune\n\n{SYSTEM}\n\n" + re.sub(r"-\|$", ":|", SYSTEM, flags=re.MULTILINE),
    "ties of one fret": "Tune\n\n" + SYSTEM.replace("0-", "0=2", 1),
    "leads of systems": f"Tune\n\n{SYSTEM}\n\n" + re.sub(r"\|([-\dh]+)-(?=\|)", r"|-\1", SYSTEM),
    "blanks for the eye": "Tune\n\n" + re.sub(r"([-\d]{8})([-\d]{8})", r"\1 \2", SYSTEM),
    "own letters": f"Tune\n\nf = finger  t = thumb\n\n{SYSTEM}\n  f f t   f f f t f\n",
    "letters for ones": "Tune\n\n" + SYSTEM.replace("1", "2").replace("2", "l"),
    "own letters of note values": "Tune\n\no = eighth   c = quarter\n\n"
    f"{SYSTEM}\n  o o o   o o o o c\n",
    "letters for frets": "Tune\n\n"
    + "\n".join(f"{n}|{'-a---c---d-' if n == 'D' else '---a---b---'}|" for n in "DBGDg"),
    "ways of strokes": f"Tune\n\n{SYSTEM}\n  D D U   D U D U D\n",
    "own signs of places": f"Tune\n\n$ is where you come back to\n\n    $\n{SYSTEM}\n\nD.S.\n",
    "meter in rows": "Tune\n\n"
    + "\n".join(
        f"{row[:2]}{sign}|{row[2:]}"
        for row, sign in zip(SYSTEM.split("\n"), ("---", "-4-", "-4-", "---", "---"), strict=True)
    ),
}
EXAMPLES = {name: change(PLAIN) for name, change in AS_TYPED.items()} | OWN


def test_each_row_of_the_tables_has_a_name_and_a_sentence() -> None:
    for names in (
        [stage.name for stage in stages.STAGES],
        [habit.name for habit in stages.HABITS],
        *([name for name, _ in table] for table in (between.RULES, lines.UNDER, lines.AMONG)),
    ):
        assert len(names) == len(set(names)) > 4
    for habit in stages.HABITS:
        assert re.fullmatch(r"[A-Z].*[^.]\.", habit.recognises)
    assert {habit.at for habit in stages.HABITS} == set(At)


@pytest.mark.parametrize("name", [habit.name for habit in stages.HABITS])
def test_each_habit_is_needed(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """With its row, a habit reads as the plain tab and says what the row says; without, not."""
    text = EXAMPLES[name]
    tunes, problems = read(text)
    if name not in OWN:
        assert frets(tunes) == frets(read(PLAIN)[0])
        assert tunes[0].headings[0].text == "Gull Street"
    (habit,) = (habit for habit in stages.HABITS if habit.name == name)
    if habit.reports is not None and name not in ("mail coding", "markup"):  # these are sure
        assert habit.reports.code in {p.code for p in problems}
    monkeypatch.setattr(stages, "HABITS", without(name))
    assert read(text) != (tunes, problems)


def counted(monkeypatch: pytest.MonkeyPatch) -> Counter[str]:
    """How often each stage runs, and each rule that prepares a file."""
    calls: Counter[str] = Counter()

    def count(name: str, run: Callable[[ReadingState], None]) -> Callable[[ReadingState], None]:
        def counting(state: ReadingState) -> None:
            calls[name] += 1
            run(state)

        return counting

    habits = [
        replace(habit, rule=count(habit.name, habit.rule))
        if habit.at in (At.LINES, At.ROWS)
        else habit
        for habit in stages.HABITS
    ]
    walked = [replace(stage, run=count(stage.name, stage.run)) for stage in stages.STAGES]
    monkeypatch.setattr(stages, "HABITS", tuple(habits))
    monkeypatch.setattr(stages, "STAGES", tuple(walked))
    return calls


@pytest.mark.parametrize(
    ("text", "tunes", "read_chapters"),
    [
        (PLAIN, 1, 1),
        (f"{PLAIN}\n{PLAIN.replace('Gull', 'Quay')}", 2, 1),
        (f"{PLAIN}\nTitle: Quay Walk\nInstrument: tenor banjo\n\n{FOUR}\n\n{PLAIN}", 3, 3),
    ],
    ids=["one tune", "several tunes", "several instruments"],
)
def test_a_file_is_prepared_once(
    text: str, tunes: int, read_chapters: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    calls = counted(monkeypatch)
    assert len(rollstave.read(text)) == tunes
    once = {habit.name for habit in stages.HABITS if habit.at in (At.LINES, At.ROWS)}
    once |= {stage.name for stage in stages.STAGES if stage.of_file}
    assert {name: calls[name] for name in once} == dict.fromkeys(once, 1)
    assert {calls[s.name] for s in stages.STAGES if not s.of_file} == {read_chapters}
    # Nobody else prepares lines or rows behind the table's back.
    for module in (chapters, which):
        assert not {"split_lines", "as_row", "plain_row", "prepare"} & set(vars(module))


# A line under the head of a tune, and one behind its systems, that each rule takes.
TAKEN = {
    "heading of an exercise": "Tune\n\n1) Thumb\n{s}\n\n2) Index\n{s}\n",
    "value of a heading": "Tuning:\nas ever\n\n{s}\n",
    "ruler": "Tune\n*****\n\n{s}\n",
    "slurs over a system": "Tune\n\nH = hammer-on, P = pull-off\n\n     H\n{s}",
    "words over a system": "Tune\n\n   G       C\n{s}\n",
    "chords and words": "Tune\n\nAm      D7      let it ring\n{s}\n",
    "section with chords": "Tune\n\nVerse 1   (C)     (G7)\n{s}\n",
    "around the tab": "BEGIN TAB\nTune\n\n{s}\n\nEND TAB\n",
    "chart": "Tune\n\n| G  | Em | D7 | G  |\n\n{s}\n",  # Em may be a key
    "order of parts": "AABB\n\n{s}\n",
    "headings": "Key: G\n\n{s}\n",
    "title of a further tune": "Tune\n\n{s}\n\nQuay Walk\n---------\n\n{s}\n",
    "title once more": "Gull Street\n\n{s}\n\nGull Street\n\n{s}\n",
    "section played again": "Tune\n\nA part\n{s}\n\nA part again\n",
    "row twice": "Tune\n\n{s}\n\nPlay that row twice. Then stop.\n",
    "parts side by side": "Tune\n\nA part             B part\n{s}\n",
    "numbers of measures": "Tune\n\nMeasure 1:\n{s}\n\nMeasure 3:\n{s}\n\nMeasure 5:\n{s}\n",
    "measures as before": "Tune\n\n{s}\n\nBar 3 is the same as bar 1.\n",
    "ending in words": "Tune\n\n{s}\n\nThe first and third time:\n\n{s}\n",
    "ending before a gap": "Tune\n\n{s}\n\n1.\n\n{s}\n\n2.\n\n{s}\n",
    "coda with a name": "Tune\n\n{s}\n\n(+) the end:\n{s}\n",
    "ending told": "Tune\n\n{s}\n\nbeim ersten Mal:\n\n{s}\n",
    "section told": "Tune\n\n{s}\n\nHere follows the second strain.\n\n{s}\n",
    "section in a sentence": "Tune\n\n{s}\n\nNow the high part:\n\n{s}\n",
    "one of several parts": "Tune\n\nOars in\n\n{s}\n\nOars out (only once)\n\n{s}\n",
    "direction": "Tune\n\n{s}\n\nD.C. al Fine\n",
    "section": "Tune\n\nVersion 2\n\n{s}\n",
    "name between systems": (
        "Tune\n\n{s}\n\nSing it once before you play it.\n\nUp the neck\n\n"
        "The thumb frets the short string at 7, counted along the long neck, and once\n"
        "at 10. This strain is ten measures long.\n\n{s}\n"
    ),
    "title": "Gull Street\n\n{s}\n",
    "words and headings": "Title: Tune\nsomebody's notes.   Tuning: gDGBD\n\n{s}\n",
    "text": "Tune\n\n{s}\n\nPlay it softly, please.\n",
}


@pytest.mark.parametrize("name", [name for name, _ in between.RULES])
def test_each_rule_for_words_takes_its_line(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    took: list[str] = []

    def noted(name: str, rule: between.WordRule) -> between.WordRule:
        def noting(state: ReadingState, index: int) -> bool:
            taken = rule(state, index)
            took.extend([name] * taken)
            return taken

        return noting

    rules = tuple((other, noted(other, rule)) for other, rule in between.RULES)
    monkeypatch.setattr(between, "RULES", rules)
    text = TAKEN[name].format(s=SYSTEM)
    found = read(text)
    assert name in took
    monkeypatch.setattr(between, "RULES", tuple(row for row in rules if row[0] != name))
    assert read(text) != found


UNDER = {
    "section or heading": "{s}\nE\n",  # a section, and the letter of an eighth
    "letters with a remark behind": "{s}\n  T I M T I M T I   (lightly now)\n",
    "letters, counts and the like": "{s}\n  T I M T I M T I\n",
    "chords under a system": "{s}\n  G       C\n",
    "words over the next system": "{s}\n  G       C\n{s}\n",
    "lyrics": "{s}\n  Down    by the  ferry-land-ing\n",
}
AMONG = {
    "empty line": "\n\n".join(SYSTEM.split("\n")),
    "ruler": SYSTEM.replace("\nG", "\n* * *\nG"),
    "count with dashes": SYSTEM.replace("\nG", "\n 1 & 2 & 3 & 4 &\nG"),
    "remark": SYSTEM.replace("\nG", "\n(gently)\nG"),
    "extra row": SYSTEM.replace("\nG", "\n-------7h9--------\nG"),
}


@pytest.mark.parametrize("name", UNDER)
def test_each_rule_for_lines_under_a_system_is_needed(
    name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    text = "Tune\n\n" + UNDER[name].format(s=SYSTEM)
    found = read(text)
    monkeypatch.setattr(lines, "UNDER", tuple(row for row in lines.UNDER if row[0] != name))
    assert read(text) != found


@pytest.mark.parametrize("name", [name for name, _ in lines.AMONG])
def test_each_rule_for_lines_among_rows_is_needed(
    name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    text = f"Tune\n\n{AMONG[name]}\n"
    found = read(text)
    assert frets(found[0]) == frets(read(SYSTEM)[0])
    monkeypatch.setattr(lines, "AMONG", tuple(row for row in lines.AMONG if row[0] != name))
    assert read(text) != found
