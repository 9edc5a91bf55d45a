"""Taking the systems out of Verovio's SVG: where each staff line and note stands, and what else
is drawn where.

What tab needs drawn otherwise is taken out or made plain on the way: the lines of the tab, the
frets, the brackets of endings, the syllables.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence

from lxml import etree
from msgspec import Struct, field

from rollstave.writing.note_ids import STAFF_PREFIX, TAB_PREFIX
from rollstave.writing.options import View
from rollstave.writing.sheet.beam_room import clear_beams
from rollstave.writing.sheet.beside import part_lowest
from rollstave.writing.sheet.brackets import PARENTHESIS, square_brackets
from rollstave.writing.sheet.closing_up import (
    FIGURE,
    MARK_WIDE,
    needed_gap,
    reach_of,
    shorten,
    words_down,
)
from rollstave.writing.sheet.crosses import MUTED, part_crosses, settle_cross
from rollstave.writing.sheet.engraving import HREF, LYRIC_SIZE, SVG, StaffLines, System
from rollstave.writing.sheet.glyphs import outline_box
from rollstave.writing.sheet.skyline import Box
from rollstave.writing.sheet.tab_signs import (
    CLEF,
    DOT,
    close_lines,
    part_figures,
    part_octave,
    settle_clef,
    settle_dots,
)
from rollstave.writing.sheet.taking_texts import lay_text_flat, take_ending, take_fret
from rollstave.writing.sheet.tuplets import THREE, off_lines, over_stems, tuplet_of

_PATH, _POLYGON, _POLYLINE, _ELLIPSE, _USE, _TEXT = _DRAWN = tuple(
    f"{{{SVG}}}{name}" for name in ("path", "polygon", "polyline", "ellipse", "use", "text")
)
_GROUP = f"{{{SVG}}}g"
_NO_OBSTACLES = {"staff", "barLine", "system", "grpSym"}
_VEROVIO_TAB_STEM, _STEM = "31", "18"  # one thickness for the stems of staff and tab
_NUMBER = r"-?\d+(?:\.\d+)?"
_POINT = re.compile(rf"({_NUMBER})[ ,]({_NUMBER})")
_PLACED = re.compile(
    rf"translate\(({_NUMBER}),? ?({_NUMBER})\)(?: scale\(({_NUMBER}),? ?({_NUMBER})\))?"
)
# Ids that Verovio makes up: letters and digits without the hyphens that ours have; the class of
# the end of a section or an ending names one too. They differ from one engraving to the next.
# Two patterns that begin with plain text, for which ``re`` searches ten times as fast as for one
# with a choice.
_MADE_UP = (
    # A made-up id may by chance be an m and figures, as those of measures are, but longer.
    (re.compile(r' id="(?!m\d{1,5}")[a-z][0-9a-z]{4,9}"'), ""),
    (re.compile(r'ilestoneEnd [a-z][0-9a-z]{4,9}"'), 'ilestoneEnd"'),
)


class Glyphs(Struct):
    """The outlines of music signs by name, and the reach of each at scale 1."""

    outlines: dict[str, etree._Element] = field(default_factory=dict)
    boxes: dict[str, Box] = field(default_factory=dict)

    def take(self, root: etree._Element) -> None:
        """Add those that a page of Verovio's SVG defines, under names without its suffix."""
        for glyph in root.iterfind(f"{{{SVG}}}defs/{_GROUP}"):
            name = _glyph_name(glyph.get("id", ""))
            if name not in self.outlines:
                glyph.set("id", name)
                self.outlines[name] = glyph
                # Verovio's glyphs have y upwards.
                left, top, right, bottom = outline_box("".join(p.get("d", "") for p in glyph))
                self.boxes[f"#{name}"] = Box(left, -bottom, right, -top)

    def in_order(self) -> list[etree._Element]:
        return [self.outlines[name] for name in sorted(self.outlines)]


def _glyph_name(name: str) -> str:
    """Our name for a glyph that Verovio calls ``E0A4-l19nj5e9``."""
    return "glyph-" + name.rpartition("-")[0]


