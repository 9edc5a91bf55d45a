"""Facts that typists say among other words: what is behind a title, in a sentence, in prose.

All of it is common practice of typists, no source; the names are invented.
"""

from __future__ import annotations

import pytest

import rollstave

TAB = """
 |-0---2---0---2---|-0---2---0---2---|
 |-----------------|-----------------|
 |-----------------|-----------------|
 |-----------------|-----------------|
 |---0---0---0---0-|---0---0---0---0-|
"""


def read(head: str, tab: str = TAB) -> rollstave.Tune:
    (tune,) = rollstave.read(head + "\n" + tab)
    return tune


def said(tune: rollstave.Tune) -> dict[str, object]:
    """What a tune's headings say."""
    score = tune.score
    found: dict[str, object] = {h.key: h.text for h in tune.grid.headings}
    found |= {"title": score.title, "tuning": score.setup.tuning.written}
    for key, value in (("time", score.meter), ("key", score.key)):
        if key in found:
            found[key] = str(value)
    if score.setup.capo:
        found["capo"] = score.setup.capo
    return found


# A line of headings, and what it says.
LINES: tuple[tuple[str, dict[str, object]], ...] = (
    ("Tuning: gCGCD. I play it slow.", {"tuning": "gCGCD"}),
    ("tuning gCGCD, 4/4. I play it slow.", {"tuning": "gCGCD", "time": "4/4"}),
    ("Tuned in sawmill: g D G C D. 3/4.", {"tuning": "gDGCD", "time": "3/4"}),
    ("Tuning: gDGCD (sawmill)    6/8", {"tuning": "gDGCD", "time": "6/8"}),
    ("Key of G, C tuning", {"tuning": "gCGBD", "key": "G major"}),
    ("Key of D. Double C. 2/4", {"key": "D major", "time": "2/4"}),
    ("gDGCD // cut time // play it low", {"tuning": "gDGCD", "time": "2/2"}),
    ("Time: 3/4. Lilt it!", {"time": "3/4"}),
)


@pytest.mark.parametrize(("line", "meant"), LINES, ids=[line for line, _ in LINES])
def test_a_heading_ends_with_its_sentence(line: str, meant: dict[str, object]) -> None:
    tune = read(f"Nettle Hill\n{line}")
    found = said(tune)
    assert {key: found.get(key) for key in meant} == meant
    assert found["title"] == "Nettle Hill"
    assert not [p for p in tune.problems if p.severity is rollstave.Severity.WARNING]


# A line that begins with a title, and what else it says.
TITLES: tuple[tuple[str, str, dict[str, object]], ...] = (
    ("Nettle Hill. Sawmill tuning, 4/4, not fast", "Nettle Hill", {"tuning": "gDGCD"}),
    ("Nettle Hill ..... C tuning, 3/4", "Nettle Hill", {"tuning": "gCGBD", "time": "3/4"}),
    ("Nettle Hill  -  tuning C (g C G B D)  -  time 3/4", "Nettle Hill", {"time": "3/4"}),
    ("St. Orrin's Gate. Key of D. 2/4.", "St. Orrin's Gate", {"key": "D major", "time": "2/4"}),
    ("Mr. Quay's Hat", "Mr. Quay's Hat", {}),
    ("Wake Up... Wilmot", "Wake Up... Wilmot", {}),
)


@pytest.mark.parametrize(("line", "title", "meant"), TITLES, ids=[line for line, _, _ in TITLES])
def test_what_follows_a_title(line: str, title: str, meant: dict[str, object]) -> None:
    found = said(read(line))
    assert found["title"] == title
    assert {key: found.get(key) for key in meant} == meant


