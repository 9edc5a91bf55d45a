"""Names and texts from anywhere: outputs stay below --out, words never become markup or script.

What Windows refuses is Microsoft's "Naming Files, Paths, and Namespaces"; that names have at most
255 bytes is limits.h (NAME_MAX) on Linux; what a page runs is asked of a real browser.
"""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import etree

from rollstave.archive.jobs import Job, Recipe, Result, Source, Staged
from rollstave.archive.names import name_all, safe_component
from rollstave.archive.placing import Placer, hash_of
from rollstave.archive.run import Archive
from rollstave.writing.options import SheetOptions
from tests.amount import some
from tests.archive.tabs import convert, report, tab, tree

HOSTILE = '<script>window.broken(1)</script><img src=x onerror="window.broken(2)">\'"&]]>'
NAMES = (
    "..",
    " .txt",
    "con.txt",
    "COM1.tab",
    "a:b?.txt",
    'quote".txt',
    "back\\slash.txt",
    "trailing. .txt",
    "line\nend.txt",
    "\x1b[31mred.txt",
    "\u202etxt.exe.txt",
    "x" * 250 + ".txt",
    "é" * 120 + ".txt",
    "<script>alert(1)<!--.txt",
    "javascript:alert(1).txt",
    "-rf.txt",
    "%2e%2e%2f.txt",
    "report.txt",
    os.fsdecode(b"caf\xe9.txt"),
)


@pytest.mark.parametrize("name", [*NAMES, ".", "/", "a/b", "..\\..", "nul", "NUL.tar", "\0", ""])
def test_a_component_is_one_component(name: str) -> None:
    made = safe_component(name)
    assert made not in ("", ".", "..")
    assert not set(made) & set('/\\<>:"|?*\0')
    assert made[-1] not in ". "
    assert made[0] not in ". "
    assert made.isprintable()
    assert len(made.encode()) <= 120
    assert made.split(".")[0].lower() not in {"con", "prn", "aux", "nul", "com1", "lpt9"}


@settings(max_examples=some(30, 100))
@given(st.lists(st.text(max_size=12), min_size=1, max_size=8, unique=True), st.booleans())
def test_targets_are_never_the_same_and_never_leave(names: list[str], walked: bool) -> None:
    sources = [
        Source(path=f"/in/{n}/{name}", name=name, below=name, walked=walked)
        for n, name in enumerate(names)
    ]
    targets = [job.target for job in name_all(sources)]
    assert len({t.casefold() for t in targets}) == len(names)
    for target in targets:
        assert not target.startswith("/")
        assert not {".", ".."} & set(target.split("/"))
    assert targets == [job.target for job in name_all(sources)]


def make(folder: Path, names: tuple[str, ...], title: str = "The Two Oars") -> list[str]:
    """Files of these names, as far as this file system takes them."""
    folder.mkdir(parents=True)
    made = []
    for name in names:
        try:
            (folder / name).write_text(tab(title), encoding="utf-8")
        except (OSError, ValueError):
            continue
        made.append(name)
    return made


def test_every_odd_file_name_is_converted_below_out(tmp_path: Path) -> None:
    made = make(tmp_path / "tabs", NAMES)
    assert len(made) > 12
    before = {p for p in tmp_path.rglob("*") if "out" not in p.parts}
    result = convert(tmp_path / "tabs", "--out", tmp_path / "out", "--to", "musicxml")
    assert result.exit_code == 0, result.output
    assert "\x1b" not in result.output
    assert len(list((tmp_path / "out").glob("*.musicxml"))) == len(made)
    after = {p for p in tmp_path.rglob("*") if "out" not in p.relative_to(tmp_path).parts}
    assert after == {p for p in before if "out" not in p.relative_to(tmp_path).parts}
    assert len(report(tmp_path / "out")["tunes"]) == len(made)
    again = convert(tmp_path / "tabs", "--out", tmp_path / "out", "--to", "musicxml")
    assert f"{len(made)}    of these, unchanged" in again.output


