"""Playing, in a real browser: what is marked against the score's own times, loop, tempo, keys.

Times are those of the page's audio clock, which is stepped here (see conftest). The rules that are
tested are those of the issue that asked for the page: marks within 30 ms, tempo 30 to 120%, a touch
plays from there.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest
from msgspec.structs import replace

import rollstave
from rollstave.deciding.playback import play_order
from rollstave.score.records import Score
from tests import tunes
from tests.writing.page.conftest import Open, Opened

NEAR = 0.030  # seconds
HALF_A_FRAME = 1 / 120 + 1e-4  # seconds, and the page's own rounding of it to milliseconds


def _expected(score: Score) -> list[tuple[Fraction, int, list[str]]]:
    """Time in quarter notes, measure and the ids on staff and tab of all that is played."""
    found = []
    start = Fraction(0)
    for index in play_order(score.measures):
        measure = score.measures[index]
        for position, event in enumerate(measure.events):
            ids = [
                f"{staff}{index}-{position}-0-{note.string}"
                for note in event.notes
                for staff in "nt"
            ]
            if ids:
                found.append((start + event.onset, index, ids))
        start += measure.length
    return found


def _heard(opened: Opened, count: int) -> list[dict[str, Any]]:
    """The marks so far, once there are so many."""
    opened.play_until(f"window.heard.length >= {count}")
    found = opened.page.evaluate("window.heard.filter((h) => h.ids.length)")
    assert isinstance(found, list)
    return found


def _fast(score: Score) -> Score:
    """The score at a tempo that leaves no room for lateness."""
    return replace(score, tempo=Fraction(240))


LATENCY = 0.12  # seconds from the audio clock to the loudspeaker, as of wireless headphones


def test_marks_against_the_score(open_page: Open, ferry: Score) -> None:
    """Every note of the tune is marked on both staves at once, repeats included, at the score's
    own time: in the frame that is nearest to when it leaves the loudspeaker (at 60 frames a second
    never more than 8.4 ms off; the issue asks for 30), wherever in a frame that falls."""
    score = _fast(ferry)
    expected = _expected(score)
    opened = open_page(score)
    opened.page.evaluate(f"steppedTime.latency = {LATENCY}")
    opened.press("b", " ")  # without counting first
    opened.play_until("window.heard.length && !rollstave.state.playing")
    heard = _heard(opened, len(expected))
    assert len(heard) == len(expected)
    first = heard[0]["planned"]
    for (at, measure, ids), mark in zip(expected, heard, strict=True):
        assert mark["ids"] == ids
        assert mark["measure"] == measure
        assert sorted(mark["lit"]) == sorted(f"w250-{name}" for name in ids)
        due = first + float(at * 60 / score.sounding_tempo)
        assert mark["planned"] == pytest.approx(due, abs=1e-6)
        assert abs(mark["now"] - LATENCY - due) < min(NEAR, HALF_A_FRAME)


def test_marks_by_the_browsers_own_clocks(open_page: Open, ferry: Score) -> None:
    """Real sound, real frames: a mark is never early by more than half a frame, in the order of
    the score. How late the slowest comes is the machine's (tests/benchmarks/page_marks.py)."""
    score = _fast(ferry)
    opened = open_page(score, real_time=True)
    opened.press("b", " ")
    opened.wait_for("window.heard.length >= 8")
    marks = opened.page.evaluate("window.heard")
    assert [mark["ids"] for mark in marks] == [ids for _, _, ids in _expected(score)][: len(marks)]
    assert all(mark["heard"] >= mark["planned"] - HALF_A_FRAME for mark in marks)


def test_counts_a_measure_first(open_page: Open, ferry: Score) -> None:
    """A full measure is counted, and of the pickup's own measure what lies before it (common
    practice): 4 beats and 3 before the two eighths of Ferry Landing."""
    opened = open_page(_fast(ferry))
    opened.page.evaluate(
        """() => { window.counts = [];
        new MutationObserver(() => {
          const shown = document.getElementById("count").textContent;
          if (shown) window.counts.push(Number(shown));
        }).observe(document.getElementById("count"), { childList: true }); }"""
    )
    opened.press(" ")
    _heard(opened, 1)
    assert opened.page.evaluate("window.counts") == [1, 2, 3, 4, 1, 2, 3]