# Words under a title that are no heading, and what they say.
PROSE: tuple[tuple[str, dict[str, object]], ...] = (
    ("I play it with four beats to the bar.", {"time": "4/4"}),
    ("It has three quarter notes in a measure, as I said.", {"time": "3/4"}),
    ("Please mind: every measure has 3 beats here.", {"time": "3/4"}),
    ("Four to the bar, said my uncle.", {"time": "4/4"}),
    ("You strum four in a bar all through.", {"time": "4/4"}),
    ("You count three\nin a bar here.", {"time": "3/4"}),
    ("D = down, U = up, four beats a bar", {"time": "4/4"}),
    ("You count 1 2 3 4 in every bar", {"time": "4/4"}),
    ("we count it 1-2-3 in each measure, slowly", {"time": "3/4"}),
    ("My class plays this in 3/4 and not too fast.", {"time": "3/4", "pace": "not too fast"}),
    ("I think of it in cut time, mostly.", {"time": "2/2"}),
    ("My uncle had it in waltz time", {"time": "3/4"}),
    ("We all put the capo on\nthe third fret for this.", {"capo": 3}),
    ("My teacher said it was in the key of D, I think.", {"key": "D major"}),
    ("The old ones played it at 96 beats a minute or so.", {"tempo": "96"}),
)


@pytest.mark.parametrize(("words", "meant"), PROSE, ids=[words for words, _ in PROSE])
def test_a_fact_in_a_sentence(words: str, meant: dict[str, object]) -> None:
    tune = read(f"Nettle Hill\n\nHe told me this.\n{words}\n")
    found = said(tune)
    assert {key: found.get(key) for key in meant} == meant
    told = [p for p in tune.problems if p.code == "in-words"]
    assert {(p.severity, p.place.line) for p in told if p.place} == {(rollstave.Severity.NOTICE, 4)}
    assert not [p for p in tune.problems if p.code == "meter-assumed"] or "time" not in meant


# What speaks of one measure, of a part or of a condition is no fact of the tune.
NO_FACTS = (
    "One bar of 2/4 stands before the end.",
    "Bar three of the A has six beats and the last bar has only two.",
    "Put a capo on 2 if you play along with others.",
    "Practise it at 3/4 speed before you play it out.",
    "I learned it on 3/4/2009 from a neighbour.",
    "There are four measures in a line, it was fine when I typed it.",
    "My banjo is 3/4 size and I like it so.",
)


@pytest.mark.parametrize("words", NO_FACTS)
def test_what_is_no_fact_of_the_tune(words: str) -> None:
    tune = read(f"Nettle Hill\n\nHe told me this.\n{words}\n")
    assert not [p for p in tune.problems if p.code == "in-words"]
    assert {h.key for h in tune.grid.headings} == {"title"}


def test_words_that_name_two_things_are_asked_about() -> None:
    tune = read("Nettle Hill\n\nSome play this in 3/4 time and some in 4/4 time, I find.\n")
    (told,) = [p for p in tune.problems if p.code == "in-words"]
    assert told.severity is rollstave.Severity.WARNING
    assert "3/4" in told.message
    assert "4/4" in told.message
    assert not any(h.key == "time" for h in tune.grid.headings)


def test_a_heading_counts_more_than_words() -> None:
    tune = read("Nettle Hill\nTime: 4/4\n\nMy uncle had it in 3/4, he told me this.\n")
    assert str(tune.score.meter) == "4/4"
    # But the words may be the ones that are right: that they differ is never silent.
    (doubt,) = [p for p in tune.problems if p.code == "in-words"]
    assert doubt.severity is rollstave.Severity.WARNING
    assert doubt.place is not None
    assert doubt.place.line == 4


# Sentences that name the tune, and its name.
NAMING = (
    ("This one is called Nettle Hill and it goes in sawmill tuning, gDGCD.", "Nettle Hill"),
    ("I have a tune here that is called “Rope and Anchor” by my neighbours.", "Rope and Anchor"),
    ('found this in an old box.. "Mudflat" double C.. the end is torn off', "Mudflat"),
    ("hey, here's the start of NETTLE ON THE HILL for you, as I have it.", "NETTLE ON THE HILL"),
    ("Oh, and the other one you wanted, Marigold Stile. It is easy.", "Marigold Stile"),
    ("Here it is, Ferry at Dawn, out of my old notebook as I promised.", "Ferry at Dawn"),
)


@pytest.mark.parametrize(("words", "title"), NAMING, ids=[title for _, title in NAMING])
def test_a_sentence_names_the_tune(words: str, title: str) -> None:
    tune = read(words)
    assert tune.score.title == title
    (told,) = [p for p in tune.problems if p.code == "in-words"]
    assert title in told.message


