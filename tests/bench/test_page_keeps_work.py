"""The page in real Chromium: unsaved work is not lost, nobody else's is written over."""

from __future__ import annotations

import os
import re
import signal
import time
import uuid
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

import pytest

from rollstave.bench.document import LARGEST, Document
from rollstave.bench.drafts import Draft, Drafts
from tests.bench.asking import ASKING
from tests.bench.conftest import Bench, running
from tests.bench.entering import enter, opener_of

pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
from playwright.sync_api import expect

from tests.browsers import a_page, picture

SLOW = 10_000  # milliseconds: how long a busy machine may take
TITLE = (1, len("Title: ") + 1)
MINE = ASKING.replace("The Unsure", "So The Unsure")


@pytest.fixture
def path(tmp_path: Path) -> Path:
    found = tmp_path / "ferry.txt"
    found.write_text(ASKING)
    return found


@contextmanager
def on_the_bench(path: Path) -> Iterator[Bench]:
    """A run of the bench and a window on it."""
    with running(path) as (address, pid), a_page(1280, 800) as page:
        enter(page, address)
        page.wait_for_selector("#sheet svg, #list .error")
        yield Bench(page, path, pid)


def wait_for(path: Path, fits: Callable[[list[Draft]], bool]) -> list[Draft]:
    """The drafts of a tab, once they are as they should be."""
    until = time.monotonic() + SLOW / 1000
    while not fits(drafts := Drafts(path).waiting()):
        assert time.monotonic() < until, drafts
        time.sleep(0.02)
    return drafts


def leave_behind(path: Path, words: str = "So ") -> None:
    """Type something, and lose the server and the window at once."""
    with on_the_bench(path) as opened:
        before = opened.text
        opened.type_at(*TITLE, words)
        after = before.replace("Title: ", f"Title: {words}", 1)
        wait_for(path, lambda drafts: after in [draft.text for draft in drafts])
        os.kill(opened.pid, signal.SIGKILL)
    assert path.read_text() == before


def left_behind(path: Path, words: str = "So ") -> None:
    """A draft of another page, as ``leave_behind`` leaves it, without a server and a window."""
    text = ASKING.replace("Title: ", f"Title: {words}", 1)
    Drafts(path).keep(str(uuid.uuid4()), 1, text, Document(path).load().seen)


def test_unsaved_text_is_offered_and_shown(path: Path) -> None:
    leave_behind(path)
    with on_the_bench(path) as opened:
        page = opened.page
        expect(page.locator("#draft-words")).to_have_text(
            re.compile(r"^There is unsaved text of \d\d:\d\d\. The file has not changed since\. ")
        )
        picture(page, "bench-draft")
        assert opened.text == ASKING, "it is never applied unasked"
        page.click("#draft-show")
        expect(page.locator("#draft")).to_be_hidden()
        assert opened.text == MINE
        expect(page.locator("#state")).to_have_text("Edited, not saved")
        expect(page.locator("#sheet svg")).to_have_attribute(
            "aria-label", "So The Unsure Ferryman", timeout=SLOW
        )
        assert path.read_text() == ASKING
        page.keyboard.press("Control+s")
        expect(page.locator("#state")).to_have_text("Saved", timeout=SLOW)
        assert path.read_text() == MINE
        wait_for(path, lambda drafts: not drafts)


def test_unsaved_text_is_dropped(path: Path) -> None:
    left_behind(path)
    with on_the_bench(path) as opened:
        opened.page.click("#draft-drop")
        wait_for(path, lambda drafts: not drafts)
        expect(opened.page.locator("#told-words")).to_contain_text("was dropped")
        opened.page.click("#told-decide")  # "Bring it back"
        wait_for(path, lambda drafts: [draft.text for draft in drafts] == [MINE])
        expect(opened.page.locator("#draft")).to_be_visible()
        opened.page.click("#draft-drop")
        wait_for(path, lambda drafts: not drafts)
        assert opened.text == ASKING
        opened.page.reload()
        opened.page.wait_for_selector("#sheet svg")
        expect(opened.page.locator("#draft")).to_be_hidden()


def test_several_drafts_are_offered_in_turn_and_none_is_lost(path: Path) -> None:
    left_behind(path, "One ")
    left_behind(path, "Two ")
    with on_the_bench(path) as opened:
        page = opened.page
        expect(page.locator("#draft-words")).to_contain_text("newest of 2", timeout=SLOW)
        opened.type_at(*TITLE, "Three ")
        page.click("#draft-show")
        expect(page.locator("#text")).to_have_value(re.compile("Title: Two The"))
        drafts = wait_for(path, lambda drafts: len(drafts) == 3)
        assert {draft.text.split()[1] for draft in drafts} == {"One", "Two", "Three"}


def test_unsaved_text_over_a_file_that_changed(path: Path) -> None:
    left_behind(path)
    theirs = ASKING.replace("Unsure", "Other")
    path.write_text(theirs)
    with on_the_bench(path) as opened:
        page = opened.page
        expect(page.locator("#draft-words")).to_contain_text("The file was changed after that")
        picture(page, "bench-draft-older")
        page.click("#draft-show")
        expect(page.locator("#text")).to_have_value(MINE)
        page.keyboard.press("Control+s")
        expect(page.locator("#changed")).to_be_visible(timeout=SLOW)
        assert path.read_text() == theirs
        page.click("#keep-mine")
        expect(page.locator("#state")).to_have_text("Saved", timeout=SLOW)
        assert path.read_text() == MINE


def test_text_that_is_typed_back_leaves_no_draft(path: Path) -> None:
    with on_the_bench(path) as opened:
        opened.type_at(*TITLE, "X")
        wait_for(path, lambda drafts: len(drafts) == 1)
        opened.page.keyboard.press("Backspace")
        wait_for(path, lambda drafts: not drafts)