def test_a_touch_plays_from_there(open_page: Open, ferry: Score) -> None:
    opened = open_page(ferry)
    opened.press("b")
    opened.page.locator("#w250-t3-4-0-3").click(force=True)
    heard = _heard(opened, 2)
    assert heard[0]["ids"] == ["n3-4-0-3", "t3-4-0-3"]
    assert heard[1]["ids"][0].startswith("n3-5-")
    # While it plays, a touch on the staff goes on from that note.
    opened.page.locator("#w250-n2-0-0-3 use").click(force=True)
    opened.play_until("window.heard.at(-1).measure === 2")
    assert opened.state()["playing"]


def test_pause_stays_and_goes_on(open_page: Open, ferry: Score) -> None:
    opened = open_page(_fast(ferry))
    opened.press("b", " ")
    _heard(opened, 6)
    opened.press(" ")
    state = opened.state()
    assert not state["playing"]
    assert opened.page.locator(".sounding").count() == 0
    count = opened.page.evaluate("window.heard.length")
    opened.play_on(2.0)
    assert opened.page.evaluate("window.heard.length") == count
    opened.press(" ")
    again = _heard(opened, count + 1)[count]
    assert (again["measure"], again["turn"]) == (state["measure"], state["turn"])


@pytest.mark.parametrize("percent", [30, 60, 120])
def test_tempo(open_page: Open, ferry: Score, percent: int) -> None:
    """A quarter note lasts 60 s / (tempo * percent / 100): the definition of the metronome mark."""
    score = _fast(ferry)
    opened = open_page(score)
    opened.page.locator("#tempo").fill(str(percent))
    assert opened.state()["percent"] == percent
    assert f"{percent}%" in opened.page.locator("#tempo-words").inner_text()
    opened.press("b", " ")
    heard = _heard(opened, 5)
    for (at, _, _), mark in zip(_expected(score), heard, strict=False):
        due = heard[0]["planned"] + float(at) * 60 / (240 * percent / 100)
        assert mark["planned"] == pytest.approx(due, abs=1e-6)


def test_tempo_has_ends_and_keys(open_page: Open, ferry: Score) -> None:
    opened = open_page(ferry)
    opened.press(*["-"] * 20)
    assert opened.state()["percent"] == 30
    opened.press(*["+"] * 25)
    assert opened.state()["percent"] == 120
    opened.press("0")
    assert opened.state()["percent"] == 100


def test_tempo_changes_while_it_plays(open_page: Open, ferry: Score) -> None:
    """No note is lost or doubled, and from soon after the change notes come at the new pace."""
    score = _fast(ferry)
    opened = open_page(score)
    opened.press("b", " ")
    _heard(opened, 8)
    opened.page.locator("#tempo").fill("50")
    heard = _heard(opened, 24)
    assert [mark["ids"] for mark in heard] == [ids for _, _, ids in _expected(score)][: len(heard)]
    eighth = heard[-1]["planned"] - heard[-2]["planned"]
    assert eighth == pytest.approx(0.25, abs=1e-6)


def _drag(opened: Opened, first: str, last: str) -> None:
    boxes = [opened.page.locator(f"#{name}").bounding_box() for name in (first, last)]
    mouse = opened.page.mouse
    for step, box in enumerate(boxes):
        assert box is not None
        x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
        mouse.move(x, y, steps=6)
        if step == 0:
            mouse.down()
    mouse.up()