def test_a_sentence_under_the_tab_names_the_tune() -> None:
    (tune,) = rollstave.read(TAB + "\nThat was NETTLE HILL, key of G. Eight bars of 4/4, you know.")
    assert tune.score.title == "NETTLE HILL"
    assert str(tune.score.meter) == "4/4"


def test_a_title_of_its_own_line_is_not_questioned() -> None:
    tune = read("Nettle Hill\n\nHe told me it was called Rope and Anchor before the war.\n")
    assert tune.score.title == "Nettle Hill"


# The line of a title in all dresses, its title, and what else it says.
DRESSES: tuple[tuple[str, str, dict[str, object]], ...] = (
    ("TAB - Nettle Hill", "Nettle Hill", {}),
    ("Tab: Nettle Hill", "Nettle Hill", {}),
    ("Title: Nettle Hill", "Nettle Hill", {}),
    ("**Title:** Nettle Hill", "Nettle Hill", {}),
    ("3. Nettle Hill", "Nettle Hill", {}),
    ("2) Nettle Hill", "Nettle Hill", {}),
    ("No. 7 Nettle Hill", "Nettle Hill", {}),
    ("No. 7: Nettle Hill", "Nettle Hill", {}),
    ("7 Geese on a Gate", "7 Geese on a Gate", {}),
    (">>>  Nettle Hill  <<<", "Nettle Hill", {}),
    ("N E T T L E   H I L L", "NETTLE HILL", {}),
    ('SONG: "Row, Wilmot"        banjo, sawmill, 6/8', "Row, Wilmot", {"time": "6/8"}),
    ('Banjo part for "Nettle Hill" - 3/4', "Nettle Hill", {"time": "3/4"}),
    ("Nettle Hill    banjo   2/4   strummed", "Nettle Hill", {"time": "2/4"}),
    ("Nettle Hill, a slip jig (9/8), tuned gDGCD", "Nettle Hill", {"tuning": "gDGCD"}),
    ("Nettle Hill - solo banjo, C tuning", "Nettle Hill", {"tuning": "gCGBD"}),
    ("Banjo on the Hill", "Banjo on the Hill", {}),
    ("5-string banjo (gDGCD), slow\nNETTLE HILL", "NETTLE HILL", {"tuning": "gDGCD"}),
    ('Banjo with a skin head, as it ought to be!\n"Nettle Hill" -- slow', "Nettle Hill", {}),
    ("Nettle Hill\n**Time:** 3/4", "Nettle Hill", {"time": "3/4"}),
    ("Nettle Hill\n**Tuning**: gDGCD", "Nettle Hill", {"tuning": "gDGCD"}),
)


@pytest.mark.parametrize(("head", "title", "meant"), DRESSES, ids=[head for head, _, _ in DRESSES])
def test_titles_in_all_dresses(head: str, title: str, meant: dict[str, object]) -> None:
    found = said(read(head))
    assert found["title"] == title
    assert {key: found.get(key) for key in meant} == meant


def test_a_packet_has_a_title_of_its_own() -> None:
    tunes = rollstave.read(
        f"Three easy tunes\n================\n\n1) Nettle Hill\n{TAB}\n2) Quay Bell\n{TAB}\n"
        f"3) Mudflat\nTuning: gDGCD\n{TAB}"
    )
    assert [t.score.title for t in tunes] == ["Nettle Hill", "Quay Bell", "Mudflat"]


def test_headings_at_the_end_of_a_file() -> None:
    tab = "\n".join(line.strip() for line in TAB.splitlines())
    for end in (
        "Nettle Hill\nTuning: gDGCD\nTime: 3/4",
        "That was NETTLE HILL, sawmill tuning, 3/4.",
    ):
        (tune,) = rollstave.read(f"{tab}\n\n{end}\n")
        assert tune.score.title.casefold() == "nettle hill"
        assert str(tune.score.meter) == "3/4"
        assert tune.score.setup.tuning.written == "gDGCD"
        assert "no-measures" not in [p.code for p in tune.problems]


def test_a_tempo_that_is_about_right_and_a_minor_key() -> None:
    found = said(read("Nettle Hill, 4/4, ca. 96"))
    assert found["tempo"] == "96"
    found = said(read("Nettle Hill - gDGCD, 4/4, Gm"))
    assert found["key"] == "G minor"


