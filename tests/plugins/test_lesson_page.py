"""The page of a lesson in a real browser: each exercise plays, round and round, by its name."""

from __future__ import annotations

from pathlib import Path

import pytest

import rollstave
from rollstave_teaching import lesson
from tests.tunes import case

axe = pytest.importorskip(
    "axe_playwright_python.sync_playwright", reason="axe-playwright-python is not installed"
)
browsers = pytest.importorskip("tests.browsers")


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> tuple[rollstave.Handout, Path]:
    """A lesson, and the file of its page."""
    made = lesson(case("lantern-stairs"), "right-hand,changes,whole")
    path = tmp_path_factory.mktemp("lesson") / "lesson.html"
    path.write_bytes(rollstave.write(made, "html")[0])
    return made, path


@pytest.mark.parametrize("width", [1280, 390])
def test_an_exercise_plays_by_its_name(written: tuple[rollstave.Handout, Path], width: int) -> None:
    made, path = written
    names = [one.name for one in made.exercises]
    with browsers.a_page(width) as page:
        complaints: list[str] = []
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.goto(path.as_uri())
        page.wait_for_function("document.documentElement.dataset.ready")
        assert page.locator(".engraving.shown button[data-stretch]").all_inner_texts() == names
        at = names.index("C to F")
        page.locator(f".engraving.shown button[data-stretch='{at}']").click()
        page.wait_for_function("rollstave.state.playing && rollstave.state.event > 0")
        first = sum(len(one.score.measures) for one in made.exercises[:at])
        state = page.evaluate("rollstave.state")
        assert (state["looping"], state["loop"]) == (True, [first, first + 1])
        assert first <= state["measure"] <= first + 1
        assert page.locator("#loop-words").inner_text() == "C to F"
        page.click("#play")
        page.click("#more")
        page.select_option("#stretch", label=names[-1])
        count = sum(len(one.score.measures) for one in made.exercises)
        assert page.evaluate("rollstave.state.loop") == [count - 32, count - 1]
        if width == 390:  # the wide page is that of a tune, which has a test of its own
            found = axe.Axe().run(page).response["violations"]
            assert [v["id"] for v in found if v["impact"] in ("serious", "critical")] == []
        shown = page.evaluate("document.documentElement.scrollWidth")
        assert shown <= width  # nothing makes the page wider than the screen
        assert complaints == []