def take_page(
    svg: str, glyphs: Glyphs, view: View, over: Mapping[str, float], under: bool = False
) -> Iterator[System]:
    """The systems on a page of Verovio's SVG, from top to bottom; its glyphs go to ``glyphs``.
    ``over`` has, by the ids of notes of the tab, how far their marks reach over its top line.
    With ``under``, the lowest staff of each is another version, taken as a system of its own."""
    for made_up, instead in _MADE_UP:
        svg = made_up.sub(instead, svg)
    root = etree.fromstring(svg.encode(), etree.XMLParser(huge_tree=True))
    glyphs.take(root)
    # A list, because systems lose parts while we walk over them.
    for element in list(root.iter(_GROUP)):
        if element.get("class") == "system":
            other = part_lowest(element) if under else None
            system = _take_system(element, glyphs.boxes, view, over)
            if other is not None:
                system.under = _take_system(other, glyphs.boxes, View.TAB, {})
            yield system


def _take_system(
    element: etree._Element, boxes: dict[str, Box], view: View, over: Mapping[str, float]
) -> System:
    staves: list[list[StaffLines]] = [[], []]
    system = System(element=element, staff=None, tab=None, top=0.0, bottom=0.0)
    for group in list(element):
        kinds = group.get("class", "").split()
        if "placeholder" in kinds:
            # Verovio marks breaks with dots that its own style sheet hides.
            element.remove(group)
        elif kinds == ["measure"]:
            # Chord names only kept the room that ours take.
            for name in [g for g in group if g.get("class") == "harm"]:
                group.remove(name)
            index = int(group.get("id", "m0").lstrip("m"))
            system.measures.append(index)
            for number, staff in enumerate(g for g in group if g.get("class") == "staff"):
                is_tab = view is View.TAB or (view is View.BOTH and number == 1)
                lines = _take_lines(staff, is_tab)
                staves[int(is_tab)].append(lines)
                system.spans[index] = (lines.left, lines.right)
    system.staff, system.tab = (_joined(s) for s in staves)
    _take_drawn(system, boxes, view, over)
    return system


def _take_lines(staff: etree._Element, is_tab: bool) -> StaffLines:
    """Read the lines of a staff; those of a tab are taken out, to be drawn again around what
    really stands on them."""
    heights: list[float] = []
    xs: list[float] = []
    for child in list(staff):
        if child.tag != _PATH:
            break
        points = _POINT.findall(child.get("d", ""))
        height = float(points[0][1])
        if height not in heights:
            heights.append(height)
        xs.extend((float(points[0][0]), float(points[-1][0])))
        if is_tab:
            staff.remove(child)
    return StaffLines(heights, min(xs), max(xs))


def _joined(parts: list[StaffLines]) -> StaffLines | None:
    if not parts:
        return None
    return StaffLines(parts[0].heights, parts[0].left, parts[-1].right)


def _take_drawn(
    system: System, boxes: dict[str, Box], view: View, over: Mapping[str, float]
) -> None:
    """Note every note's place, and the box of everything that Verovio drew: lines, beams, curves,
    glyphs, texts. What stands on the tab is moved near the staff."""
    for group in list(system.element.iter(_GROUP)):
        if PARENTHESIS in boxes and group.get("class") in ("chord", "note"):
            square_brackets(group, system.staff)
        if MUTED in boxes and group.get("class") == "chord":
            part_crosses(group, boxes[MUTED])
    on_tab = _tab_groups(system, view) if system.tab is not None else []
    tab_items = [item for group in on_tab for item in group.iter(*_DRAWN)]
    threes = _tuplets(on_tab) if (three := boxes.get(f"#glyph-{THREE}")) is not None else []
    its = set(tab_items)
    # A list, because texts lose their spans while we walk over them.
    items = [item for item in system.element.iter(*_DRAWN) if item not in its]
    raw = (system.tab.heights[0], system.tab.heights[-1]) if system.tab is not None else (0.0, 0.0)
    raw_top = raw[0]
    system.top = system.bottom = system.first.heights[0]
    _numbers_off_lines(system, three, threes)
    clear_beams([i for i in items if i.tag == _USE and _kind(i) == "accid"], boxes)
    brackets, words = _take_items(system, [i for i in items if _kind(i) != "barLine"], boxes)
    for text in words:
        lay_text_flat(system, text)
    reached = [t.reach for g in threes if three and (t := tuplet_of(g, three))]
    down = _close_up(system, tab_items, raw_top, over, reached)
    for group in system.element.iter(_GROUP):
        if group.get("class") in ("barLine", "grpSym") or group is system.element:
            _stretch(group, raw_top, down)
    for item in tab_items:
        if not shorten(item, kind := _kind(item), raw, down) and kind != "clef":
            _move_down(item, down)
    close_lines(system.element, system.first.right)
    dots = [item for item in items if item.tag == _USE and _kind(item) == "barLine"]
    _settle(system, boxes)
    for group in threes:
        if three is not None and system.tab is not None:
            over_stems(group, three, (system.tab.heights[0], system.tab.heights[-1]))
    for staff in on_tab:
        _drop_empty(staff)
    _take_items(system, [dot for dot in dots if dot.getparent() is not None], boxes)
    for text in _take_items(system, tab_items, boxes)[1]:
        lay_text_flat(system, text)
    for bracket in brackets:
        take_ending(system, bracket)
    system.bottom = max(system.bottom, system.last.heights[-1])