@pytest.mark.parametrize(
    "head",
    [
        "To: the class\nDate: 1 May",
    ],
)
def test_no_date_of_a_mail_is_a_title(head: str) -> None:
    tune = read(f"{head}\n\nHere it is, Pickerel Weir, out of my old notebook. Play it slow.\n")
    assert tune.score.title == "Pickerel Weir"


# A head whose title or other heading has the time in it, its title, and the time.
TIMES_IN_HEADINGS = (
    ("Title: Nettle Hill  (6/8 time)", "Nettle Hill", "6/8"),
    ("Tune: Nettle Hill [jig, 6/8]", "Nettle Hill", "6/8"),
    ("Title: Nettle Hill - cut time", "Nettle Hill", "2/2"),
    ("Title: Nettle Hill\nBanjo tuning: gDGBD.  Time: 3/4.", "Nettle Hill", "3/4"),
    ("Title: Nettle Hill\nTime: cut (2/2)", "Nettle Hill", "2/2"),
    ("Title: Nettle Hill\nMeter: waltz time.", "Nettle Hill", "3/4"),
    ("Title: Nettle Hill\nTime: a jig, 6/8", "Nettle Hill", "6/8"),
    ("Title: Nettle Hill\nStyle: clawhammer 3/4 waltz", "Nettle Hill", "3/4"),
    ("Title: Nettle Hill (6/8)\nTime: 3/4", "Nettle Hill (6/8)", "3/4"),
    ("Title: Nettle Hill (old way)\nTime: 3/4", "Nettle Hill (old way)", "3/4"),
)


@pytest.mark.parametrize(("head", "title", "time"), TIMES_IN_HEADINGS)
def test_a_time_within_a_heading(head: str, title: str, time: str) -> None:
    found = said(read(head))
    assert (found["title"], found["time"]) == (title, time)


def test_figures_of_a_title_are_no_time() -> None:
    assert "time" not in said(read("Title: The 3/4 Mile Road"))


@pytest.mark.parametrize(
    ("words", "code"),
    [
        ("I play it in waltz time here.", "in-words"),
        ("Put the banjo in sawmill for this.", "in-words"),
        ("Count 1 2 3 4 5 6 in every bar.", ""),  # three beats counted by halves
        ("It is not in 3/4.", ""),
        ("It goes in 4/4 and in open G.", ""),
    ],
)
def test_words_against_a_heading_are_doubted(words: str, code: str) -> None:
    (tune,) = rollstave.read(f"Ferry Bell\nTuning: gDGBD\nTime: 4/4\n\n{words}\n\n{DOUBTED}")
    assert str(tune.score.meter) == "4/4"
    assert tune.score.setup.tuning.written == "gDGBD"
    codes = {p.code for p in tune.problems if p.severity is rollstave.Severity.WARNING}
    assert codes == ({code} if code else set())


DOUBTED = """\
D|----0-------0---|----2-------2---|
B|--0-------0-----|--1-------1-----|
G|0-------0-------|0-------2-------|
D|----------------|----------------|
g|------0-------0-|------0-------0-|
"""


@pytest.mark.parametrize(
    ("words", "tuning"),
    # From open G, gDGBD, the string that is named goes where it is said to go.
    [
        ("Tune the fourth string down to C.", "gCGBD"),
        ("Drop the 4th string to C.", "gCGBD"),
        ("Raise the second string to C.", "gDGCD"),
    ],
)
def test_strings_that_are_moved_make_a_tuning(words: str, tuning: str) -> None:
    tune = read(f"Title: Gull Street\n\n{words}\n")
    assert tune.score.setup.tuning.written == tuning
    assert tune.grid.notes[0].text == words


@pytest.mark.parametrize(("key", "asked"), [("G", False), ("D", True), ("C", True)])
def test_nobody_is_asked_whether_words_say_what_the_notes_say(key: str, asked: bool) -> None:
    """The notes are those of open G, so the tune is in G whatever the words may mean."""
    words = f"Played in {key} at the dance"
    (tune,) = rollstave.read(f"Nettle Hill\nTime: 4/4\nTuning: gDGBD\n\n{words}\n\n{DOUBTED}")
    assert str(tune.score.key) == "G major"
    said = [p for p in tune.problems if p.code == "in-words"]
    assert [key in p.message for p in said] == ([True] if asked else [])
