"""Tabs in the files of word processors, PDFs, saved pages and mail: the same music as the text."""

from __future__ import annotations

import io
import json
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

import rollstave
from rollstave.assembly import documents
from rollstave.cli.main import main
from rollstave.score.compare import first_difference
from tests import tunes
from tests.amount import crossed
from tests.plugins import document_files as made

KINDS: dict[str, Callable[[str], bytes]] = {
    "docx": made.docx,
    "odt": made.odt,
    "rtf": made.rtf,
    "html": made.html,
    "eml": made.eml,
    "pdf": made.pdf,
}
WRONG = """Title: Ferry Bell
Tuning: gDGBD
Time: 4/4

D|-0-2-3-5-7-5-3-2-|-0---------------|
B|-----------------|-----------------|
G|-----------------|-----------------|
D|-----------------|-----------------|
g|---------3-------|-----------------|
"""
RIGHT = WRONG.replace("---3---", "-------")


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments])


@pytest.fixture(params=KINDS)
def kind(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.mark.parametrize(
    ("kind", "path"),
    crossed([*KINDS], made.SAMPLES, turns=2),
    ids=lambda value: value.stem if isinstance(value, Path) else value,
)
def test_a_sample_in_each_kind_is_the_same_music(kind: str, path: Path) -> None:
    typed = tunes.case(path.stem)
    (found,) = rollstave.read(KINDS[kind](path.read_text("utf-8")))
    assert first_difference(typed, found.score) is None
    assert typed.notes == found.score.notes


def test_every_command_that_reads_takes_it(kind: str, tmp_path: Path) -> None:
    tune = tmp_path / f"tune.{kind}"
    tune.write_bytes(KINDS[kind](RIGHT))
    result = run("convert", tune, "--to", "text,musicxml", "--out", tmp_path / "out")
    assert result.exit_code == 0, result.output
    text = (tmp_path / "out" / "tune.txt").read_text("utf-8")
    assert first_difference(rollstave.read(text)[0].score, rollstave.read(RIGHT)[0].score) is None
    assert run("check", tune).exit_code == 0
    assert "Ferry Bell" in run("check", tune).output


# Where the fret that the neck does not have is: the ninth line of the text, as each kind counts.
PLACES = {
    "docx": "paragraph 9:12",
    "odt": "paragraph 9:12",
    "rtf": "line 9:12",
    "html": "preformatted block 1, line 5:12",
    "eml": "9:12",
    "pdf": "page 1, line 9:12",
}


def test_an_error_is_told_with_its_place_in_the_document(kind: str, tmp_path: Path) -> None:
    tune = tmp_path / f"tune.{kind}"
    tune.write_bytes(KINDS[kind](WRONG))
    for command in (["convert", "--out", tmp_path / "out"], ["check"]):
        result = run(command[0], tune, *command[1:])
        assert result.exit_code == 2
        assert f"{tune}:{PLACES[kind]}: error: fret 3 on string 5" in result.stderr
    report = json.loads(run("check", tune, "--json").stdout)
    (problem,) = [p for p in report["problems"] if p["severity"] == "error"]
    assert problem.get("part", str(problem["line"])) == PLACES[kind].rpartition(":")[0]
    assert problem["column"] == 12


def test_a_mark_of_the_proofreader_has_its_place_too(tmp_path: Path) -> None:
    tune = tmp_path / "tune.docx"
    tune.write_bytes(made.docx(RIGHT.replace("-0-2-3-5-", "-0-3h2-5-")))
    result = run("check", tune)
    assert result.exit_code == 1
    assert f"{tune}:paragraph 5:" in result.stdout
    lines = result.stdout.splitlines()
    at = next(n for n, line in enumerate(lines) if ":paragraph 5:" in line)
    at = next(n for n, line in enumerate(lines) if "^" in line and n > at)
    assert lines[at - 1][: lines[at].index("^")].endswith("3h")  # the caret is under the 2


def test_a_folder_with_all_kinds(tmp_path: Path) -> None:
    tabs, out = tmp_path / "tabs", tmp_path / "out"
    tabs.mkdir()
    for number, (kind, make) in enumerate(KINDS.items()):
        (tabs / f"{number}-{kind}.{kind}").write_bytes(make(RIGHT))
    (tabs / "box.mbox").write_bytes(
        made.mbox([("Ferry Bell", RIGHT), ("Supper", "At eight.\n"), ("A slip", WRONG)], tmp_path)
    )
    (tabs / "letter.docx").write_bytes(made.docx("Dear all,\nno lesson on Friday.\n"))
    (tabs / "typed.txt").write_text(RIGHT)
    result = run("convert", tabs, "--out", out, "--to", "musicxml")
    assert result.exit_code == 2  # one message of the mailbox has a wrong fret
    report = json.loads((out / "report.json").read_text("utf-8"))
    rows = {Path(row["file"]).name: row for row in report["tunes"]}
    for number, kind in enumerate(KINDS):
        assert rows[f"{number}-{kind}.{kind}"]["status"] == "done"
        assert rows[f"{number}-{kind}.{kind}"]["measures"] == 2
    assert rows["letter.docx"]["status"] == "skipped"
    assert rows["box.mbox, message 1 (Ferry Bell)"]["status"] == "done"
    failed = rows["box.mbox, message 3 (A slip)"]
    assert failed["status"] == "failed"
    assert failed["problems"][0]["line"] == 9
    assert "box.mbox, message 3 (A slip):9:12: error" in result.output.replace("\n", "")
    assert {p.name for p in out.glob("*.musicxml")} == {
        *(f"{number}-{kind}.musicxml" for number, kind in enumerate(KINDS)),
        "box-1-ferry-bell.musicxml",
        "typed.musicxml",
    }
    page = (out / "report.html").read_text("utf-8")
    assert "message 3 (A slip)" in page
    assert "9:12" in page
    again = run("convert", tabs, "--out", out, "--to", "musicxml")
    assert "unchanged since the last run" in again.output


def test_tidy_and_the_bench_do_not_write_into_it(kind: str, tmp_path: Path) -> None:
    tune = tmp_path / f"tune.{kind}"
    tune.write_bytes(KINDS[kind](RIGHT))
    before = tune.read_bytes()
    result = run("tidy", tune, "--force")
    assert result.exit_code == 2
    assert "which tidy does not write into" in result.stderr
    assert f"rollstave convert {tune} --to text --out FOLDER" in result.stderr
    assert tune.read_bytes() == before
    bench = run("bench", tune, "--no-browser")
    assert bench.exit_code == 2
    assert "convert --to text" in bench.stderr


@pytest.fixture
def without(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """As if none of the packages of the extra were there."""
    from importlib import metadata

    usual = metadata.version

    def version(name: str) -> str:
        if name in ("python-docx", "odfpy", "striprtf", "pdfminer.six"):
            raise metadata.PackageNotFoundError(name)
        return usual(name)

    monkeypatch.setattr(metadata, "version", version)
    for name in ("docx", "odf", "striprtf", "pdfminer"):
        monkeypatch.setitem(sys.modules, name, None)
    return


@pytest.mark.usefixtures("without")
@pytest.mark.parametrize("ending", ["docx", "odt", "rtf", "pdf"])
def test_a_missing_package_is_told_with_what_to_install(ending: str, tmp_path: Path) -> None:
    listed = run("plugins").output
    assert f"  to read {ending}: pip install 'rollstave[documents]'" in listed
    tabs = tmp_path / "tabs"
    tabs.mkdir()
    tune = tabs / f"tune.{ending}"
    documents_bytes = {
        "docx": b"PK\x03\x04 [Content_Types].xml word/document.xml",
        "odt": b"PK\x03\x04" + b"mimetypeapplication/vnd.oasis.opendocument.text",
        "rtf": made.rtf(RIGHT),
        "pdf": b"%PDF-1.7\n",
    }
    tune.write_bytes(documents_bytes[ending])
    result = run("convert", tune, "--out", tmp_path / "out")
    assert result.exit_code == 2
    assert "pip install 'rollstave[documents]'" in result.stderr
    (tabs / "typed.txt").write_text(RIGHT)
    result = run("convert", tabs, "--out", tmp_path / "out", "--to", "midi")
    assert result.exit_code == 0, result.output  # passed over, as before, and the report says why
    report = json.loads((tmp_path / "out" / "report.json").read_text("utf-8"))
    assert [Path(entry["file"]).name for entry in report["passed_over"]] == [tune.name]
    assert "rollstave[documents]" in report["passed_over"][0]["reason"]


def test_pages_and_mail_need_no_package_of_the_extra(without: None, tmp_path: Path) -> None:
    for ending in ("html", "eml"):
        assert rollstave.read(KINDS[ending](RIGHT))[0].score.title == "Ferry Bell"
    del without


# Word processors -------------------------------------------------------------------------------


def test_boxes_tables_and_changes_under_review_of_a_word_document() -> None:
    """ECMA-376 part 1: ``w:ins`` counts and ``w:del`` does not (17.13.5), ``w:br`` breaks a line
    (17.3.3.1), a box's paragraphs come after the one that it hangs on, once (``mc:Fallback`` is for
    older programs), rows of a table are lines."""
    import docx as library
    from docx.oxml import parse_xml

    w = 'xmlns:w="http://schemas.openxmlformats.org/wordprocessingml/2006/main"'
    mc = 'xmlns:mc="http://schemas.openxmlformats.org/markup-compatibility/2006"'
    document = library.Document()
    body = document.element.body
    box = "<w:txbxContent><w:p><w:r><w:t>boxed</w:t></w:r></w:p></w:txbxContent>"
    body.insert(
        0,
        parse_xml(
            f"<w:p {w} {mc}><w:r><w:t>one</w:t><w:br/><w:t>two</w:t></w:r>"
            '<w:ins w:id="1" w:author="J"><w:r><w:t xml:space="preserve"> in</w:t></w:r></w:ins>'
            '<w:del w:id="2" w:author="J"><w:r><w:delText>out</w:delText></w:r></w:del>'
            "<w:r><w:noBreakHyphen/><w:tab/><w:t>end</w:t></w:r>"
            f"<w:r><mc:AlternateContent><mc:Choice Requires='wps'>{box}</mc:Choice>"
            f"<mc:Fallback>{box}</mc:Fallback></mc:AlternateContent></w:r></w:p>"
        ),
    )
    table = document.add_table(rows=1, cols=2)
    table.rows[0].cells[0].text = "Tuning:"
    table.rows[0].cells[1].text = "gDGBD"
    import io

    out = io.BytesIO()
    document.save(out)
    (text,) = documents.opened(out.getvalue()) or ()
    assert text.text.split("\n")[:4] == ["one", "two in-\tend", "boxed", "Tuning:  gDGBD"]
    assert text.places[:4] == (
        "paragraph 1, line 1",
        "paragraph 1, line 2",
        "paragraph 2",
        "paragraph 3",
    )


def test_blanks_and_breaks_of_an_opendocument_text() -> None:
    """OpenDocument 1.3 part 3, 6.1.2: blanks in the file count as one; ``text:s`` are more."""
    import io

    from odf.opendocument import OpenDocumentText
    from odf.text import LineBreak, P, S, Tab

    document = OpenDocumentText()
    paragraph = P(text="D|--")
    paragraph.addElement(S(c=3))
    paragraph.addText("0 \n  2")
    paragraph.addElement(LineBreak())
    paragraph.addElement(Tab())
    paragraph.addText("end")
    document.text.addElement(paragraph)
    out = io.BytesIO()
    document.write(out)
    (text,) = documents.opened(out.getvalue()) or ()
    assert text.text == "D|--   0 2\n\tend\n"


def test_rtf_as_its_specification_has_it() -> None:
    """RTF 1.9.1: hexadecimal characters in the code page, Unicode with a stand-in that is skipped
    (``\\uc1``), destinations that are not shown, pictures, the result of a field but not its
    instruction."""
    data = (
        rb"{\rtf1\ansi\ansicpg1252\uc1{\fonttbl{\f0\fnil\fcharset0 Arial;}}{\colortbl;\red0;}"
        rb"{\*\generator Larkspur;}{\info{\author Juno}}\f0 Caf\'e9 \u8211-x\tab y\line second\par "
        rb'{\field{\*\fldinst{HYPERLINK "http://larkspur-ferry.example/x"}}{\fldrslt{here}}}'
        rb"{\pict\wmetafile8 0102ff}\{0\}\\\par}"
    )
    (text,) = documents.opened(data) or ()
    lines = text.text.split("\n")
    assert lines[:2] == ["Café –x\ty", "second"]
    assert lines[2] == "here{0}\\"


# Pages -----------------------------------------------------------------------------------------


def test_a_page_as_a_browser_shows_it() -> None:
    """White space of CSS 2.2, 16.6; nothing of scripts, styles, and what is hidden."""
    page = (
        "<html><head><title>T</title><style>p{}</style></head><body><h1>Ferry\n  Bell</h1>"
        "<p>Time: 4/4<br>Key&nbsp;of&nbsp;G &amp; more</p><p style='display: none'>no</p>"
        "<div style='white-space: pre'>D|--0\nB|---</div><pre>\nG|-&#50;-\n</pre>"
        "<table><tr><td>Capo:</td><td>2</td></tr></table><script>nothing()</script></body></html>"
    )
    (text,) = documents.opened(page.encode()) or ()
    lines = [line for line in text.text.replace("\u00a0", " ").split("\n") if line]
    assert lines == [
        "Ferry Bell",
        "Time: 4/4",
        "Key of G & more",
        "D|--0",
        "B|---",
        "G|-2-",
        "Capo:  2",
    ]


@pytest.mark.parametrize(
    ("head", "encoding"),
    [("", "utf-8"), ("", "cp1252"), ('<meta charset="iso-8859-2">', "iso-8859-2")],
)
def test_the_characters_of_a_page(head: str, encoding: str) -> None:
    page = f"<html><head>{head}</head><body><p>Juliška é</p></body></html>"
    page = page if encoding != "cp1252" else page.replace("š", "ö")
    (text,) = documents.opened(page.encode(encoding)) or ()
    assert text.text.strip() in ("Juliška é", "Juliöka é")


def test_our_own_page_is_no_tab(tmp_path: Path) -> None:
    (page,) = rollstave.write(rollstave.read(RIGHT)[0], "html")
    with pytest.raises(rollstave.TabError, match="page to practise with that rollstave made"):
        rollstave.read(page)
    del tmp_path


def test_notes_and_remarks_of_a_reviewer_are_no_text_of_an_odt() -> None:
    """OpenDocument 1.3, part 3: a footnote stands inside its paragraph (6.3), an annotation too
    (14.1). The document is made by odfpy."""
    from odf.office import Annotation
    from odf.opendocument import load
    from odf.text import Note, NoteBody, NoteCitation, P

    document = load(io.BytesIO(made.odt(RIGHT)))
    first = document.text.childNodes[0]
    note = Note(noteclass="footnote")
    note.addElement(NoteCitation(text="1"))
    body = NoteBody()
    body.addElement(P(text="Learned from nobody"))
    note.addElement(body)
    first.addElement(note)
    remark = Annotation()
    remark.addElement(P(text="Ask Mara about this"))
    first.addElement(remark)
    out = io.BytesIO()
    document.write(out)
    (found,) = rollstave.read(out.getvalue())
    (plain,) = rollstave.read(made.odt(RIGHT))
    assert found.score == plain.score
