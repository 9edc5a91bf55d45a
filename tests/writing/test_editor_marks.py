"""What music editors marked on proofs, each kind measured: bends, letters of links, grace notes,
sentences over their measure, shapes and the frets under them, the air between beams.

Rules are of Gould, Behind Bars (2011), from memory, or common practice, no source, of printed
banjo books. Lengths are units: a staff is 720, the space between two lines of the tab 315.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise

import pytest
from lxml import etree
from msgspec.structs import replace

import rollstave
from rollstave.deciding.shape_row import shape_changes, shape_measures, shape_row
from rollstave.deciding.shapes import suggest_fingers
from rollstave.notating.notation import notate
from rollstave.score.records import Event
from rollstave.writing.options import SheetOptions, View
from rollstave.writing.sheet.bends import _size_words
from tests import tunes
from tests.writing import everything
from tests.writing.test_sheet_geometry import SVG, Box, box_of, lines_of, offset, systems
from tests.writing.test_spacing import drawn, glyph_boxes, groups, kind, measures_of, numbers, reach

CASES = [p.stem for p in (*tunes.SAMPLES, *tunes.STRESS)]
SPACE = 315.0
E = Fraction(1, 2)


def of(system: etree._Element, name: str, tag: str = "path") -> list[etree._Element]:
    return [e for e in system.iter(f"{SVG}{tag}") if kind(e) == name]


# Letters of links ---------------------------------------------------------------------------


def _letters(case: str, look: str = "sheet") -> Iterator[tuple[Box, float, list[float]]]:
    """The box of every letter of a link, how far its base line is over the line of its string, and
    the heights of all lines."""
    for system in systems(drawn(case, look)):
        lines = list(lines_of(system))
        arcs = []
        for path in of(system, "arc"):
            points = numbers(path.get("d"))
            dx, dy = offset(path)
            arcs.append((points[0] + dx, points[1] + dy))
        for element in of(system, "link", "text"):
            box = box_of(element)
            near = [(x, y) for x, y in arcs if x - 250 < (box.left + box.right) / 2 < x + 900]
            own = min(near, key=lambda at: abs(at[1] - box.bottom), default=None)
            assert own is not None, (case, element.text)
            string = min(y for y in lines if y > own[1])
            yield box, string - box.bottom, lines


@pytest.mark.parametrize("look", ["sheet", "tab", "large"])
@pytest.mark.parametrize("case", ["left-hand", "ferry-landing", "nettle-hill", "slate-roof-rain"])
def test_letters_of_links_stand_over_their_arcs_on_every_string(case: str, look: str) -> None:
    found = list(_letters(case, look))
    assert found
    for box, over, lines in found:
        # Between its own string and the line above, or as high over string 1: nowhere else.
        assert 95 < over < 140
        assert box.bottom - box.top < SPACE - over
        assert not [y for y in lines if box.top - 20 < y < box.bottom + 20]
    assert max(over for _, over, _ in found) - min(over for _, over, _ in found) <= 6


def test_links_of_two_strings_at_once_have_their_letter_once_over_the_higher_arc() -> None:
    """Common practice, no source: two letters over each other would be read as two techniques."""
    found = 0
    for system in systems(drawn("left-hand")):
        arcs = sorted(
            (points[0] + offset(path)[0], points[1] + offset(path)[1])
            for path in of(system, "arc")
            for points in [numbers(path.get("d"))]
        )
        stacked = [
            (a, b) for a, b in pairwise(arcs) if b[0] - a[0] < 1 and b[1] - a[1] < 1.2 * SPACE
        ]
        letters = [box_of(element) for element in of(system, "link", "text")]
        for (x, y), (_, lower) in stacked:
            found += 1
            near = [box for box in letters if x - 250 < (box.left + box.right) / 2 < x + 900]
            assert [box for box in near if y - SPACE < box.bottom < y]
            assert not [box for box in near if y < box.bottom < lower + SPACE / 2]
        assert len(letters) == len(arcs) - len(stacked)
    assert found == 4


@pytest.mark.parametrize("case", ["left-hand", "graces", "nettle-hill"])
def test_arcs_rise_from_the_line_of_their_string(case: str) -> None:
    """An arc that lay on the line would be taken for a thicker line: under its middle is a quarter
    of the space between two lines, and it bends by its own thickness at least."""
    seen = 0
    for system in systems(drawn(case)):
        heights = sorted(lines_of(system))
        for name in ("arc", "tie"):
            for path in of(system, name):
                points = numbers(path.get("d"))
                y = points[1] + offset(path)[1]
                line = min(h for h in heights if h > y)
                inner = points[9] + offset(path)[1]
                low = y + 0.75 * (inner - y)  # the lower edge of its middle
                if points[6] - points[0] > 130:
                    seen += 1
                    assert line - low > SPACE / 4
                    assert y - low > 27
    assert seen > 2


# Bends --------------------------------------------------------------------------------------


def _bent(view: View, chords: bool) -> etree._Element:
    """Every string bent in turn, in eighths and sixteenths, two at once by as much and by less."""
    eighths = [(E, [(string, 3)]) for string in (1, 2, 3, 4, 1, 2, 3, 4)]
    short = [(E / 2, [(1, 5)]), (E / 2, [(1, 7)]), (E / 2, [(2, 10)]), (E / 2, [(2, 12)])]
    both = [(1, [(1, 10), (2, 10)]), (1, [(2, 3), (4, 3)]), (1, [(3, 5)])]
    score = tunes.score([eighths, [*short, *both]])
    measures = tuple(
        replace(m, events=tuple(_bend_all(e, place) for place, e in enumerate(m.events)))
        for m in score.measures
    )
    if chords:
        named = rollstave.read(
            "Title: A\nTime: 4/4\n\n  Em7    F#m7\n"
            "D|-0---0---|\nB|---------|\nG|---------|\nD|---------|\ng|---------|\n"
        )[0].score
        measures = tuple(replace(m, chords=named.measures[0].chords) for m in measures)
    score = replace(score, measures=measures)
    options = SheetOptions(paper=everything.LONG, view=view)
    return etree.fromstring(rollstave.write(score, "svg", options=options)[0])


def _bend_all(event: Event, place: int) -> Event:
    notes = tuple(replace(n, bend=1 + (place + i) % 3) for i, n in enumerate(event.notes))
    return replace(event, notes=notes)


@pytest.mark.parametrize("chords", [False, True])
@pytest.mark.parametrize("view", [View.BOTH, View.TAB])
def test_every_bend_is_an_arrow_over_the_tab_with_its_size_over_it(
    view: View, chords: bool
) -> None:
    root = _bent(view, chords)
    (system,) = systems((root,))
    layer = next(g for g in system.iter(f"{SVG}g") if kind(g) == "marks ornaments")
    tips = [p for p in of(layer, "bend") if p.get("fill") == "currentColor"]
    assert len(tips) == 17
    lines = [numbers(p.get("d"))[1] for g in groups(system, "marks lines") for p in g]
    top, bottom = min(lines), max(lines)
    # Stems and beams hang under the tab, so that nothing is in the way of an arrow.
    stems = [
        min(n[1], n[3])
        for g in groups(system, "tabDurSym")
        for s in groups(g, "stem")
        for n in (numbers(p.get("d")) for p in s.iterfind(f"{SVG}path"))
    ]
    assert min(stems) > bottom + 150
    points = [(numbers(p.get("d"))[0], numbers(p.get("d"))[1]) for p in tips]
    shafts = [p for p in of(layer, "bend") if p.get("fill") == "none"]
    assert len({numbers(p.get("d"))[4] for p in shafts}) == len(shafts) == 17  # none in another
    # Half a line's space over the figures of string 1, which reach 118 over their line.
    assert all(y < top - 118 - 158 for _, y in points)
    sizes = of(layer, "bend", "text")
    assert {t.text for t in sizes} == {"½", "full", "1½"}
    # No size is a lone figure that reads as a fret, and none stands on the lines or a digit.
    for size in sizes:
        box = box_of(size)
        down = min(lines_of(system)) - top
        assert box.bottom < top + down
        x = float(size.get("x", "0"))
        near = [py + down for px, py in points if abs(x - px) <= 210]
        assert near
        assert all(box.bottom < py + 20 for py in near)


def test_the_arrows_of_two_bends_at_once_do_not_run_into_one() -> None:
    """Of bends of two sizes: between two points is as much room as a point is wide, 76 units."""
    pairs = 0
    for system in systems((_bent(View.BOTH, chords=False),)):
        layer = next(g for g in system.iter(f"{SVG}g") if kind(g) == "marks ornaments")
        tips = [numbers(p.get("d"))[:2] for p in of(layer, "bend") if p.get("fill") != "none"]
        for (x, y), (other, there) in pairwise(sorted(tips)):
            if abs(y - there) < 1 and other - x < 200:
                pairs += 1
                assert other - x - 76 >= 15
    assert pairs == 2


def test_two_bends_of_a_size_have_one_bracket_beside_both_figures_and_heads() -> None:
    """Strings 1 and 2 bent at fret 10 at once, for a quarter note that no tie follows: a bracket
    holds both, clear of ledger lines, and one arrow goes up from it (common practice, no source).
    """
    score = tunes.score([[(1, [(1, 10), (2, 10)]), *((1, [(3, 0)]) for _ in range(3))]])
    (measure,) = score.measures
    struck = tuple(replace(note, bend=2) for note in measure.events[0].notes)
    events = replace(measure.events[0], notes=struck), *measure.events[1:]
    score = replace(score, measures=(replace(measure, events=events),))
    root = etree.fromstring(rollstave.write(score, "svg")[0])
    system = next(iter(systems((root,))))
    tens = [box_of(t) for t in of(system, "fret", "text") if t.text == "10"]
    assert len(tens) == 2
    moved = offset(of(system, "fret", "text")[0])
    for name, apart in (("marks ornaments", 315), ("marks bends", 180)):
        layer = next(g for g in system.iter(f"{SVG}g") if kind(g) == name)
        (bracket,) = (p for p in of(layer, "bend") if (p.get("d") or "").count("M") == 2)
        left, bottom, x, point, _, top, _ = numbers(bracket.get("d"))
        assert left < x
        assert bottom - top > apart
        assert point < top
        if name == "marks ornaments":
            assert max(t.right for t in tens) < x + moved[0]
        else:
            ledgers = [
                numbers(p.get("d"))
                for g in system.iter(f"{SVG}g")
                if "ledgerLines" in (g.get("class") or "")
                for p in g.iter(f"{SVG}path")
            ]
            assert min(abs(left - p[2]) for p in ledgers) > 20
            assert all(not p[0] < x < p[2] for p in ledgers)


def test_two_bends_that_are_tied_on_have_an_arrow_over_them_and_ties_from_their_figures() -> None:
    """Measure 1 of Rusty Hinge holds strings 1 and 2, bent at fret 10, over beat 3: each tie fills
    the room between its figures, where no bracket stands."""
    system = next(iter(systems(drawn("bends-and-ghosts"))))
    tens, held = (
        [box_of(t) for t in of(system, "fret", "text") if t.text == words]
        for words in ("10", "(10)")
    )
    assert len(tens) == len(held) == 2
    moved = offset(of(system, "fret", "text")[0])[0]
    (group,) = groups(system, "marks ties")
    starts = [numbers(p.get("d"))[0] + moved for p in group]
    assert len(starts) == 2
    assert all(0 < x - t.right < 60 for x, t in zip(starts, tens, strict=True))
    for name in ("marks ornaments", "marks bends"):
        (layer,) = groups(system, name)
        assert not [p for p in of(layer, "bend") if (p.get("d") or "").count("M") == 2]
        points = [numbers(p.get("d"))[0] + moved for p in of(layer, "bend") if p.get("stroke")]
        assert any(tens[0].left < x < tens[0].right for x in points)


def test_the_letter_of_a_tap_stands_over_its_figure() -> None:
    root = drawn("bends-and-ghosts")[0]
    seen = 0
    for system in systems((root,)):
        frets = [box_of(t) for t in of(system, "fret", "text")]
        for letter in of(system, "link", "text"):
            if letter.text != "t":
                continue
            seen += 1
            box = box_of(letter)
            x = (box.left + box.right) / 2
            (own,) = [f for f in frets if f.left < x < f.right and 0 < f.bottom - box.bottom < 400]
            assert abs((own.left + own.right) / 2 - x) < 40
            assert float(letter.get("y", "0")) < own.bottom - 0.64 * 328
    assert seen == 1


@pytest.mark.parametrize("view", [View.BOTH, View.STAFF])
def test_the_staff_has_an_arrow_beside_or_over_each_head_that_is_bent(view: View) -> None:
    (system,) = systems((_bent(view, chords=False),))
    layer = next(g for g in system.iter(f"{SVG}g") if kind(g) == "marks bends")
    tips = [p for p in of(layer, "bend") if p.get("fill") == "currentColor"]
    assert len(tips) >= 15  # of a chord with no room one is enough


# Grace notes --------------------------------------------------------------------------------


def _curve(path: etree._Element) -> Iterator[tuple[float, float]]:
    """Points of the upper edge of an arc."""
    x0, y0, x1, y1, x2, y2, x3, y3 = numbers(path.get("d"))[:8]
    for step in range(21):
        t = step / 20
        a, b, c, d = (1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t**2 * (1 - t), t**3
        yield a * x0 + b * x1 + c * x2 + d * x3, a * y0 + b * y1 + c * y2 + d * y3


def test_slurs_of_grace_notes_run_under_accidentals_and_their_parentheses() -> None:
    seen = 0
    for root in drawn("graces"):
        for system in systems((root,)):
            signs = [s for s in glyph_boxes(root, system, "accid") if s.right - s.left > 60]
            for path in of(system, "caution"):
                points = numbers(path.get("d"))
                xs, ys = points[::2], points[1::2]
                signs.append(Box("", "caution", min(xs), min(ys), max(xs), max(ys)))
            for path in of(system, "grace-slur"):
                seen += 1
                for x, y in _curve(path):
                    # A third of a space under what it runs under: nearer, the two run together.
                    near = [s for s in signs if s.left + 30 < x < s.right and s.top < y]
                    assert all(y > s.bottom + 60 for s in near)
    assert seen > 3


def test_flags_of_grace_notes_keep_clear_of_accidentals() -> None:
    seen = 0
    for root in drawn("graces"):
        for system in systems((root,)):
            signs = glyph_boxes(root, system, "accid")
            for path in of(system, "grace"):
                if "c12 70" not in (path.get("d") or ""):
                    continue  # a stem or a beam
                seen += 1
                x, y = numbers(path.get("d"))[:2]
                flag = Box("", "flag", x, y, x + 112, y + 300)  # its outline, and ten units of air
                assert not [s for s in signs if _overlap(s, flag)]
    assert seen > 8


def test_small_heads_stand_over_their_digits_with_room_for_what_leads_on() -> None:
    places: dict[str, float] = {}
    for root in drawn("graces"):
        for system in systems((root,)):
            for group in groups(system, "note"):
                at = re.search(r"-([nt]\d+-\d+-g\d+)-\d+$", group.get("id") or "")
                if at is None:
                    continue
                digit = group.find(f"{SVG}text")
                if digit is not None:
                    places[at[1]] = float(digit.get("x", "0"))
                elif (use := next(group.iter(f"{SVG}use"), None)) is not None:
                    places[at[1]] = numbers(use.get("transform"))[0] + 85
    pairs = [(x, places["t" + name[1:]]) for name, x in places.items() if name[0] == "n"]
    assert len(pairs) >= 10
    assert sum(abs(head - digit) < 60 for head, digit in pairs) >= 0.7 * len(pairs)


# Sentences ----------------------------------------------------------------------------------

SAID = """Title: Two Gates
Tuning: gDGBD
Time: 2/4

