"""The bench's page in real Chromium, driven by Playwright."""

from __future__ import annotations

import os
import re
import shutil
import signal
import subprocess
from pathlib import Path

import psutil
import pytest

import rollstave
from tests.bench.asking import ASKING
from tests.bench.conftest import OpenBench

pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
from playwright.sync_api import expect

from tests.browsers import PATIENCE, picture

expect.set_options(timeout=PATIENCE)

SCREENS = {"desk": (1440, 900), "tablet": (820, 1180), "narrow": (390, 844)}
TITLE = (1, len("Title: ") + 1)


def test_typing_updates_the_sheet_and_can_be_undone(bench: OpenBench) -> None:
    opened = bench()
    page = opened.page
    expect(page.locator("#state")).to_have_text("Saved")
    opened.type_at(*TITLE, "So ")
    expect(page.locator("#sheet svg")).to_have_attribute("aria-label", re.compile("So The Unsure"))
    expect(page.locator("#state")).to_have_text("Edited, not saved")
    assert opened.path.read_text() == ASKING
    for _ in range(3):  # browsers take one or several letters for a step
        if opened.text != ASKING:
            page.keyboard.press("Control+z")
    expect(page.locator("#sheet svg")).to_have_attribute("aria-label", "The Unsure Ferryman")
    expect(page.locator("#state")).to_have_text("Saved")


def test_saving_the_file_elsewhere_updates_page_and_sheet(bench: OpenBench) -> None:
    opened = bench()
    page = opened.page
    opened.path.write_text(ASKING.replace("Unsure", "Other"))
    expect(page.locator("#sheet svg")).to_have_attribute("aria-label", "The Other Ferryman")
    assert "The Other Ferryman" in opened.text
    # As most editors save: a new file moved into the old one's place.
    beside = opened.path.with_suffix(".new")
    beside.write_text(ASKING.replace("Unsure", "Third"))
    beside.replace(opened.path)
    expect(page.locator("#sheet svg")).to_have_attribute("aria-label", "The Third Ferryman")
    expect(page.locator("#state")).to_have_text("Saved")


@pytest.mark.parametrize("staff", "nt")
def test_touching_a_note_selects_where_it_was_typed(bench: OpenBench, staff: str) -> None:
    """Every note of two measures; what is selected is the fret, by the score's own places."""
    opened = bench()
    (tune,) = rollstave.read(ASKING)
    lines = ASKING.split("\n")
    for measure in tune.score.measures[1:3]:
        for position, event in enumerate(measure.events):
            for note in event.notes:
                opened.touch(f"s0-{staff}{measure.index}-{position}-0-{note.string}")
                place = note.place
                assert opened.selected == lines[place.line - 1][place.column - 1]
                start = opened.page.evaluate("document.getElementById('text').selectionStart")
                before = ASKING[:start]
                assert before.count("\n") + 1 == place.line
                assert len(before.rpartition("\n")[2]) + 1 == place.column
    expect(opened.page.locator("#sheet .lit-note")).to_have_count(2)
    expect(opened.page.locator("#glow")).to_be_visible()


def test_the_caret_lights_up_its_measure_on_the_sheet(bench: OpenBench) -> None:
    opened = bench()
    page = opened.page
    opened.type_at(5, 16, "")
    page.keyboard.press("ArrowRight")
    expect(page.locator("#s0-m1 > .lit-measure")).to_have_count(1)
    for _ in range(12):
        page.keyboard.press("ArrowRight")
    expect(page.locator("#s0-m2 > .lit-measure")).to_have_count(1)
    expect(page.locator(".lit-measure")).to_have_count(1)


def test_a_problem_shows_its_place_in_the_text_and_on_the_sheet(bench: OpenBench) -> None:
    """The hammer-on from 2 to 0 does not rise (common practice, no source)."""
    opened = bench()
    row = opened.page.locator(".mend", has_text="does not rise")
    row.locator("button").click()
    assert opened.selected == "0"
    expect(opened.page.locator("#s0-m5 > .lit-measure")).to_have_count(1)
    expect(opened.page.locator("#text")).to_be_focused()


