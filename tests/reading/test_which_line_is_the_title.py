"""Which of the lines over a tab is its title, and which are none.

Common practice, no source: what typists and their programs set over a tab. All names are invented.
"""

from __future__ import annotations

import pytest

import rollstave
from rollstave.reading.words.titles import leads_elsewhere

ROWS = """\
|0-------2-------|0-------2-------|
|----1-------0---|----1-------0---|
|--0-------0-----|--0-------0-----|
|----------------|----------------|
|------0-------0-|------0-------0-|
"""


def _title(head: str) -> str:
    (tune,) = rollstave.read(f"{head}\n\n{ROWS}", name="a file")
    return tune.score.title


@pytest.mark.parametrize(
    ("sender", "to", "date", "subject"),
    [
        ("Von", "An", "Gesendet", "Betreff"),
        ("De ", "À ", "Envoyé ", "Objet "),
        ("De", "Para", "Fecha", "Asunto"),
        ("Van", "Aan", "Datum", "Onderwerp"),
        ("Från", "Till", "Datum", "Ämne"),
    ],
)
def test_the_subject_of_a_mail_in_another_language(
    sender: str, to: str, date: str, subject: str
) -> None:
    head = (
        f"{sender}: Orla Quist\n{to}: the table\n{date}: 4.5.2006\n{subject}: Reed Gate\n\nHello!"
    )
    assert _title(head) == "Reed Gate"


def test_a_list_that_begins_like_the_head_of_a_mail_is_none() -> None:
    tune = rollstave.read(f"Reed Gate\n\nDo: slowly\nData: none\n\n{ROWS}")[0]
    assert [note for note in tune.score.notes if "slowly" in note]


@pytest.mark.parametrize(
    "line",
    [
        "Home | Lessons | Tabs | Guestbook",
        "Home > Tabs > Banjo",
        "[back] [index] [next]",
        "Home   Tabs   Links",
        "Startseite | Noten | Kontakt",
    ],
)
def test_words_that_lead_to_other_pages_are_no_title(line: str) -> None:
    assert leads_elsewhere(line)
    assert _title(f"{line}\n\nReed Gate") == "Reed Gate"


@pytest.mark.parametrize(
    "name", ["The Long Way Home", "Back Up and Turn", "Home, Sweet Ferry", "Reed Gate - banjo tab"]
)
def test_names_with_such_words_are_titles(name: str) -> None:
    assert not leads_elsewhere(name)
    assert _title(name).startswith(name.split(" - ")[0])


def test_a_name_in_small_letters_before_a_tuning() -> None:
    (tune,) = rollstave.read(f"lantern by the weir  C tuning gCGBD\n\n{ROWS}", name="a file")
    assert tune.score.title == "lantern by the weir"
    assert tune.score.setup.tuning.written == "gCGBD"


def test_two_of_a_name_are_told_apart() -> None:
    text = f"Reed Gate, plain version\n\n{ROWS}\n\nReed Gate, fancy version\n(gDGBD)\n\n{ROWS}"
    first, second = rollstave.read(text)
    assert first.score.title == "Reed Gate, plain version"
    assert second.score.title == "Reed Gate, fancy version"
    loud = [p for t in (first, second) for p in t.problems if p.code == "title-line"]
    assert all(p.severity is rollstave.Severity.NOTICE for p in loud)


def test_one_of_a_name_keeps_what_is_behind_it_as_a_remark() -> None:
    (tune,) = rollstave.read(f"Reed Gate, plain version\n\n{ROWS}")
    assert tune.score.title == "Reed Gate"


@pytest.mark.parametrize(
    "over",
    [
        "Larkspur Ferry Music School\n12 Quay Street",
        "orla@ferry.example",
        "learnt at the Larkspur Ferry weekend",
        "Home > Tabs",
    ],
)
def test_what_is_much_less_like_a_name_is_no_title(over: str) -> None:
    assert _title(f"{over}\n\nThe Ferryman's Lamp\nTuning: gDGBD") == "The Ferryman's Lamp"


def test_the_end_of_a_way_through_pages_is_the_title() -> None:
    assert _title("Home > Tabs > The Ferryman's Lamp") == "The Ferryman's Lamp"


@pytest.mark.parametrize(
    ("over", "severity"),
    [("Orla Quist", rollstave.Severity.WARNING), ("For Nettie", rollstave.Severity.NOTICE)],
)
def test_two_lines_of_which_either_may_be_the_title_are_said(
    over: str, severity: rollstave.Severity
) -> None:
    """A person may be a tune's name; what begins with For hardly is, and the model is surer."""
    (tune,) = rollstave.read(f"{over}\n\nThe Ferryman's Lamp\n\n{ROWS}")
    said = [p for p in tune.problems if p.code == "title-line"]
    assert [p.severity for p in said] == [severity]
    assert "The Ferryman's Lamp" in said[0].message


@pytest.mark.parametrize("under", ["Orla Quist", "for the Wednesday table", "Slowly, with love"])
def test_a_title_over_a_name_or_a_remark_is_not_doubted(under: str) -> None:
    (tune,) = rollstave.read(f"The Ferryman's Lamp\n\n{under}\n\n{ROWS}")
    assert tune.score.title == "The Ferryman's Lamp"
    assert not [p for p in tune.problems if p.severity is rollstave.Severity.WARNING]


SYSTEM = """\
D|-0---2---0---2---|
B|-----------------|
G|-----------------|
D|-----------------|
g|-----------------|
"""


def asked(text: str) -> list[str]:
    """The codes of all that is asked or doubted; the title is the first line's."""
    (tune,) = rollstave.read(text)
    return [p.code for p in tune.problems if p.severity is rollstave.Severity.WARNING]


def test_what_stands_at_the_other_margin_is_no_title() -> None:
    head = "Tar Barrel Promenade               Larkspur Ferry Banjo, Sheet 3"
    (tune,) = rollstave.read(f"{head}\nTuning gDGBD, 4/4\n\n{SYSTEM}")
    assert tune.score.title == "Tar Barrel Promenade"
    assert tune.score.notes == ("Larkspur Ferry Banjo", "Sheet 3")


@pytest.mark.parametrize(
    "title", ["eels in the rain barrel", "The Heron Landed Lightly", "The School Bell"]
)
def test_a_name_is_not_doubted_for_its_words(title: str) -> None:
    assert asked(f"{title}\nTuning gDGBD, 4/4\n\n{SYSTEM}") == []


def test_a_legend_in_capitals_under_the_tab_is_no_tune() -> None:
    assert asked(f"Title: Tar Barrel\nTime: 4/4\n\n{SYSTEM}\nH = HAMMER ON, P = PULL OFF\n") == []