Play it as it comes.

A part

D|-0---0---|-0---0---|
B|---------|---------|
G|---------|---------|
D|---------|---------|
g|---------|---------|

B part
{first}

D|-0---0---|-0---0---|
B|---------|---------|
G|---------|---------|
D|---------|---------|
g|---------|---------|

{second}

D|-0---0---|-0---0---|
B|---------|---------|
G|---------|---------|
D|---------|---------|
g|---------|---------|

Stop there.
"""
SHORT = "Lean on the gate here."
LONG = "Wait for the ferry, then play these measures as if nobody had been listening to you. " * 2


@pytest.mark.parametrize("first", [SHORT, LONG.strip()])
def test_a_sentence_stands_over_the_measure_before_which_it_was_typed(first: str) -> None:
    (tune,) = rollstave.read(SAID.format(first=first, second="More softly now."))
    options = SheetOptions(paper=everything.LONG, as_typed=True)
    root = etree.fromstring(rollstave.write(tune.score, "svg", options=options)[0])
    first_system, second, third = systems((root,))
    assert not of(first_system, "remark", "text")
    said = of(second, "remark", "text")
    assert " ".join(reversed([t.text or "" for t in said])) == first
    assert [t.text for t in of(third, "remark", "text")] == ["More softly now."]
    heading = of(second, "section", "text")
    assert len(heading) == 1
    same = [t for t in said if t.get("y") == heading[0].get("y")]
    assert len(same) == (1 if first == SHORT else 0)
    boxes = [box_of(t) for t in (*said, *heading)]
    for one in boxes:
        assert not [b for b in boxes if b is not one and _overlap(one, b)]
    (foot,) = [g for g in root.iter(f"{SVG}g") if kind(g) == "notes"]
    assert [t.text for t in foot] == ["Play it as it comes.", "Stop there."]


def _overlap(a: Box, b: Box) -> bool:
    return a.left < b.right and b.left < a.right and a.top < b.bottom and b.top < a.bottom


def test_a_figure_has_no_sentences_and_the_page_has_them_in_its_words() -> None:
    (tune,) = rollstave.read(SAID.format(first=SHORT, second="More softly now."))
    figure = SheetOptions(title_block=False, width=150.0)
    root = etree.fromstring(rollstave.write(tune.score, "svg", options=figure)[0])
    assert not of(root, "remark", "text")
    page = rollstave.write(tune.score, "html")
    words = (page[0] if isinstance(page, list) else page).decode()
    assert words.count(SHORT) == 1


# Words --------------------------------------------------------------------------------------


def test_the_heading_of_the_first_strain_stands_over_it() -> None:
    root = drawn("long-title")[0]
    over = [t.text for s in systems((root,)) for t in of(s, "remark", "text")]
    assert over == [
        "The first walk, from the quay upwards",
        "The second walk, with the lamp held high and the dog in front",
    ]
    assert not list(groups(root, "notes"))


def test_headings_of_strains_are_not_smaller_than_the_tempo() -> None:
    """The heading of a part ranks over the tempo (common practice, no source)."""
    root = drawn("long-title")[0]
    tempo, *_ = (
        float(t.get("font-size", "0")) for s in systems((root,)) for t in of(s, "pace", "text")
    )
    found = [t for s in systems((root,)) for t in of(s, "remark", "text")]
    assert len(found) == 2
    assert all(float(t.get("font-size", "0")) >= tempo for t in found)
    assert all(t.get("font-weight") for t in found)


def bar_lines(system: etree._Element) -> list[float]:
    found = (numbers(p.get("d"))[0] for g in groups(system, "barLine") for p in g if p.get("d"))
    return sorted(found)


@pytest.mark.parametrize("look", ["sheet", "staff", "tab"])
@pytest.mark.parametrize("case", ["verses", "nettle-hill"])
def test_syllables_of_all_verses_stand_on_the_axis_of_their_note(case: str, look: str) -> None:
    """Words are centred under their notes (Gould, Behind Bars, 2011, from memory), those of all
    verses on one axis, and no word or hyphen lies on a bar line."""
    prefix, near = ("t", 60) if look == "tab" else ("n", 30)
    score = tunes.case(case)
    seen, astray = 0, list[float]()
    for system in systems(drawn(case, look)):
        middles: dict[tuple[int, int], float] = {}
        for group in groups(system, "note"):
            at = re.search(rf"-{prefix}(\d+)-(\d+)-0-\d$", group.get("id") or "")
            if at is None:
                continue
            head = next(group.iter(f"{SVG}use"), None)
            digit = group.find(f"{SVG}text")
            if prefix == "n" and head is not None:
                wide = 314 * 0.72 / 2  # half of a head: SMuFL 1.4, noteheadBlack of the font
                middles[int(at[1]), int(at[2])] = numbers(head.get("transform"))[0] + wide
            elif digit is not None:
                middles[int(at[1]), int(at[2])] = float(digit.get("x", "0"))
        sung = [
            middles[m, e]
            for m in measures_of(system)
            for e, event in enumerate(score.measures[m].events)
            if event.sung
        ]
        for word in of(system, "lyric", "text"):
            seen += 1
            box, by = box_of(word), offset(word)[0]
            left, right = box.left - by, box.right - by
            astray.append(min(abs((left + right) / 2 - x) for x in sung))
            assert not [b for b in bar_lines(system) if left - 15 < b < right + 15]
        for hyphen in of(system, "hyphen", "rect"):
            x = float(hyphen.get("x", "0"))
            assert not [b for b in bar_lines(system) if x - 10 < b < x + 88]
    assert seen > 20
    # Three long words in a row lean a little, where notes of one length keep their distances.
    assert max(astray) < 170
    assert sum(by < near for by in astray) > 0.9 * seen


@pytest.mark.parametrize("case", ["verses", "nettle-hill"])
def test_words_keep_clear_of_bar_lines_and_beams(case: str) -> None:
    """Half a space (90) at each side of a bar line, and under a beam: no word reads as run into
    it (common practice, no source)."""
    seen = 0
    for system in systems(drawn(case)):
        beams = []
        for polygon in (p for g in groups(system, "beam") for p in g.iterfind(f"{SVG}polygon")):
            points = numbers(polygon.get("points"))
            xs, ys = points[::2], [y + offset(polygon)[1] for y in points[1::2]]
            beams.append((min(xs), max(xs), max(ys)))
        for word in of(system, "lyric", "text"):
            seen += 1
            box, by = box_of(word), offset(word)[0]
            left, right = box.left - by, box.right - by
            assert all(b < left - 90 or right + 90 < b for b in bar_lines(system)), word.text
            over = [y for a, b, y in beams if a < right and left < b and y < box.bottom]
            assert all(y < box.top - 60 for y in over), word.text
    assert seen > 20


def test_numbers_of_verses_stand_under_each_other_before_every_system() -> None:
    for system in systems(drawn("verses")):
        found = of(system, "verse", "text")
        assert [t.text for t in found] == ["1.", "2.", "3."]
        assert len({t.get("x") for t in found}) == 1
        first = min(float(t.get("x", "0")) for t in of(system, "lyric", "text"))
        assert float(found[0].get("x", "0")) < first - 30


@pytest.mark.parametrize("look", ["sheet", "staff", "tab"])
def test_the_tempo_is_said_once(look: str) -> None:
    """The metronome mark follows the tempo in words on one line (Gould, Behind Bars, 2011, from
    memory), and stands over the first time signature, about, where there are none."""
    root = drawn("verses", look)[0]
    first = next(systems((root,)))
    marks = [t for t in root.iter(f"{SVG}text") if (t.text or "").endswith("= 76")]
    assert len(marks) == 1
    (words,) = of(first, "pace", "text")
    assert marks[0].get("y") == words.get("y")
    assert box_of(words).right < box_of(marks[0]).left
    other = drawn("quince-orchard-waltz", look)[0]
    (block,) = groups(other, "title-block")
    assert not [t.text for t in block.iter(f"{SVG}text") if (t.text or "").startswith("= ")]
    first = next(systems((other,)))
    (mark,) = (box_of(t) for t in first.iter(f"{SVG}text") if (t.text or "").startswith("= "))
    (meter,) = (g for g in groups(first, "meterSig"))
    left = min(numbers(use.get("transform"))[0] for use in meter.iter(f"{SVG}use"))
    at = left + offset(meter)[0]
    assert at - 610 < mark.left < at + 700  # its note stands before the sign of equality


# Brushes ------------------------------------------------------------------------------------

BRUSHED = """Title: Whitewash
Tuning: gDGBD
Time: 2/4
{style}
D|-0---0---|-0---0{sign}-|
B|-0---0---|-0---0---|
G|-----0---|-----0---|
D|-----0---|-----0---|
g|---------|---------|
"""


@pytest.mark.parametrize(
    ("style", "sign", "brushed"),
    [
        # A style that brushes asks for brushes where none has a sign; with signs, they say which.
        ("Style: down-picking\n", "--", [True, True, True, True]),
        ("Style: down-picking\n", "br", [False, False, False, True]),
        ("", "--", [False, False, False, False]),
        ("", "br", [False, False, False, True]),
    ],
)
def test_no_brush_is_drawn_that_nobody_asked_for(
    style: str, sign: str, brushed: list[bool]
) -> None:
    (tune,) = rollstave.read(BRUSHED.format(style=style, sign=sign))
    assert [e.brush for m in tune.score.measures for e in m.events if e.notes] == brushed
    root = etree.fromstring(rollstave.write(tune, "svg")[0])
    drawn_ = {kind(p) for p in root.iter(f"{SVG}path")}
    assert ("brush" in drawn_) == any(brushed)


# Accidentals that only warn -----------------------------------------------------------------


@pytest.mark.parametrize("case", ["long-title", "capo", "left-hand", "chord-every-beat"])
def test_parentheses_of_accidentals_are_close_and_clear(case: str) -> None:
    """They touch neither the head nor what stands before them (Gould, Behind Bars, 2011, from
    memory: accidentals that warn may have brackets)."""
    seen = 0
    for root in drawn(case):
        for system in systems((root,)):
            heads = glyph_boxes(root, system, "notehead")
            found = of(system, "caution")
            for left, right in zip(found[::2], found[1::2], strict=True):
                seen += 1
                a, b = numbers(left.get("d")), numbers(right.get("d"))
                ground = Box("", "caution", a[0] - 46, min(a[1::2]), b[0] + 46, max(a[1::2]))
                assert ground.right - ground.left < 280
                assert not [h for h in heads if _overlap(h, ground)]
    assert seen


def test_an_accidental_that_warns_leaves_eighths_even() -> None:
    """Before it is as much room as before any other accidental of the tune, or little more."""
    for system in systems(drawn("long-title")):
        xs = {
            (int(at[1]), int(at[2])): float(text.get("x", "0"))
            for g in groups(system, "note")
            if (at := re.search(r"-t(\d+)-(\d+)-0-\d$", g.get("id") or ""))
            and (text := g.find(f"{SVG}text")) is not None
        }
        gaps = [xs[m, e + 1] - x for (m, e), x in xs.items() if (m, e + 1) in xs]
        assert max(gaps) < 1.2 * min(gaps)


# Muted notes --------------------------------------------------------------------------------


def test_crosses_a_third_apart_do_not_touch() -> None:
    # A third is one space of the staff, 180 units; thickness of the stroke included.
    seen = 0
    for root in drawn("bends-and-ghosts"):
        (outline,) = [g for g in root.iter(f"{SVG}g") if (g.get("id") or "").endswith("E0A9")]
        for use in root.iter(f"{SVG}use"):
            if use.get("{http://www.w3.org/1999/xlink}href") != f"#{outline.get('id')}":
                continue
            seen += 1
            _, _, wide, tall = numbers(use.get("transform"))
            thick = float(use.get("stroke-width", "0"))
            assert tall * (250 + thick) < 170  # SMuFL 1.4, noteheadXBlack: one space tall
            assert 140 < tall * 250 < wide * 290
    assert seen >= 9


# Shapes -------------------------------------------------------------------------------------


@pytest.mark.parametrize("case", CASES)
def test_a_chord_of_several_shapes_says_where_each_is_held(case: str) -> None:
    score = tunes.case(case)
    root = drawn(case)[0]
    shapes = [g for row in groups(root, "chord-row") for g in groups(row, "chord-shape")]
    shown = [" ".join(t.text or "" for t in of(g, "shape-place", "text")) for g in shapes]
    row = shape_row(score)
    where = shape_measures(score)
    names = [shape.name for shape in row]
    assert len(shown) == len(row)
    for shape, words in zip(row, shown, strict=True):
        assert words or names.count(shape.name) == 1
        if words:
            # Each measure from which on the chord has this shape, until it has another; a range
            # would take in measures that other chords are in between.
            told = [str(score.measures[first].number) for first, _ in where[shape]]
            assert words == f"from {'m.' if len(told) == 1 else 'mm.'} {', '.join(told)}"


def test_the_only_shape_of_a_chord_that_comes_late_says_from_where() -> None:
    """Thornhedge Corner strikes B at fret 4 in measure 1, and at 8 and 9, where its shape is, in 4:
    counted in the typed tab. In Whitewash Morning G is typed over
    measures 1 and 3, and 1 ends with a brush of 2-1-2-0; in the Long
    Causeway it fits at once and not later, which the foot says."""
    for case, name, told in (
        ("five-sharps", "B", "from m. 4"),
        ("brushes", "G", "from m. 3"),
        ("sixty-four", "G", ""),
    ):
        shapes = zip(
            shape_row(tunes.case(case)), groups(drawn(case)[0], "chord-shape"), strict=True
        )
        (group,) = (group for shape, group in shapes if shape.name == name)
        assert " ".join(t.text or "" for t in of(group, "shape-place", "text")) == told, case


def test_measures_of_a_shape_are_all_in_which_it_is_held() -> None:
    """Read off the typed frets of nettle-hill, measure by measure."""
    score = tunes.case("nettle-hill")
    where = {
        (shape.name, shape.frets): [(a + 1, b + 1) for a, b in pairs]
        for shape, pairs in shape_measures(score).items()
    }
    assert where["Dm", (3, 2, 2, 0, 0)] == [(4, 4)]
    assert where["Dm", (7, 5, 7, None, 7)] == [(9, 13)]  # G string 7 5 7 5: the melody comes back
    assert where["F", (3, 0, 2, 3, 0)] == [(2, 7), (17, 17)]
    assert where["F", (7, 5, 5, None, 7)] == [(11, 16)]


def test_a_fret_number_stands_away_from_the_rings_of_open_strings() -> None:
    seen = 0
    for case in ("nettle-hill", "lantern-stairs", "brushes"):
        for row in groups(drawn(case)[0], "chord-row"):
            for shape in groups(row, "chord-shape"):
                for number in of(shape, "fret-number", "text"):
                    for ring in of(shape, "open-string", "circle"):
                        # No ring at its height ends less than a string's distance before it.
                        dy = float(number.get("y") or 0) - 88 - float(ring.get("cy") or 0)
                        dx = float(number.get("x") or 0) - float(ring.get("cx") or 0)
                        assert abs(dy) > 130 or dx > 400
                        seen += 1
    assert seen > 6


def test_the_thumb_stops_the_short_string_of_a_shape() -> None:
    # Common practice, no source; the tune says so in a sentence, too.
    root = drawn("nettle-hill")[0]
    fingers = [
        "".join(sorted(t.text or "" for t in of(g, "left-finger", "text")))
        for row in groups(root, "chord-row")
        for g in groups(row, "chord-shape")
    ]
    fretted = [bool(shape.frets[4]) for shape in shape_row(tunes.case("nettle-hill"))]
    assert fretted.count(True) == 3
    assert ["T" in found for found in fingers] == fretted
    assert suggest_fingers((7, 5, 5, None, 7), 5).fingers == (3, 2, 1, None, None)


FALSE = """Title: False Friends
Tuning: gDGBD
Time: 2/4

  D9      Amaj7   G
