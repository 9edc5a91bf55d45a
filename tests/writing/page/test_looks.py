"""How the page looks and what it weighs: phone, tablet, desk, paper, dark, and what axe-core says.

Pictures are kept (see conftest) so that somebody looks at them. Sizes of targets, contrast and
keys: WCAG 2.2. The weight of 400 kB for 32 measures is the project's.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from typing import Any, Literal

import pytest
from msgspec.structs import replace

import rollstave
from rollstave.score.records import Score
from tests import tunes
from tests.writing.page.conftest import Open, Opened

SCREENS = {"desk": (1280, 900), "tablet": (820, 1180), "phone": (375, 720), "small": (320, 640)}


def _unsure() -> Score:
    """A tune with measures that are not sure: typed without spacing."""
    text = (
        "Title: Squeezed\nTuning: gDGBD\nTime: 4/4\n\n"
        "D|-0-2-0-|-2---0-|-0-0-2-|\n"
        "B|-1---1-|---1-3-|---1---|\n"
        "G|---2---|-2-----|-2---0-|\n"
        "D|-------|-------|-------|\n"
        "g|-0---0-|-0-0---|-0-----|\n"
    )
    (tune,) = rollstave.read(text)
    assert any(not m.rhythm.sure for m in tune.score.measures)
    return tune.score


@pytest.mark.parametrize("screen", sorted(SCREENS))
def test_fits_the_screen(open_page: Open, long_tune: Score, screen: str) -> None:
    """Nothing runs over the side, the music is as wide as the screen, its digits can be read; all
    of it in the light and in the dark."""
    width, height = SCREENS[screen]
    opened = open_page(long_tune, width, height)
    page = opened.page
    for scheme in _schemes(opened):
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        music = page.locator("svg.system:visible").first.bounding_box()
        assert music is not None
        assert music["width"] > 0.85 * width
        digit = page.locator(".engraving.shown .fret").first.bounding_box()
        assert digit is not None
        assert digit["height"] > 10
        opened.picture(f"page-{screen}-{scheme}")
    opened.press("p")
    page.locator("#play").click()
    opened.play_until("window.heard.length > 2")
    for scheme in _schemes(opened):
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        opened.picture(f"page-{screen}-{scheme}-playing")


def _schemes(opened: Opened) -> Iterator[str]:
    """A page in the light and in the dark, by turns."""
    schemes: tuple[Literal["light", "dark"], ...] = ("light", "dark")
    for scheme in schemes:
        opened.page.emulate_media(color_scheme=scheme)
        yield scheme


def test_each_width_has_its_engraving(open_page: Open, ferry: Score) -> None:
    """Fewer measures on a line where there is less room, every note in each of them."""
    per_line = []
    notes = set()
    for screen in ("phone", "tablet", "desk"):
        opened = open_page(ferry, *SCREENS[screen])
        shown = opened.page.locator(".engraving.shown")
        per_line.append(19 / shown.locator("svg.system").count())
        notes.add(shown.locator(".note").count())
    assert per_line == sorted(per_line)
    assert per_line[0] < per_line[-1]
    assert len(notes) == 1


def test_turning_a_phone_keeps_what_sounds(open_page: Open, ferry: Score) -> None:
    opened = open_page(ferry, *SCREENS["phone"])
    opened.press("b", " ")
    opened.play_until("window.heard.length > 1")
    before = opened.page.evaluate("rollstave.width")
    opened.page.set_viewport_size({"width": 720, "height": 375})
    opened.wait_for(f"rollstave.width !== {before}")
    assert opened.page.locator(".engraving.shown .sounding").count() >= 2


def test_targets_are_large_enough(open_page: Open, ferry: Score) -> None:
    """44 by 44 CSS pixels (WCAG 2.2, 2.5.5, the stricter one); the slider is 24 high (2.5.8)."""
    opened = open_page(ferry, *SCREENS["phone"])
    opened.press("p")
    for control in opened.page.locator("#dock :is(button, select, input):visible").all():
        box = control.bounding_box()
        assert box is not None
        least = 24 if control.get_attribute("type") == "range" else 44
        assert min(box["width"], box["height"]) >= least - 0.1, control.get_attribute("id")


@pytest.mark.parametrize("screen", ["desk", "phone"])
def test_axe_finds_nothing_serious(open_page: Open, screen: str) -> None:
    """axe-core, with the practice panel open, and again with the help."""
    sync_axe = pytest.importorskip(
        "axe_playwright_python.sync_playwright", reason="axe-playwright-python is not installed"
    )
    opened = open_page(_unsure(), *SCREENS[screen])
    opened.press("p")
    for step in ("panel", "help"):
        if step == "help":
            opened.press("?")
        # The colours of the dark are the same on every screen.
        for scheme in ("light",) if screen == "phone" else _schemes(opened):
            results = sync_axe.Axe().run(opened.page)
            bad = [
                (v["id"], v["nodes"][0]["html"][:120])
                for v in results.response["violations"]
                if v["impact"] in ("serious", "critical")
            ]
            assert bad == [], (step, scheme)
            assert len(results.response["passes"]) > 10


def test_the_list_of_keys_opens_at_its_beginning(open_page: Open) -> None:
    """On a phone it is longer than the screen; its one control is at the end."""
    opened = open_page(_unsure(), *SCREENS["phone"])
    opened.press("?")
    box = opened.page.locator("#help").bounding_box()
    head = opened.page.locator("#help-title").bounding_box()
    assert box is not None
    assert head is not None
    assert head["y"] >= box["y"]
    assert opened.page.evaluate("document.activeElement.closest('#help') !== null")


def _contrast(opened: Opened, element: str) -> float:
    """The contrast of two colours (WCAG 2.2, definition of contrast ratio), computed here."""
    ink, ground = opened.page.evaluate(
        """(element) => {
          const rgb = (words) => words.match(/[0-9.]+/g).slice(0, 3).map(Number);
          const made = getComputedStyle(document.querySelector(element));
          const paper = getComputedStyle(document.body);
          return [rgb(made.fill), rgb(paper.backgroundColor)];
        }""",
        element,
    )

    def light(rgb: list[float]) -> float:
        parts = [c / 255 for c in rgb]
        linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    low, high = sorted((light(ink), light(ground)))
    return (high + 0.05) / (low + 0.05)


def test_music_and_marks_stand_out(open_page: Open, ferry: Score) -> None:
    """Digits at 4.5 to 1, and the head that sounds at 3 to 1 (1.4.3 and 1.4.11)."""
    opened = open_page(ferry)
    for _ in _schemes(opened):
        assert _contrast(opened, ".engraving.shown .fret") > 4.5
    opened.press("b", " ")
    opened.play_until("document.querySelector('.engraving.shown .sounding use')")
    for _ in _schemes(opened):
        assert _contrast(opened, ".engraving.shown .sounding use") > 3


def test_follows_the_music(open_page: Open, long_tune: Score) -> None:
    """The system that sounds is brought into view over the player."""
    opened = open_page(long_tune, *SCREENS["phone"])
    opened.press("b", "End", "Home", "Shift+ArrowRight")
    page = opened.page
    page.evaluate("scrollTo(0, 0)")
    last = len(long_tune.measures) - 1
    page.evaluate("document.documentElement.style.scrollBehavior = 'auto'")
    opened.press("End", " ")
    opened.play_until("window.heard.length > 0")
    # It scrolls smoothly, in the browser's own time.
    opened.wait_for(
        f"""() => {{
          const ground = document.querySelector('.engraving.shown rect[data-measure="{last}"]');
          const {{ top, bottom }} = ground.getBoundingClientRect();
          const dock = document.getElementById("dock").getBoundingClientRect();
          return top >= 0 && bottom <= dock.top + 1;
        }}"""
    )


def test_reduced_motion_jumps(open_page: Open, long_tune: Score) -> None:
    """No smooth scrolling for who asked for less motion."""
    opened = open_page(long_tune, *SCREENS["phone"], reduced_motion="reduce")
    opened.page.evaluate(
        """() => { window.ways = []; const before = window.scrollTo;
        window.scrollTo = (to) => { window.ways.push(to.behavior); before.call(window, to); }; }"""
    )
    opened.press("b", "End", " ")
    opened.play_until("window.heard.length > 0")
    ways = opened.page.evaluate("window.ways")
    assert ways
    assert set(ways) == {"auto"}


def test_prints_as_a_clean_sheet(open_page: Open, ferry: Score) -> None:
    """No controls, one engraving, black on white, all of it on A4; pypdf reads the words."""
    from pypdf import PdfReader

    opened = open_page(ferry, color_scheme="dark")
    opened.press("b", " ")
    opened.play_until("window.heard.length > 1")
    opened.page.emulate_media(media="print")
    assert not opened.page.locator("#dock").is_visible()
    assert opened.page.locator(".engraving:visible").count() == 1
    assert opened.page.locator(".engraving.paper").is_visible()
    look = "getComputedStyle(document.querySelector('.paper .sounding use, .paper .fret')).fill"
    assert opened.page.evaluate(look) == "rgb(0, 0, 0)"
    data = opened.page.pdf(format="A4")
    pages = PdfReader(io.BytesIO(data)).pages
    words = "\n".join(page.extract_text() for page in pages)
    assert len(pages) == 2
    assert "Ferry Landing" in words
    assert "Tuning: open G" in words
    assert "Practice" not in words
    assert "Touch a note" not in words


def test_what_was_inferred_says_why(open_page: Open) -> None:
    """The sign of an unsure measure is reached by Tab, and shows the reason on focus and hover."""
    score = _unsure()
    opened = open_page(score)
    sign = opened.page.locator(".engraving.shown .unsure-sign").first
    sign.focus()
    tip = opened.page.locator("#tip")
    assert tip.is_visible()
    measure = next(m for m in score.measures if not m.rhythm.sure)
    assert f"Measure {measure.number}: {measure.rhythm.confidence:.0%} sure" in tip.inner_text()
    assert measure.rhythm.reasons[0] in tip.inner_text()
    opened.picture("page-unsure")
    opened.press("Escape")
    assert not tip.is_visible()
    sign.hover(force=True)
    assert tip.is_visible()


def test_weighs_little(long_tune: Score) -> None:
    """Under 400 kB for 32 measures. How soon it is ready: tests/benchmarks/page_marks.py."""
    assert len(tunes.written("lantern-stairs", "html")[0]) < 400_000
    assert tunes.case("lantern-stairs") == long_tune


HOSTILE = "</script><img src=x onerror=window.pwned=1></title><!--<script>window.pwned=1"


def test_what_somebody_typed_does_nothing(open_page: Open) -> None:
    """Title, composer, source, words, sections, chords, lyrics and reasons are only words."""
    score = tunes.case("every-sign")
    measures = list(score.measures)
    for index, measure in enumerate(measures):
        events = tuple(replace(e, lyric=HOSTILE if e.notes else None) for e in measure.events)
        chords = tuple(replace(c, text=HOSTILE) for c in measure.chords)
        rhythm = replace(measure.rhythm, sure=False, reasons=(HOSTILE, "${1}{{ 1 }}"))
        measures[index] = replace(
            measure, events=events, chords=chords, rhythm=rhythm, section=HOSTILE
        )
    hostile = replace(
        score,
        title=HOSTILE,
        composer=HOSTILE,
        source=HOSTILE,
        style=HOSTILE,
        notes=(HOSTILE, '"><svg onload=window.pwned=1>'),
        note_measures=(),
        measures=tuple(measures),
    )
    for screen in ("desk", "phone"):
        opened = open_page(hostile, *SCREENS[screen])
        page = opened.page
        opened.press(" ")
        page.locator(".engraving.shown .unsure-sign").first.focus()
        assert page.evaluate("window.pwned") is None
        assert page.title() == HOSTILE
        assert page.locator("img").count() == 0
        assert HOSTILE in page.locator("h1").inner_text()


def test_without_scripts_the_music_can_be_read(open_page: Open, ferry: Score, browser: Any) -> None:
    opened = open_page(ferry)
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(opened.page.url)
    assert page.locator(".engraving.paper").is_visible()
    assert page.locator("noscript").is_visible()
    context.close()