def _tab_groups(system: System, view: View) -> list[etree._Element]:
    """The groups of the tab, one for each measure."""
    found = []
    for group in system.element:
        if group.get("class") == "measure":
            staves = [g for g in group if g.get("class") == "staff"]
            found += staves if view is View.TAB else staves[1:]
    return found


def _drop_empty(staff: etree._Element) -> None:
    """Take out the layer of a tab that is only there so that the stems of the next one hang."""
    layer = next((g for g in staff if g.get("class") == "layer"), None)
    if layer is not None and [g.get("class") for g in layer] == ["mSpace"]:
        staff.remove(layer)


def _tuplets(on_tab: list[etree._Element]) -> list[etree._Element]:
    return [g for staff in on_tab for g in staff.iter(_GROUP) if g.get("class") == "tuplet"]


def _numbers_off_lines(system: System, three: Box | None, on_tab: Sequence[etree._Element]) -> None:
    """Take the numbers of tuplets of the staff off its lines."""
    if three is None or system.staff is None:
        return
    lines = system.staff.heights[0], system.staff.heights[-1]
    for group in system.element.iter(_GROUP):
        if group.get("class") == "tuplet" and group not in on_tab:
            off_lines(group, three, lines)


def _close_up(
    system: System,
    tab_items: list[etree._Element],
    raw_top: float,
    over: Mapping[str, float],
    numbers: list[tuple[float, float, float]],
) -> float:
    """Put the lines of the tab as near to the staff as what stands between them allows, the
    ``numbers`` of tuplets too. Returns how far down they went: mostly less than 0, for most go
    up."""
    lower = words_down(system.lyrics, system.drawn.boxes)
    for element, _ in system.lyrics:
        element.set("y", f"{float(element.get('y', '0')) + lower:g}")
    if system.staff is None or system.tab is None:
        return 0.0
    reached = [r for item in tab_items if (r := reach_of(item, _kind(item), raw_top))] + numbers
    for item in tab_items:
        if item.tag == _TEXT and (name := _holder(item).get("id", "")):
            x = float(item.get("x", "0"))
            if (high := over.get(name)) is not None:
                reached.append((x - MARK_WIDE, x + MARK_WIDE, high))
            elif name.endswith("-1"):  # a figure on the first string
                reached.append((x - FIGURE, x + FIGURE, FIGURE))
    words = [float(element.get("y", "0")) for element, _ in system.lyrics]
    system.sung = len(set(words)) * 1.25 * LYRIC_SIZE
    gap = needed_gap(system.staff, system.drawn.boxes, reached, words)
    down = round(system.staff.heights[-1] + gap - raw_top)
    system.tab.heights = [height + down for height in system.tab.heights]
    return float(down)


def _stretch(group: etree._Element, raw_top: float, down: float) -> None:
    """Let bar lines and the line at the left of a system reach to the lines of the tab."""
    for item in group.iterfind(_PATH):
        points = [(x, float(y)) for x, y in _POINT.findall(item.get("d", ""))]
        if any(y >= raw_top - 1 for _, y in points):
            ends = [f"{x} {y + down if y >= raw_top - 1 else y:g}" for x, y in points]
            item.set("d", f"M{' L'.join(ends)}")


def _move_down(item: etree._Element, down: float) -> None:
    """Move a glyph, a dot or a text of the tab."""
    if item.tag == _TEXT:
        item.set("y", f"{float(item.get('y', '0')) + down:g}")
    elif item.tag == _ELLIPSE:
        item.set("cy", f"{float(item.get('cy', '0')) + down:g}")
    elif item.tag == _USE:
        moved = _PLACED.search(item.get("transform", ""))
        if moved is not None:
            x, y, wide = moved[1], float(moved[2]) + down, moved[3] or 1
            item.set("transform", f"translate({x}, {y:g}) scale({wide}, {moved[4] or wide})")
    elif item.tag in (_PATH, _POLYLINE, _POLYGON):
        for key in ("d", "points"):
            if line := item.get(key):
                item.set(key, _POINT.sub(lambda m: f"{m[1]} {float(m[2]) + down:g}", line))