@pytest.mark.parametrize(
    "title", ["../../escape", "/etc/escape", "..\\escape", "a/../../escape", "x" * 400, "长" * 300]
)
def test_titles_never_move_an_output(tmp_path: Path, title: str) -> None:
    """Two tunes in a file: their titles become parts of file names."""
    tabs, out = tmp_path / "deep" / "tabs", tmp_path / "deep" / "out"
    tabs.mkdir(parents=True)
    (tabs / "book.txt").write_text(tab(title) + "\n" + tab(title + "2"), encoding="utf-8")
    for place in ([tabs], [tabs / "book.txt"]):  # as an archive, and plain
        result = convert(*place, "--out", out, "--to", "midi", "--overwrite")
        assert result.exit_code == 0, result.output
    assert len(tree(out)) == 2
    assert all("/" not in name for name in tree(out))
    assert sorted(p.name for p in tmp_path.iterdir()) == ["deep"]
    assert sorted(p.name for p in (tmp_path / "deep").iterdir()) == ["out", "tabs"]


def test_a_long_file_name_converts_plainly_too(tmp_path: Path) -> None:
    path = tmp_path / ("x" * 250 + ".txt")
    path.write_text(tab(), encoding="utf-8")
    result = convert(path, "--to", "musicxml")
    assert result.exit_code == 0, result.output
    (made,) = tmp_path.glob("*.musicxml")
    assert made.name.startswith("x" * 100)


def test_links_in_out_are_not_followed(tmp_path: Path) -> None:
    tabs, out, elsewhere = tmp_path / "tabs", tmp_path / "out", tmp_path / "elsewhere"
    (tabs / "sub").mkdir(parents=True)
    (tabs / "sub" / "tune.txt").write_text(tab(), encoding="utf-8")
    (tabs / "top.txt").write_text(tab(), encoding="utf-8")
    out.mkdir()
    elsewhere.mkdir()
    (elsewhere / "precious").write_text("precious", encoding="utf-8")
    (out / "sub").symlink_to(elsewhere, target_is_directory=True)
    (out / "top.svg").symlink_to(elsewhere / "precious")
    result = convert(tabs, "--out", out, "--to", "svg")
    assert result.exit_code == 2
    assert "is a link; outputs are only put into real folders" in result.output
    assert "was there before" in result.output
    assert [p.name for p in elsewhere.iterdir()] == ["precious"]
    assert (elsewhere / "precious").read_text() == "precious"


def test_links_in_the_folder_are_not_walked(tmp_path: Path) -> None:
    tabs = tmp_path / "tabs"
    tabs.mkdir()
    (tabs / "tune.txt").write_text(tab(), encoding="utf-8")
    (tabs / "loop").symlink_to(tabs, target_is_directory=True)
    (tabs / "gone.txt").symlink_to(tmp_path / "nowhere")
    os.mkfifo(tabs / "pipe.txt")
    result = convert(tabs, "--out", tmp_path / "out", "--to", "midi")
    assert result.exit_code == 0, result.output
    assert sorted(tree(tmp_path / "out")) == ["tune.mid"]
    reasons = {Path(p["file"]).name: p["reason"] for p in report(tmp_path / "out")["passed_over"]}
    assert reasons == {
        "loop": "a link to a folder is not followed",
        "gone.txt": "a link to nothing",
        "pipe.txt": "not a plain file",
    }


@pytest.mark.parametrize("target", ["../escape", "/tmp/escape", "a/../../escape", "a/\0/b"])
def test_even_a_wrong_target_is_refused(tmp_path: Path, target: str) -> None:
    """Names cannot make such a target; the last gate does not rely on that."""
    recipe = Recipe(("midi",), SheetOptions())
    with Archive(tmp_path / "out") as archive:
        staged = archive.staging / "0-0"
        staged.write_bytes(b"x")
        file = Staged(
            tune=0, form="midi", name="escape.mid", staged=str(staged), content=hash_of(str(staged))
        )
        result = Result("done", "c", files=[file])
        placer = Placer(archive.out, archive.state, recipe, frozenset(), overwrite=True)
        with archive.lock:
            placer.place(
                [(Job(Source(path="/in/x", name="x", below="x", walked=False), target), result)]
            )
    assert result.status == "failed"
    assert not list(tmp_path.rglob("escape*"))


def test_a_list_with_names_that_cannot_be(tmp_path: Path) -> None:
    listing = tmp_path / "list"
    listing.write_bytes(b"../" * 40 + b"etc/none.txt\n/\xff\xfe.txt\n\n")
    result = convert("--list", listing, "--out", tmp_path / "out")
    assert result.exit_code == 2
    assert "Traceback" not in result.output
    assert report(tmp_path / "out")["counts"]["failed"] == 2