def test_loop_by_dragging_and_speed_up(open_page: Open, ferry: Score) -> None:
    score = _fast(ferry)
    opened = open_page(score)
    _drag(opened, "w250-t2-0-0-3", "w250-t3-6-0-5")
    state = opened.state()
    assert state["loop"] == [2, 3]
    assert state["looping"]
    assert not state["playing"]
    assert opened.page.locator(".engraving.shown rect.looped").count() == 2
    opened.page.locator("#tempo").fill("90")
    opened.press("u", "b", " ")
    heard = _heard(opened, 16 * 3 + 2)
    played = [(mark["measure"], mark["round"]) for mark in heard]
    assert {measure for measure, _ in played} == {2, 3}
    assert [count for _, count in played[:50]] == [1] * 16 + [2] * 16 + [3] * 16 + [4] * 2
    # Three more in a hundred each time round, up to the tune's own tempo; the eighths tell.
    starts = [i for i, m in enumerate(heard) if m["ids"][0].startswith("n2-0-")]
    paces = [heard[i + 1]["planned"] - heard[i]["planned"] for i in starts if i + 1 < len(heard)]
    for pace, percent in zip(paces, (90, 93, 96, 99), strict=False):
        assert pace == pytest.approx(30 / (240 * percent / 100), abs=1e-6)
    # No gap where it comes round: the first note follows the last by one eighth.
    gap = heard[starts[1]]["planned"] - heard[starts[1] - 1]["planned"]
    assert gap == pytest.approx(paces[0], abs=1e-6)


def _fingers(opened: Opened, places: list[tuple[float, float]]) -> None:
    """Touch, move and let go, as the touch screen itself would send it."""
    screen = opened.page.context.new_cdp_session(opened.page)
    for step, (x, y) in enumerate(places):
        kind = "touchMove" if step else "touchStart"
        points = [{"x": x, "y": y}]
        screen.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})
    screen.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})


def test_touching_a_phone(open_page: Open, ferry: Score) -> None:
    """A tap plays, a finger drawn along a line loops its measures, a finger drawn up scrolls."""
    opened = open_page(ferry, 375, 720, has_touch=True, is_mobile=True)
    page = opened.page
    box = page.locator("#w90-t2-0-0-3").bounding_box()
    assert box is not None
    x, y = box["x"] + 5, box["y"] + 5
    _fingers(opened, [(200, 500), *((200, 500 - 20 * n) for n in range(1, 12))])
    opened.wait_for("scrollY > 50")
    opened.play_on(1.0)
    assert not opened.state()["playing"]
    assert opened.state()["loop"] is None
    # The swipe may still be gliding, so the page is sent to its top until it stays there.
    opened.wait_for("(scrollTo({ top: 0, behavior: 'instant' }), scrollY === 0)")
    opened.play_on(0.3)
    opened.wait_for("(scrollTo({ top: 0, behavior: 'instant' }), scrollY === 0)")
    _fingers(opened, [(x, y), *((x - 15 * n, y) for n in range(1, 12))])
    assert opened.state()["loop"] == [1, 2]
    opened.press("l")
    page.touchscreen.tap(x, y)
    _heard(opened, 1)
    assert (opened.state()["measure"], opened.state()["playing"]) == (2, True)


def test_loop_with_the_keyboard_and_the_lists(open_page: Open, ferry: Score) -> None:
    opened = open_page(ferry)
    opened.press("Shift+ArrowRight", "Shift+ArrowRight", "[", "Shift+ArrowRight", "]")
    assert opened.state()["loop"] == [2, 3]
    opened.press("l")
    assert not opened.state()["looping"]
    opened.press("l")
    assert opened.state()["looping"]
    opened.press("p")
    opened.page.locator("#loop-from").select_option(label="11")
    assert opened.state()["loop"] == [11, 11]
    opened.page.locator("#loop-to").select_option(label="14")
    assert opened.state()["loop"] == [11, 14]
    opened.press("\\")
    assert opened.state()["loop"] is None


def test_a_loop_over_endings_takes_the_shortest_way(open_page: Open, ferry: Score) -> None:
    """Measures 6 and 9 (the second ending): the tune goes from one to the other only in its
    second turn. Worked out by hand from the sample's repeat and endings."""
    opened = open_page(_fast(ferry))
    opened.press("p")
    opened.page.locator("#loop-from").select_option(label="6")
    opened.page.locator("#loop-to").select_option(label="9")
    opened.press("b")
    opened.page.locator("#play").click()
    heard = _heard(opened, 26)
    order = []
    for mark in heard:
        if not order or order[-1] != mark["measure"]:
            order.append(mark["measure"])
    assert order[:3] == [6, 9, 6]