D|-----4-|-------|-----0-|
B|-------|---2---|---0---|
G|-------|-2-----|-0-----|
D|-0-----|-------|-------|
g|-------|-------|-------|
"""


def test_no_shape_is_drawn_that_is_not_the_chord_or_contradicts_what_is_struck() -> None:
    # D9 is struck as an open fourth string and F sharp at fret 4: none of an easy D9 (2 1 2 4).
    # Amaj7 without its seventh (G sharp) is an A.
    (tune,) = rollstave.read(FALSE)
    assert [s.name for s in shape_row(tune.score)] == ["G"]
    assert [c.shape.name for c in shape_changes(tune.score)] == ["G"]


BRUSHED_LOWER = """Title: Whitewash Corner
Tuning: gDGBD
Time: 2/4

  D7
D|-----10---|
B|-----10---|
G|-----11---|
D|-0---{}----|
g|----------|
"""


@pytest.mark.parametrize(("fret", "shown"), [("9", False), ("-", True)])
def test_no_shape_is_drawn_with_a_string_open_that_is_struck_below_its_fingers(
    fret: str, shown: bool
) -> None:
    # B on the fourth string at 9 is no tone of D7 (D F sharp A C), and no finger of a hand that
    # lies at 10 to 11 has it too: what is held is no D7.
    (tune,) = rollstave.read(BRUSHED_LOWER.format(fret))
    assert [s.frets[:3] for s in shape_row(tune.score)] == [(10, 10, 11)] * shown


LOW_AND_HIGH = """Title: Up and Down
Tuning: gDGBD
Time: 2/4

  C               C
