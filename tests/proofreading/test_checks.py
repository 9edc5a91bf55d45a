"""What proofreading finds, and where it keeps silent.

Each fault is planted by hand in a clean tune, so that its place is known; that the faults are
faults is common practice (a hammer-on rises, a pull-off falls, string 5 has no frets 1 to 5,
repeats come in pairs), no source.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

import rollstave
from rollstave.cli.main import main
from rollstave.proofreading import (
    Correction,
    proofread,
    row_evidence,
    slip_evidence,
    tuning_evidence,
)
from rollstave.proofreading.links import wrong_links
from rollstave.proofreading.weights import weights_of
from tests.tunes import SAMPLES

CLEAN = """\
Title: Gull Street
Tuning: open G
Key: G
Time: 4/4

   G                 C                 G                 D7
D|-----0-------0---|-----2-------2---|-----0-------0---|-----4-------4---|
B|---0-------0-----|---1-------1-----|---0-------0-----|---1-------1-----|
G|-0-------2-----0-|-0-------0-----0-|-0-------2-----0-|-2-------2-----2-|
D|-----------------|-----------------|-----------------|-----------------|
g|-------0-------0-|-------0-------0-|-------0-------0-|-------0-------0-|

   G                 C                 D7                G
D|-----0-------0---|-----2-------2---|-----4-------4---|-----0-------0---||
B|---0-------0-----|---1-------1-----|---1-------1-----|---0-------0-----||
G|-0-------2-----0-|-0-------2p0-----|-2-------2-----2-|-0-------2-----0-||
D|-----------------|-----------------|-----------------|-----------------||
g|-------0-------0-|-------0-------0-|-------0-------0-|-------0-------0-||
"""


def marks(text: str) -> tuple[Correction, ...]:
    (tune,) = rollstave.read(text)
    return proofread(tune)


def planted(old: str, new: str) -> str:
    assert CLEAN.count(old) >= 1
    return CLEAN.replace(old, new, 1)


def test_a_clean_tune_has_nothing_to_mend() -> None:
    assert marks(CLEAN) == ()


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_silence_on_the_samples(path: Path) -> None:
    (tune,) = rollstave.read(path)
    assert proofread(tune) == ()


FAULTS = {
    "pull-off that rises": (planted("2p0", "2p4"), "link", 16, 32),
    "hammer-on that falls": (planted("2p0", "2h0"), "link", 16, 32),
    "wrong fret": (
        planted("G|-0-------2-----0-|-0-------0-----0-|", "G|-0-------1-----0-|-0-------0-----0-|"),
        "slip",
        9,
        12,
    ),
    "wrong string": (
        planted("B|---0-------0-----|---1", "B|-----------0-----|---1").replace(
            "G|-0-------2-----0-|-0-------0-----0-|", "G|-0-0-----2-----0-|-0-------0-----0-|", 1
        ),
        "slip",
        9,
        6,
    ),
    "lost dash": (planted("B|---0-------0-----|---1", "B|--0-------0-----|---1"), None, 8, None),
    "lost bar in one row": (
        planted("B|---0-------0-----|---1", "B|---0-------0---------1"),
        "bars-differ",
        8,
        None,
    ),
    "wrong chord name": (
        planted("G                 C ", "G                 F#"),
        "chord",
        6,
        22,
    ),
    "repeat never closed": (planted("D|-----0", "D|:----0"), "repeat", 7, None),
    "stretch": (
        planted("D|-----0-------0---|-----2", "D|---9-0-------0---|-----2").replace(
            "B|---0-------0-----|---1", "B|---2-------0-----|---1", 1
        ),
        "stretch",
        7,
        6,
    ),
}


@pytest.mark.parametrize("name", FAULTS)
def test_a_planted_fault_is_marked_in_its_place(name: str) -> None:
    text, code, line, column = FAULTS[name]
    assert text != CLEAN
    found = marks(text)
    assert any(
        (code is None or m.code == code)
        and m.place.line == line
        and (column is None or m.place.column == column)
        for m in found
    ), found


def test_the_mend_of_a_slip_is_what_stood_there() -> None:
    text, _, _, _ = FAULTS["wrong fret"]
    (slip,) = [m for m in marks(text) if m.code == "slip"]
    assert slip.mend == "2"


def test_a_bar_lost_in_all_rows() -> None:
    """The bar between the first two measures is a dash in every row."""
    lines = CLEAN.split("\n")
    for index in range(6, 11):
        lines[index] = lines[index][:19] + "-" + lines[index][20:]
    assert any(m.code in ("long", "length") for m in marks("\n".join(lines)))


def test_exchanged_rows() -> None:
    lines = CLEAN.split("\n")
    a, b = lines[13], lines[14]
    lines[13], lines[14] = a[:1] + b[1:], b[:1] + a[1:]
    found = marks("\n".join(lines))
    assert any(m.code == "rows-exchanged" and m.place.line == 14 for m in found), found


def test_a_wrong_tuning_is_questioned() -> None:
    """The C-tuned tune of the samples, declared and labelled as open D (f#DF#AD)."""
    text = SAMPLES[2].read_text(encoding="utf-8")
    assert "Tuning: gCGBD" in text
    text = text.replace("Tuning: gCGBD", "Tuning: f#DF#AD")
    for old, new in (("B|", "A|"), ("G|", "F#|"), ("C|", "D|"), ("g|", "f#|")):
        text = text.replace("\n" + old, "\n" + new)
    (tune,) = rollstave.read(text)
    assert any(m.code in ("tuning", "chord") for m in proofread(tune))


def test_endings_without_a_repeat() -> None:
    text = CLEAN.replace(
        "\n   G                 C                 D7                G\n",
        "\n   1.                                                    2.\n",
    )
    (tune,) = rollstave.read(text)
    assert "leading-back" in {p.code for p in tune.problems}  # and so there is nothing to mend


@pytest.mark.parametrize(
    ("jump", "missing"),
    [
        ("D.S. al Fine", "segno"),
        ("D.C. al Fine", "Fine"),
        ("D.C. al Coda", "coda"),
        ("D.S.", "segno"),
    ],
)
def test_a_jump_that_leads_nowhere(jump: str, missing: str) -> None:
    (mark,) = marks(f"{CLEAN}\n{jump}\n")
    assert (mark.code, mark.place.line) == ("jump", 14)
    assert missing in mark.message


def test_a_jump_that_leads_somewhere() -> None:
    lines = CLEAN.rstrip("\n").split("\n")
    assert marks("\n".join([*lines[:12], "Fine", "", *lines[12:], "", "D.C. al Fine", ""])) == ()


def test_the_weights_have_a_number_for_every_feature() -> None:
    for check, names in (
        ("slips", slip_evidence.NAMES),
        ("rows", row_evidence.NAMES),
        ("tuning", tuning_evidence.NAMES),
    ):
        assert len(weights_of(check, names).values) == len(names) == len(set(names))


# The command ---------------------------------------------------------------------------------


def run(*arguments: str) -> Result:
    return CliRunner().invoke(main, ["check", *arguments])


def test_exit_codes_and_caret(tmp_path: Path) -> None:
    path = tmp_path / "gull.txt"
    path.write_text(CLEAN, encoding="utf-8")
    assert run(str(path)).exit_code == 0
    path.write_text(FAULTS["hammer-on that falls"][0], encoding="utf-8")
    result = run(str(path))
    assert result.exit_code == 1
    lines = result.output.split("\n")
    at = next(i for i, line in enumerate(lines) if line.startswith(f"{path}:16:32: "))
    assert lines[at + 1].strip().startswith("G|")
    assert lines[at + 1][lines[at + 2].index("^")] == "0"
    assert lines[at + 3].strip() == "mend: 2p0"
    path.write_text("The ferry leaves at nine.\n", encoding="utf-8")
    assert run(str(path)).exit_code == 2
    assert run(str(tmp_path / "none.txt")).exit_code == 2


def test_json_keeps_its_keys_and_has_the_marks(tmp_path: Path) -> None:
    path = tmp_path / "gull.txt"
    path.write_text(FAULTS["hammer-on that falls"][0], encoding="utf-8")
    result = run(str(path), "--json")
    assert result.exit_code == 1
    report = json.loads(result.stdout)
    assert len(report["measures"]) == 8
    (link,) = [p for p in report["problems"] if p["code"] == "link"]
    assert (link["line"], link["column"], link["mend"]) == (16, 32, "2p0")
    assert report["to_mend"] == 1


def test_several_files_have_the_worst_exit_code_and_a_list(tmp_path: Path) -> None:
    """1 for something to mend, 2 for a file that cannot be read, whatever the others are."""
    texts = {
        "clean": CLEAN,
        "fault": FAULTS["hammer-on that falls"][0],
        "letter": "The ferry leaves at nine.\n",
    }
    paths = {}
    for name, text in texts.items():
        paths[name] = str(tmp_path / f"{name}.txt")
        Path(paths[name]).write_text(text, encoding="utf-8")
    assert run(paths["clean"], paths["fault"]).exit_code == 1
    assert run(paths["letter"], paths["clean"]).exit_code == 2
    result = run(*paths.values(), "--json")
    assert result.exit_code == 2
    clean, fault, letter = json.loads(result.stdout)
    assert [r["file"] for r in (clean, fault, letter)] == list(paths.values())
    assert (clean["to_mend"], fault["to_mend"]) == (0, 1)
    (problem,) = letter["problems"]
    assert (problem["severity"], problem["line"], problem["column"]) == ("error", 1, 1)


def test_standard_input(tmp_path: Path) -> None:
    result = CliRunner().invoke(main, ["check", "-"], input=FAULTS["hammer-on that falls"][0])
    assert result.exit_code == 1
    assert "standard input:16:32: this hammer-on" in result.output


def test_the_caret_stands_under_its_character_where_rows_begin_with_a_tab(tmp_path: Path) -> None:
    path = tmp_path / "gull.txt"
    text = FAULTS["hammer-on that falls"][0]
    path.write_text(text.replace("\nG|", "\n\tG|"), encoding="utf-8")
    lines = run(str(path)).output.split("\n")
    at = next(i for i, line in enumerate(lines) if line.startswith(f"{path}:16:33: "))
    row, caret = lines[at + 1], lines[at + 2]
    assert row.index("\t") == caret.index("\t")
    assert row[caret.index("^")] == "0"


def test_an_error_has_its_line_and_a_caret(tmp_path: Path) -> None:
    path = tmp_path / "gull.txt"
    path.write_text(CLEAN.replace("g|-------0", "g|-------3", 1), encoding="utf-8")
    result = run(str(path))
    assert result.exit_code == 2
    lines = result.output.split("\n")
    at = next(i for i, line in enumerate(lines) if line.startswith(f"{path}:11:10: error: "))
    assert lines[at + 1][lines[at + 2].index("^")] == "3"


def test_a_musicxml_file_is_checked_by_the_lines_of_its_notes(tmp_path: Path) -> None:
    (tune,) = rollstave.read(FAULTS["hammer-on that falls"][0])
    path = tmp_path / "gull.musicxml"
    xml = rollstave.write(tune, "musicxml")[0].decode()
    xml = xml.replace(
        '<measure number="3">',
        '<measure number="3"><attributes><measure-style><measure-repeat type="start">1'
        "</measure-repeat></measure-style></attributes>",
    )
    path.write_text(xml, encoding="utf-8")
    result = run(str(path))
    assert result.exit_code == 1
    lines = result.output.split("\n")
    at = next(i for i, line in enumerate(lines) if "hammer-on" in line)
    assert lines[at + 1].strip() == "<note>"
    assert any("measure 3: signs that repeat a measure" in line for line in lines)


def test_a_slide_from_an_open_string_is_marked() -> None:
    """No finger is there that could slide: a fact of the instrument."""
    rows = "D|-0-/2---0---2---|\n" + "".join(f"{n}|{'-' * 17}|\n" for n in "BGDg")
    (tune,) = rollstave.read(f"Title: Weir\nTuning: gDGBD\nTime: 4/4\n\n{rows}")
    (found,) = wrong_links(tune)
    assert (found.place.line, found.mend) == (5, "0h2")


# Chords of the trade, broken over the strings (common practice, no source): C and G on the guitar
# as 032010 and 320003, on the mandolin as 0230 and 0023, low string first.
OTHERS = {
    "guitar": """\
Tuning: EADGBE
Time: 4/4

   C                 G                 C                 G
e|-----0-------0---|-----3-------3---|-----0-------0---|-----3-------3---|
B|---1-------1-----|---0-------0-----|---1-------1-----|---0-------0-----|
G|-0-------0-------|-0-------0-------|-0-------0-------|-0-------0-------|
D|-------2-------2-|-------0-------0-|-------2-------2-|-------0-------0-|
A|-----------------|-----------------|-----------------|-----------------|
E|-----------------|-----------------|-----------------|-----------------|
""",
    "mandolin": """\
Instrument: mandolin
Time: 4/4

   C                 G                 C                 G
E|-----0-------0---|-----3-------3---|-----0-------0---|-----3-------3---|
A|---3-------3-----|---2-------2-----|---3-------3-----|---2-------2-----|
D|-2-------2-------|-0-------0-------|-2-------2-------|-0-------0-------|
G|-------0-------0-|-------0-------0-|-------0-------0-|-------0-------0-|
""",
}


@pytest.mark.parametrize("instrument", OTHERS)
def test_chords_are_looked_at_on_instruments_without_a_short_string(instrument: str) -> None:
    text = f"Title: Gull Street\n{OTHERS[instrument]}"
    assert marks(text) == ()
    (one,) = marks(text.replace(" C   ", " F#m ", 1))
    assert (one.kind.code, one.place.column, one.mend) == ("chord", 4, "C")