KEYS = {
    "ArrowRight": ("event", 1),
    "Shift+ArrowRight": ("measure", 1),
    "End": ("measure", 18),
}


@pytest.mark.parametrize("key", sorted(KEYS))
def test_keys_that_move(open_page: Open, ferry: Score, key: str) -> None:
    opened = open_page(ferry)
    opened.press(key)
    name, value = KEYS[key]
    assert opened.state()[name] == value
    told = opened.page.locator("#told").inner_text()
    assert "string" in told
    assert "Measure" in told
    opened.press("Home")
    assert (opened.state()["measure"], opened.state()["event"]) == (0, 0)


def test_every_control_is_reached_by_tab(open_page: Open, ferry: Score) -> None:
    """WCAG 2.2, 2.1.1 and 2.4.7: all controls by keyboard, and the focus can be seen."""
    opened = open_page(ferry)
    opened.press("p")
    total = opened.page.locator("#dock :is(button, select, input):visible").count()
    reached = set()
    for _ in range(total + 12):
        opened.press("Tab")
        found = opened.page.evaluate(
            """() => { const e = document.activeElement; const s = getComputedStyle(e);
            return e.closest("#dock") && [e.id || e.dataset.hear + e.dataset.value,
              s.outlineStyle !== "none" && parseFloat(s.outlineWidth) >= 2]; }"""
        )
        if found:
            reached.add(found[0])
            assert found[1], found
    assert len(reached) == total


def test_help_lists_keys_and_letters_can_be_turned_off(open_page: Open, ferry: Score) -> None:
    """WCAG 2.2, 2.1.4: keys of one character can be turned off."""
    opened = open_page(ferry)
    opened.press("?")
    assert opened.page.locator("#help").is_visible()
    assert opened.page.locator("#key-list kbd").count() > 20
    opened.page.locator("#letter-keys").uncheck()
    opened.press("Escape")
    assert not opened.page.locator("#help").is_visible()
    opened.press("l")
    assert not opened.state()["looping"]
    opened.press("ArrowRight")
    assert opened.state()["event"] == 1


def _audible(opened: Opened) -> set[str]:
    """Ids on the tab of the notes that are not shown as muted."""
    found = opened.page.evaluate(
        """[...document.querySelectorAll(".engraving.shown .note:not(.muted)")]
        .map((n) => n.id.slice(5)).filter((n) => n.startsWith("t"))"""
    )
    return set(found)


def test_practice_by_string_and_finger(open_page: Open, ferry: Score) -> None:
    opened = open_page(_fast(ferry))
    everything = _audible(opened)
    opened.press("5")
    assert _audible(opened) == {n for n in everything if not n.endswith("-5")}
    opened.press("5", "o")
    thumb = {
        f"t{m.index}-{i}-0-{n.string}"
        for m in ferry.measures
        for i, e in enumerate(m.events)
        for n in e.notes
        if n.finger and n.finger.value == "T"
    }
    # Notes that the left hand makes belong to the finger that struck the string.
    made = _audible(opened) - thumb
    linked = {
        f"t{m.index}-{i}-0-{n.string}"
        for m in ferry.measures
        for i, e in enumerate(m.events)
        for n in e.notes
        if n.link
    }
    assert thumb <= _audible(opened)
    assert made <= linked
    opened.press("b", " ")
    heard = _heard(opened, 30)
    for mark in heard:
        assert set(mark["ids"][1::2]) <= thumb | linked
    opened.press("h")
    assert _audible(opened) == everything


def test_drone_and_melody(open_page: Open, ferry: Score) -> None:
    """The fifth string struck open is drone (common practice, no source)."""
    opened = open_page(ferry)
    everything = _audible(opened)
    opened.press("d")
    melody = _audible(opened)
    assert not any(name.endswith("-5") for name in melody)
    opened.press("d", "a")
    assert _audible(opened) == everything - melody