def _kind(item: etree._Element) -> str:
    return _holder(item).get("class", "")


def _take_items(
    system: System, items: list[etree._Element], boxes: dict[str, Box]
) -> tuple[list[etree._Element], list[etree._Element]]:
    """Note the boxes of what is drawn; the brackets of endings and the words, to be seen to when
    everything has its place."""
    brackets: dict[etree._Element, None] = {}
    words: list[etree._Element] = []
    for item in items:
        tag, holder = item.tag, _holder(item)
        kind = holder.get("class", "")
        if kind == "voltaBracket":
            brackets[holder] = None
        elif tag in (_PATH, _POLYGON, _POLYLINE):
            if kind == "stem" and item.get("stroke-width") == _VEROVIO_TAB_STEM:
                item.set("stroke-width", _STEM)
            if kind not in _NO_OBSTACLES and (box := _line_box(item)):
                system.take(box)
        elif tag == _USE:
            _take_glyph(system, item, boxes)
        elif tag == _TEXT:
            name = holder.get("id", "")
            if kind.startswith("note") and name[:1] == TAB_PREFIX:
                take_fret(system, item, name)
            else:
                words.append(item)
        elif tag == _ELLIPSE:
            x, y, r = (float(item.get(key, "0")) for key in ("cx", "cy", "rx"))
            system.take(Box(x - r, y - r, x + r, y + r))
    return list(brackets), words


def _settle(system: System, boxes: dict[str, Box]) -> None:
    """Put right what Verovio sets as on a staff of five lines."""
    staves = [lines for lines in (system.staff, system.tab) if lines is not None]
    dot, clef = (boxes.get(f"#glyph-{name}") for name in (DOT, CLEF))
    for group in system.element.iter(_GROUP):
        kind = group.get("class")
        if kind == "barLine" and dot is not None:
            settle_dots(group, staves, dot)
        elif kind == "meterSig" and system.time_left is None:
            places = [_PLACED.search(use.get("transform", "")) for use in group.iter(_USE)]
            system.time_left = min((float(p[1]) for p in places if p), default=None)
            if system.staff is None and system.tab is not None:
                part_figures(group, system.tab)
        elif kind == "octave":
            part_octave(group)
        elif kind == "clef" and clef is not None and system.tab is not None:
            for use in group.iterfind(_USE):
                settle_clef(use, system.tab, clef)


def _holder(item: etree._Element) -> etree._Element:
    """The group that something drawn stands in: a stem, a note head, a staff."""
    parent = item.getparent()
    assert parent is not None  # a drawing is below its system
    return parent


def _line_box(item: etree._Element) -> Box | None:
    """The reach of a line, a beam or a curve, with the thickness of its stroke."""
    path = item.get("d", "") or item.get("points", "")
    points = _POINT.findall(path)
    if not points:
        return None
    xs = [float(x) for x, _ in points]
    ys = [float(y) for _, y in points]
    if "C" in path:
        # A curve bends three quarters of the way to its control points.
        ys = [ys[0] + 0.75 * (y - ys[0]) for y in ys]
    return Box(min(xs) - 10, min(ys) - 8, max(xs) + 10, max(ys) + 8)


def _take_glyph(system: System, use: etree._Element, boxes: dict[str, Box]) -> None:
    """Give a music sign the name of our outline; note its box, and the place of a note."""
    name = "#" + _glyph_name(use.get(HREF, "").lstrip("#"))
    use.set(HREF, name)
    match = _PLACED.search(use.get("transform", ""))
    if match is None or (box := boxes.get(name)) is None:
        return
    x, y, scale = float(match[1]), float(match[2]), float(match[3] or 1)
    tall = float(match[4] or scale)
    if name == MUTED:
        tall = settle_cross(use, x, y, scale)
    system.take(
        Box(
            x + scale * box.left,
            y + tall * box.top,
            x + scale * box.right,
            y + tall * box.bottom,
        )
    )
    head = _holder(use)
    note = _holder(head).get("id", "")
    if head.get("class") == "notehead" and note.startswith(STAFF_PREFIX):
        system.places[note] = (x + scale * (box.left + box.right) / 2, y)