def test_choosing_a_reading_writes_counts(bench: OpenBench) -> None:
    opened = bench()
    page = opened.page
    row = page.locator(".unsure", has_text="Measure 1:")
    row.locator("button").first.click()
    readings = row.locator(".reading")
    expect(readings.nth(1)).to_be_visible()
    assert readings.nth(1).locator("svg g.note").count() > 4
    picture(page, "bench-readings")
    said = readings.nth(1).locator("span").inner_text().split(" · ")[0].strip()
    readings.nth(1).click()
    expect(page.locator("#told-words")).to_contain_text("written into the text")
    assert len(opened.text.split("\n")) == len(ASKING.split("\n")) + 1
    (tune,) = rollstave.read(opened.text)
    measure = tune.score.measures[0]
    assert measure.rhythm.sure
    from rollstave.rhythm.spoken import as_counts

    onsets = [e.onset for e in measure.events if e.notes]
    assert as_counts(onsets, tune.score.meter) == said
    expect(page.locator(".unsure", has_text="Measure 1:")).to_have_count(0)
    page.focus("#text")
    page.keyboard.press("Control+z")
    assert opened.text == ASKING


def test_saving_writes_the_file(bench: OpenBench) -> None:
    opened = bench(ASKING.replace("\n", "\r\n"))
    opened.type_at(*TITLE, "So ")
    opened.page.keyboard.press("Control+s")
    expect(opened.page.locator("#state")).to_have_text("Saved")
    expected = ASKING.replace("The Unsure", "So The Unsure").replace("\n", "\r\n")
    assert opened.path.read_bytes() == expected.encode()


@pytest.mark.parametrize("choice", ["#keep-mine", "#take-theirs"])
def test_a_file_that_changed_underneath_is_asked_about(bench: OpenBench, choice: str) -> None:
    opened = bench()
    page = opened.page
    opened.type_at(*TITLE, "So ")
    theirs = ASKING.replace("Unsure", "Other")
    opened.path.write_text(theirs)
    expect(page.locator("#told-words")).to_contain_text("changed on disk")
    assert opened.text.startswith("Title: So The Unsure")
    opened.page.on("dialog", lambda dialog: dialog.dismiss())
    page.click("#save")
    expect(page.locator("#changed")).to_be_visible()
    assert opened.path.read_text() == theirs
    page.click("#look")
    expect(page.locator("#difference del")).to_have_text(re.compile("Title: The Other"))
    expect(page.locator("#difference ins")).to_have_text(re.compile("Title: So The Unsure"))
    picture(page, "bench-difference")
    opened.complaints[:] = [c for c in opened.complaints if "409" not in c]
    page.click(choice)
    expect(page.locator("#changed")).to_be_hidden()
    expect(page.locator("#state")).to_have_text("Saved")
    mine = ASKING.replace("The Unsure", "So The Unsure")
    assert opened.path.read_text() == opened.text == (mine if choice == "#keep-mine" else theirs)


def test_what_cannot_be_read_leaves_the_last_sheet_marked_as_older(bench: OpenBench) -> None:
    opened = bench()
    page = opened.page
    opened.type_at(9, 12, "3", over=1)
    expect(page.locator("#older")).to_contain_text("older")
    expect(page.locator("#sheet svg")).to_be_visible()
    error = page.locator(".error").first
    expect(error).to_contain_text("fret 3")
    picture(page, "bench-error")
    error.locator("button").click()
    assert opened.selected == "3"
    page.keyboard.type("0")
    expect(page.locator("#older")).to_be_empty()


def test_a_killed_engraver_is_replaced_and_told_of(bench: OpenBench) -> None:
    opened = bench()
    workers = [
        p
        for p in psutil.Process(opened.pid).children(recursive=True)
        if "forkserver" in " ".join(p.cmdline()) and not p.children()
    ]
    assert workers
    for worker in workers:
        os.kill(worker.pid, signal.SIGKILL)
    opened.type_at(*TITLE, "So ")
    expect(opened.page.locator("#told-words")).to_contain_text(
        "engraver ended without an answer and was started again"
    )
    expect(opened.page.locator("#sheet svg")).to_have_attribute(
        "aria-label", "So The Unsure Ferryman"
    )