def test_muted_notes_are_not_sent_to_the_sound(open_page: Open, ferry: Score) -> None:
    """What the sound is told, counted in the page: no string 5 while it is off."""
    opened = open_page(_fast(ferry))
    opened.page.evaluate(
        """async () => {
          const { Sound } = await import("rollstave/sound");
          window.struck = [];
          const before = Sound.prototype.strike;
          Sound.prototype.strike = function (notes, when, brush) {
            window.struck.push(...notes.map((n) => n.string));
            return before.call(this, notes, when, brush);
          };
        }"""
    )
    opened.press("5", "b", " ")
    _heard(opened, 20)
    struck = opened.page.evaluate("window.struck")
    assert len(struck) > 15
    assert 5 not in struck


def test_every_tune_plays_to_its_end(open_page: Open) -> None:
    """The tune of every sign: bends, slides from nowhere, brushes, harmonics, muted strokes."""
    score = replace(tunes.case("every-sign"), tempo=Fraction(480))
    opened = open_page(score)
    opened.press("b", " ")
    opened.play_until("window.heard.length && !rollstave.state.playing")
    heard = [h["ids"] for h in opened.page.evaluate("window.heard") if h["ids"]]
    assert heard == [ids for _, _, ids in _expected(score)]


GUITAR = """Title: Quay Steps
Instrument: guitar
Time: 4/4

E|-0-------3-------|-----------------|
B|---1-------1-----|-3-------1-------|
G|-----0-------0---|---2-------0-----|
D|-------2-------2-|-----0-------2---|
A|-3---------------|-----------------|
E|-----------------|-------3-------3-|
"""


@pytest.mark.parametrize("view", list(rollstave.View))
def test_other_instruments_and_views_play(open_page: Open, view: rollstave.View) -> None:
    """Six strings, nothing known of the picking hand; with one staff only that one is marked."""
    (tune,) = rollstave.read(GUITAR)
    opened = open_page(_fast(tune.score), options=rollstave.SheetOptions(view=view, large=True))
    opened.press("p", "6", "b")
    assert not opened.page.locator('[data-hear="finger"]').count()
    opened.page.locator("#play").click()
    opened.play_until("window.heard.length && !rollstave.state.playing")
    marks = opened.page.evaluate("window.heard")
    struck = sum(bool(e.notes) for m in tune.score.measures for e in m.events)
    assert len(marks) == struck
    lit = {name[5] for mark in marks for name in mark["lit"]}
    assert lit == {key for key, has in (("n", view.has_staff), ("t", view.has_tab)) if has}


RECORD = """async () => {
  const { Sound } = await import("rollstave/sound");
  const strike = Sound.prototype.strike;
  window.struck = [];
  Sound.prototype.strike = function (notes, when, ...more) {
    window.struck.push([notes.map((note) => note.midi), when]);
    return strike.call(this, notes, when, ...more);
  };
}"""


def test_grace_notes_sound_before_their_note(open_page: Open) -> None:
    """A3 (57) on the beat, B flat 3 (58) a thirty-second later, at 60 quarter notes a minute an
    eighth of a second; the next note half a second after the beat, as without them."""
    rows = (
        "D|--------0-------------|\n"
        "B|------------0---------|\n"
        "G|-{2}h3----------------|\n"
        "D|----------------------|\n"
        "g|----------------------|\n"
        "      1   &   2\n"
    )
    head = "Title: Reed Pier\nTuning: gDGBD\nTime: 2/4\nTempo: 60\n\n"
    (tune,) = rollstave.read(head + rows)
    assert tune.score.measures[0].events[0].grace
    opened = open_page(tune.score)
    opened.page.evaluate(RECORD)
    opened.press("b", " ")
    opened.play_until("window.struck.length >= 3")
    struck = opened.page.evaluate("window.struck.slice(0, 3)")
    start = struck[0][1]
    times = [round(when - start, 3) for _, when in struck]
    events = tune.score.measures[0].events
    pitches = [[57], *([n.pitch.midi for n in e.notes] for e in events[:2])]
    assert [notes for notes, _ in struck] == pitches
    assert times == [0.0, 0.125, float(events[1].onset)]