def test_a_closed_tab_keeps_the_last_letters(path: Path) -> None:
    """The page is left at once, before it keeps a draft by itself."""
    with on_the_bench(path) as opened:
        opened.page.on("dialog", lambda dialog: dialog.accept())
        opened.type_at(*TITLE, "So ")
        opened.page.goto("about:blank")
        wait_for(path, lambda drafts: [draft.text for draft in drafts] == [MINE])


def test_keeping_mine_asks_again_about_a_third_version(path: Path) -> None:
    with on_the_bench(path) as opened:
        page = opened.page
        opened.type_at(*TITLE, "So ")
        path.write_text(ASKING.replace("Unsure", "Second"))
        page.click("#save")
        expect(page.locator("#changed")).to_be_visible(timeout=SLOW)
        page.click("#look")
        expect(page.locator("#difference del")).to_have_text(re.compile("The Second"))
        expect(page.locator("#again")).to_be_hidden()
        third = ASKING.replace("Unsure", "Third")
        path.write_text(third)
        page.click("#keep-mine")
        expect(page.locator("#again")).to_be_visible(timeout=SLOW)
        assert path.read_text() == third
        picture(page, "bench-again")
        page.click("#look")
        expect(page.locator("#difference del")).to_have_text(re.compile("The Third"))
        page.click("#keep-mine")
        expect(page.locator("#changed")).to_be_hidden(timeout=SLOW)
        expect(page.locator("#state")).to_have_text("Saved", timeout=SLOW)
        assert path.read_text() == MINE


def test_two_benches_on_one_file_warn_each_other(path: Path) -> None:
    with ExitStack() as open_ones:
        first = open_ones.enter_context(on_the_bench(path))
        second = open_ones.enter_context(on_the_bench(path))
        second.type_at(*TITLE, "So ")
        first.type_at(*TITLE, "First ")
        first.page.keyboard.press("Control+s")
        expect(first.page.locator("#state")).to_have_text("Saved", timeout=SLOW)
        expect(second.page.locator("#told-words")).to_contain_text("changed on disk", timeout=SLOW)
        second.page.keyboard.press("Control+s")
        expect(second.page.locator("#changed")).to_be_visible(timeout=SLOW)
        assert path.read_text() == ASKING.replace("The Unsure", "First The Unsure")
        assert second.text == MINE


def test_a_text_that_is_too_long_is_told_of_before_it_is_lost(path: Path) -> None:
    with on_the_bench(path) as opened:
        page = opened.page
        page.evaluate(
            "(text) => { const area = document.getElementById('text'); area.value = text;"
            " area.dispatchEvent(new Event('input')); }",
            "a" * (LARGEST + 1),
        )
        expect(page.locator("#state")).to_have_text(
            "Too long to save: 1,000,001 bytes, and a file may have 1,000,000."
        )
        page.keyboard.press("Control+s")
        expect(page.locator("#told-words")).to_contain_text("Not saved", timeout=SLOW)
        assert path.read_text() == ASKING
        wait_for(path, lambda drafts: [len(draft.text) for draft in drafts] == [LARGEST + 1])
        page.evaluate(
            "(text) => { const area = document.getElementById('text'); area.value = text;"
            " area.dispatchEvent(new Event('input')); }",
            MINE,
        )
        page.keyboard.press("Control+s")
        expect(page.locator("#state")).to_have_text("Saved", timeout=SLOW)
        assert path.read_text() == MINE


def test_a_save_that_fails_keeps_the_text(path: Path) -> None:
    with on_the_bench(path) as opened:
        page = opened.page
        opened.type_at(*TITLE, "So ")
        path.unlink()
        path.mkdir()
        page.keyboard.press("Control+s")
        expect(page.locator("#told-words")).to_contain_text(
            "Not saved: there is a folder in the file's place. Your text is still here.",
            timeout=SLOW,
        )
        assert opened.text == MINE
        wait_for(path, lambda drafts: [draft.text for draft in drafts] == [MINE])
        path.rmdir()
        expect(page.locator("#told-words")).to_contain_text("file is gone", timeout=SLOW)
        page.keyboard.press("Control+s")
        expect(page.locator("#state")).to_have_text("Saved", timeout=SLOW)
        assert path.read_text() == MINE


def test_a_window_that_was_not_let_in(path: Path) -> None:
    with running(path) as (address, _), a_page(1280, 800, bypass_csp=True) as page:
        page.goto(address)
        expect(page.locator("h1")).to_have_text("This window was not let in")
        sync_axe = pytest.importorskip("axe_playwright_python.sync_playwright")
        for scheme in ("light", "dark"):
            page.emulate_media(color_scheme=scheme)
            picture(page, f"bench-refused-{scheme}")
            found = sync_axe.Axe().run(page).response["violations"]
            assert [v["id"] for v in found if v["impact"] in ("serious", "critical")] == []
        page.fill("#key", "not the key")
        page.keyboard.press("Enter")
        expect(page.locator("h1")).to_have_text("This is not the key of this bench")
        file = opener_of(address)
        key = re.search(r'name="key" value="([^"]+)"', file.read_text())
        assert key
        page.fill("#key", key[1])
        page.keyboard.press("Enter")
        page.wait_for_selector("#sheet svg")
        assert page.url == address
        assert page.evaluate("document.cookie") == "", "no script reads the cookie"
        assert page.evaluate("history.length") <= 4
        with a_page(1280, 800) as other:
            other.goto(address)
            other.fill("#key", key[1])
            other.keyboard.press("Enter")
            expect(other.locator("h1")).to_have_text("This key was used already")
            picture(other, "bench-used")