LYRIC_TAB = """Title: {words}
Composer: {words}
Source: {words}
Tuning: gDGBD
Key: G
Time: 4/4

{words} part

D|-------0-------0-|
B|---0-------0-----|
G|-0---------------|
D|---------0-------|
g|-----0-------0---|
  {words}
"""


@pytest.fixture(scope="module")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An archive whose every word is an attack, converted; its --out."""
    folder = tmp_path_factory.mktemp("hostile")
    tabs = folder / "tabs"
    made = make(tabs, ("<img src=x onerror=alert(1)>.txt", "javascript:alert(1).txt"), HOSTILE)
    assert len(made) == 2
    (tabs / "lyrics.txt").write_text(LYRIC_TAB.format(words=HOSTILE), encoding="utf-8")
    (tabs / "key.txt").write_text(tab().replace("Key: G", f"Key: {HOSTILE}"), encoding="utf-8")
    (tabs / "bad.txt").write_text(tab(HOSTILE).replace("g|-----0", "g|-----3"), encoding="utf-8")
    (tabs / "poem.txt").write_text(HOSTILE, encoding="utf-8")
    (tabs / "x.<b>bold").write_text("", encoding="utf-8")
    convert(tabs, "--out", folder / "out", "--to", "musicxml,svg,mei")
    return folder / "out"


def test_words_stay_words_in_every_format(hostile: Path) -> None:
    names = list(tree(hostile))
    assert len(names) >= 12
    for name in names:
        root = etree.fromstring(tree(hostile)[name])
        tags = {etree.QName(e).localname for e in root.iter(etree.Element)}
        assert not tags & {"script", "img", "foreignObject", "iframe"}, name
        assert not [a for e in root.iter(etree.Element) for a in e.attrib if a.startswith("on")]
    title = etree.fromstring(tree(hostile)["lyrics.musicxml"]).find(".//work-title")
    assert title is not None
    assert title.text is not None
    assert "<img src=x onerror=" in title.text


Seen = tuple[Any, list[str]]
OpenPage = Callable[..., Seen]


@pytest.fixture
def open_page() -> Iterator[OpenPage]:
    """Open the page of a file: the page, and everything that went wrong or was asked of the
    network."""
    browsers = pytest.importorskip("tests.browsers")
    pages = ExitStack()

    def open_it(path: Path, **how: Any) -> Seen:
        page = pages.enter_context(browsers.a_page(**how))
        seen: list[str] = []
        page.on("pageerror", lambda error: seen.append(f"error: {error}"))
        page.expose_function("broken", lambda n: seen.append(f"ran {n}"))
        page.on("dialog", lambda dialog: (seen.append("dialog"), dialog.dismiss()))
        page.on("console", lambda m: seen.append(m.text) if m.type == "error" else None)
        page.on(
            "request", lambda r: None if r.url.startswith(path.as_uri()) else seen.append(r.url)
        )
        page.goto(path.as_uri())
        page.wait_for_timeout(100)
        return page, seen

    with pages:
        yield open_it


def test_the_report_of_hostile_tabs_in_a_browser(hostile: Path, open_page: OpenPage) -> None:
    page, seen = open_page(hostile / "report.html")
    assert seen == []
    assert page.title() == "Report of the conversion"
    assert page.locator("script").count() == 1
    assert page.locator("img, iframe, object, b.x").count() == 0
    assert page.get_by_text("<img src=x onerror=").count() >= 2
    addresses = [a.get_attribute("href") for a in page.locator("a").all()]
    assert len(addresses) >= 12
    for address in addresses:
        assert address.startswith("./")
        assert ":" not in address
    page.get_by_title("lyrics.svg").first.click()
    page.wait_for_load_state()
    assert seen == [] or all(url.endswith("/lyrics.svg") for url in seen)


def test_the_sheets_of_hostile_tabs_in_a_browser(hostile: Path, open_page: OpenPage) -> None:
    for path in sorted(hostile.glob("*.svg")):
        _, seen = open_page(path)
        assert [s for s in seen if not s.startswith("data:")] == []


@pytest.fixture(scope="module")
def plain_report(tmp_path_factory: pytest.TempPathFactory) -> Path:
    tmp_path = tmp_path_factory.mktemp("plain")
    tabs = tmp_path / "tabs"
    tabs.mkdir()
    for number, title in enumerate(("Tern 10", "Tern 9", "Alder Gate")):
        text = tab(title).replace("Key: G", "Key: H") if number == 1 else tab(title)
        (tabs / f"{number}.txt").write_text(text, encoding="utf-8")
    (tabs / "bad.txt").write_text(tab().replace("g|-----0", "g|-----3"), encoding="utf-8")
    convert(tabs, "--out", tmp_path / "out", "--to", "musicxml")
    return tmp_path / "out" / "report.html"


def titles(page: Any) -> list[str]:
    rows = page.locator("tbody tr:visible th").all()
    return [row.evaluate("r => r.firstChild.textContent") for row in rows]


def test_the_report_sorts_and_searches(plain_report: Path, open_page: OpenPage) -> None:
    page, seen = open_page(plain_report)
    page.get_by_role("button", name="Tune").click()
    assert [t for t in titles(page) if "Tern" in t] == ["Tern 9", "Tern 10"]
    page.get_by_role("button", name="Tune").click()
    assert [t for t in titles(page) if "Tern" in t] == ["Tern 10", "Tern 9"]
    page.get_by_label("Search").fill("alder")
    assert titles(page) == ["Alder Gate"]
    assert page.get_by_role("status").inner_text() == "1 of 4 shown"
    page.get_by_label("Search").fill("")
    page.get_by_label("Show").select_option("failed")
    assert "10:8: error: fret 3 on string 5" in page.locator("tbody").inner_text()
    assert seen == []


def test_the_report_is_a_plain_table_without_script(
    plain_report: Path, open_page: OpenPage
) -> None:
    page, _ = open_page(plain_report, java_script_enabled=False)
    assert page.locator("tbody tr").count() == 4
    assert not page.get_by_label("Search").is_visible()
    assert page.get_by_role("button").count() == 0


def test_what_is_empty_comes_last_whichever_way_is_sorted(
    plain_report: Path, open_page: OpenPage
) -> None:
    page, _ = open_page(plain_report)
    columns = page.locator("thead th").all_inner_texts()
    for name in [name for name in ("Outputs", "Key", "Rhythm sure") for _ in range(2)]:
        column = columns.index(name)
        page.get_by_role("button", name=name).click()
        cells = page.locator(f"tbody tr > :nth-child({column + 1})").all()
        texts = [
            c.evaluate("c => (c.dataset.value ?? c.firstChild?.textContent ?? '')") for c in cells
        ]
        assert [bool(t.strip()) for t in texts] == [True, True, True, False]


def test_nothing_of_the_report_is_off_to_the_side_on_a_phone(
    plain_report: Path, open_page: OpenPage
) -> None:
    """A phone of 390 CSS pixels: every cell, the problems too, is within its width."""
    page, _ = open_page(plain_report, width=390, height=844)
    cells = page.locator("tbody th, tbody td:not(:empty), thead button").all()
    boxes = [box for c in cells if (box := c.bounding_box())]
    assert len(boxes) > 30
    assert min(box["x"] for box in boxes) >= 0
    assert max(box["x"] + box["width"] for box in boxes) <= 390
    assert page.get_by_role("rowheader").count() == 4  # still a table for screen readers
    page.get_by_label("Search").fill("alder")
    assert titles(page) == ["Alder Gate"]


def test_the_report_is_accessible(plain_report: Path, open_page: OpenPage) -> None:
    """The rules of WCAG 2.2 AA that axe-core checks; the colours of the dark, which are the same in
    every width, in one of them."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright")
    # axe-core is put into the page, which our page's own rule for scripts would refuse.
    page, _ = open_page(plain_report, height=800, bypass_csp=True)
    for scheme, width in (("light", 1280), ("light", 390), ("dark", 390)):
        page.emulate_media(color_scheme=scheme)
        page.set_viewport_size({"width": width, "height": 800})
        found = axe.Axe().run(page)
        told = json.dumps(found.response["violations"], indent=1)[:4000]
        assert found.violations_count == 0, (scheme, width, told)