D|-2---2---|-10--10--|
B|---0---1-|---8---8-|
G|---------|-----9---|
D|---------|---------|
g|-----0---|---------|
"""


def test_a_shape_far_from_what_is_played_does_not_stand_for_it() -> None:
    (tune,) = rollstave.read(LOW_AND_HIGH)
    shapes = [s.frets for s in shape_row(tune.score) if s.name == "C"]
    # The first measure strikes string 1 at 2: common practice, C in open G is 2 0 1 2.
    assert any(frets[0] == 2 for frets in shapes)
    assert any(frets[:3] == (10, 8, 9) for frets in shapes)


def test_no_finger_lies_where_the_tune_plays_an_open_string_all_through_a_chord() -> None:
    # A in double C with capo 2 over an open third string: the usual shape would stop it at 4.
    row = {s.name: s.frets for s in reversed(shape_row(tunes.case("slate-roof-rain")))}
    assert row["A"] == (0, 2, 0, 2, 0)


# Fingers that a sentence asks for -----------------------------------------------------------

ASKED = """Title: Gate
Tuning: gDGBD
Time: 2/4

{}

D|-0-----0-|-0-----0-|
B|---0-----|---0-----|
G|-----0---|-----0---|
D|---------|---------|
g|---------|---------|
"""


def _on_string(text: str, string: int) -> set[str]:
    (tune,) = rollstave.read(text)
    notes = [n for m in tune.score.measures for e in m.events for n in e.notes]
    return {str(n.finger.value) for n in notes if n.string == string and n.finger}


@pytest.mark.parametrize(
    ("sentence", "string", "finger"),
    [
        ("Take the second string with the middle finger.", 2, "M"),
        ("Let the index play the third string throughout.", 3, "I"),
        ("Pick the first string with the index finger.", 1, "I"),
    ],
)
def test_a_sentence_asks_for_a_finger(sentence: str, string: int, finger: str) -> None:
    assert _on_string(ASKED.format(sentence), string) == {finger}


@pytest.mark.parametrize(
    "sentence",
    [
        "Never take the second string with the middle finger.",
        "Hold the second string with the middle finger.",
        "Fret the second string with your middle finger.",
        "The thumb and the middle finger share the second string.",
    ],
)
def test_other_sentences_ask_for_none(sentence: str) -> None:
    assert _on_string(ASKED.format(sentence), 2) == _on_string(ASKED.format("Gently."), 2)


# Room ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("case", CASES)
def test_beams_of_the_staff_keep_a_space_from_those_of_the_tab(case: str) -> None:
    for system in systems(drawn(case)):
        lines = list(lines_of(system))
        staff: list[tuple[float, float, float]] = []
        tab: list[tuple[float, float, float]] = []
        for group in groups(system, "beam"):
            for polygon in group.iterfind(f"{SVG}polygon"):
                points = numbers(polygon.get("points"))
                dy = offset(polygon)[1]
                xs, ys = points[::2], [y + dy for y in points[1::2]]
                over = bool(groups(group, "tabDurSym"))
                (tab if over else staff).append((min(xs), max(xs), min(ys) if over else max(ys)))
        for left, right, low in staff:
            for other_left, other_right, high in tab:
                if left < other_right and other_left < right and high < min(lines):
                    assert high - low >= 140


@pytest.mark.parametrize("case", CASES)
def test_no_page_is_pulled_apart_to_fill_it(case: str) -> None:
    """Less is between the lines of two systems than a system is high, or little more."""
    for root in drawn(case):
        found = [reach(system) for system in systems((root,))]
        for (start, end, _), (next_start, _, _) in pairwise(found):
            assert next_start - end < 1.25 * (end - start)


def test_a_page_before_a_shorter_one_is_not_stretched_to_its_foot() -> None:
    """Systems of the waltz stand on both of its pages as near as they do in a tune of one page:
    between them is less than a system is high, with the stems and letters under its tab."""
    roots = drawn("quince-orchard-waltz")
    counts = [len(list(systems((root,)))) for root in roots]
    assert counts == [4, 2]
    for root in roots:
        found = [reach(system) for system in systems((root,))]
        for (begin, end, _), (start, _, _) in pairwise(found):
            assert start - end < 0.9 * (end - begin)


@pytest.mark.parametrize("case", ["slides", "left-hand"])
def test_a_short_note_that_leads_on_is_no_wider_than_a_longer_one(case: str) -> None:
    """Between the digits of a link of a sixteenth is no more room than between eighths that stand
    in the same system (Gould, Behind Bars, 2011, from memory: longer notes have more room)."""
    notated = notate(tunes.case(case))
    seen = 0
    for system in systems(drawn(case)):
        places = {
            name[1]: float(found[0].get("x", "0"))
            for g in groups(system, "note")
            if (name := re.search(r"-t(\d+-\d+)-0-\d$", g.get("id") or ""))
            and (found := g.findall(f"{SVG}text"))
        }
        short: list[float] = []
        long: list[float] = []
        for index in measures_of(system):
            played = [s for s in notated[index].symbols if s.heads]
            for one, after in pairwise(played):
                a, b = (places.get(f"{index}-{s.event_index}") for s in (one, after))
                if a is None or b is None or any(h.accidental is not None for h in after.heads):
                    continue
                if one.value == "16th" and after.heads[0].note.link is not None:
                    short.append(b - a)
                elif one.value == "eighth" and not one.dots:
                    long.append(b - a)
        if short and long:
            seen += len(short)
            assert max(short) < 1.02 * min(long)
    assert seen > 5


@pytest.mark.parametrize("semitones", range(1, 9))
def test_the_size_of_a_bend_is_told_in_whole_tones(semitones: int) -> None:
    """Two semitones are a whole tone, which players call full (common practice, no source)."""
    words = _size_words(semitones)
    assert words.replace("full", "1").replace("½", ".5") in (
        f"{semitones / 2:g}",
        f"{semitones / 2:g}".removeprefix("0"),
    )