def test_the_keyboard_is_enough(bench: OpenBench) -> None:
    opened = bench()
    page = opened.page
    page.focus("#sheet")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    expect(page.locator("#spoken")).to_contain_text("line")
    expect(page.locator("#sheet .lit-note")).to_have_count(2)
    page.keyboard.press("Enter")
    expect(page.locator("#text")).to_be_focused()
    assert opened.selected.isdigit()
    seen = set()
    page.focus("#save")
    for _ in range(30):
        page.keyboard.press("Tab")
        focus = page.evaluate(
            "(() => { const e = document.activeElement, s = getComputedStyle(e);"
            " const box = e.closest('.editor');"
            " const shadow = box ? getComputedStyle(box).boxShadow : 'none';"
            " return [e.id || e.className || e.tagName,"
            " s.outlineStyle !== 'none' || shadow !== 'none']; })()"
        )
        if focus[0] != "BODY":
            assert focus[1], focus
        seen.add(focus[0])
        if focus[0] == "text":
            page.keyboard.press("Tab")
    assert {"text", "sheet"} <= seen


def test_several_tunes_are_all_shown(bench: OpenBench) -> None:
    opened = bench(ASKING + "\n\n" + ASKING.replace("Unsure", "Second"))
    expect(opened.page.locator("#sheet svg")).to_have_count(2)
    ids = opened.page.evaluate("[...document.querySelectorAll('[id]')].map((e) => e.id)")
    assert len(ids) == len(set(ids))
    shapes = opened.page.evaluate(
        "[...document.querySelectorAll('#sheet > svg')].map((s) => s.clientHeight)"
    )
    assert min(shapes) > 200, "a page out of sight keeps its shape"
    opened.touch("s1-t1-0-0-2")
    caret = opened.page.evaluate("document.getElementById('text').selectionStart")
    assert caret > len(ASKING)


def test_axe_finds_nothing_serious(bench: OpenBench) -> None:
    """axe-core, the rules of WCAG 2 A and AA and its best practices: the page in every width, and
    in the dark, whose colours are the same in all of them, in one; the dialog in both."""
    sync_axe = pytest.importorskip(
        "axe_playwright_python.sync_playwright", reason="axe-playwright-python is not installed"
    )
    # axe is put into the page as a script, which the page's own policy would refuse.
    opened = bench(bypass_csp=True)
    page = opened.page
    opened.touch("s0-t1-0-0-2")
    row = page.locator(".unsure", has_text="Measure 1:")
    row.locator("button").first.click()
    expect(row.locator(".reading").first).to_be_visible()
    found = []
    for scheme, screen in (
        *(("light", screen) for screen in ("tablet", "narrow", "desk")),
        ("dark", "desk"),
    ):
        width, height = SCREENS[screen]
        page.set_viewport_size({"width": width, "height": height})
        page.emulate_media(color_scheme=scheme)
        picture(page, f"bench-{screen}-{scheme}", full_page=True)
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
        found += sync_axe.Axe().run(page).response["violations"]
        if screen in ("desk", "narrow"):
            page.evaluate("document.getElementById('changed').showModal()")
            found += sync_axe.Axe().run(page).response["violations"]
            page.evaluate("document.getElementById('changed').close()")
    bad = [(v["id"], v["impact"], [n["html"][:120] for n in v["nodes"]]) for v in found]
    assert [v for v in bad if v[1] in ("serious", "critical")] == []


def test_the_script_by_itself() -> None:
    """The modules that need no browser, by Node's own test runner."""
    node = shutil.which("node")
    if node is None:
        pytest.skip("node is not installed; the same functions run in the browser tests")
    folder = Path(__file__).parent / "script"
    done = subprocess.run(
        [node, "--test", *map(str, sorted(folder.glob("*.test.mjs")))],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout[-4000:]
