"""Grace notes: small digits on the tab, small stems on the staff.

Verovio places them; their stems are drawn here, since Verovio would join them to the beam in
which their note stands. Stems go up whatever the notes around do, one note has a stroke through
its flag and several have two beams (common practice of engraving: Gould, Behind Bars, 2011, from
memory). Lengths are in units.
"""

from __future__ import annotations

from lxml import etree

from rollstave.notating.notation import NotatedMeasure, Symbol
from rollstave.patterns import rare
from rollstave.vocabulary.signs import LINKS
from rollstave.writing.fonts import CAP_HEIGHT
from rollstave.writing.frets import GRACE_SIZE
from rollstave.writing.note_ids import STAFF_PREFIX, TAB_PREFIX, grace_id, id_of
from rollstave.writing.sheet.context import BRUSH_OFFSET, MarkContext, half_width, tab_id
from rollstave.writing.sheet.drawing import number, path, shape, text
from rollstave.writing.sheet.engraving import FRET_STYLE, STAFF_SPACE, SVG
from rollstave.writing.sheet.skyline import Box

_HEAD = 85.0  # half the width of a small head
_STEM = 2.25 * STAFF_SPACE  # from the highest head to the end of the stem
_THICK = 16.0
_BEAM, _BEAM_APART = 46.0, 80.0
_FLAG_WIDE, _FLAG_TALL = 132.0, 300.0  # of the flag, with a little air
_ASIDE = 0.0, -30.0, -60.0, -90.0  # how far a head makes room for its flag
_LONGER, _LONGEST = (
    45.0,
    8,
)  # a stem whose flag would run into something is so much longer, so often
_FLAG = "c12 70 105 95 100 215c-2 35 -8 60 -18 85c12 -95 -12 -125 -82 -160Z"
_MAIN_HEAD = 118.0  # half the width of a head, and a little air
_SLUR_DROP, _SLUR_DEPTH = 92.0, 85.0  # of a slur: under the heads, and how deep it hangs
_SLUR_CLEAR = 80.0  # between an accidental and a slur under it
_SIGN_ROUND = 30.0  # the lowest point of an accidental or a parenthesis is so far inside its side
_LAST_WAY = 0.75  # of the width of a slur: after that it rises to its head
_SLUR_THICK, _SLUR_EDGE = 34.0, 9.0  # between the points of its edges, and the line around it
_SLASHES = (58.0, 88.0), (58.0, 60.0), (58.0, 36.0), (36.0, 24.0)  # left and right of the stem
_AIR = 24.0  # between the digits of two grace notes, and before their note

_NEAR = 25.0  # heads so near the middle of their digit stay
_TOUCHING, _TALLEST = 45.0, 500.0  # of what goes with a small head: an accidental, a ledger line
_PLACE = rare(r"\((-?[\d.]+)")

Drawn = tuple[float, float, float]  # x of the stem, highest and lowest head


def draw_graces(context: MarkContext, layer: etree._Element) -> None:
    """Draw the grace notes of both staves."""
    for notated in context.notated:
        for symbol in notated.symbols:
            if symbol.grace and context.system.staff is not None:
                _on_staff(context, layer, notated, symbol)


def _on_staff(
    context: MarkContext, layer: etree._Element, notated: NotatedMeasure, symbol: Symbol
) -> None:
    stems: list[Drawn] = []
    for position in range(len(symbol.grace)):
        _over_digit(context, notated, symbol, position)
    if len(symbol.grace) == 1:
        _make_room(context, notated, symbol)
    for position, group in enumerate(symbol.grace):
        places = [
            context.system.places[name]
            for head in group
            if (name := _id(STAFF_PREFIX, notated, symbol, position, head.note.string))
            in context.system.places
        ]
        if places:
            x = max(x for x, _ in places) + _HEAD - _THICK / 2
            heights = [y for _, y in places]
            stems.append((x, min(heights), max(heights)))
    if not stems:
        return
    top = min(highest for _, highest, _ in stems) - _STEM
    if len(stems) == 1:
        top = _clear_of(context, stems[0][0], top)
    for x, _, lowest in stems:
        path(layer, f"M{number(x)} {number(lowest - 12)}V{number(top)}", _THICK, class_="grace")
    first, last = stems[0][0], stems[-1][0]
    if len(stems) == 1:
        d = f"M{number(first)} {number(top)}{_FLAG}"
        shape(layer, "path", class_="grace", fill="currentColor", d=d)
        # Over the stem, short enough to be clear of what stands on either side of it.
        for left, right in _SLASHES:
            low, high = top + 138 + 0.8 * left, top + 138 - 0.8 * right
            ground = Box(first - left, high, first + right, low)
            if context.system.drawn.free(ground):
                break
        path(
            layer,
            f"M{number(ground.left)} {number(ground.bottom)}"
            f"L{number(ground.right)} {number(ground.top)}",
            _THICK,
            class_="grace-slash",
        )
        last += _FLAG_WIDE
    else:
        left, right = first - _THICK / 2, last + _THICK / 2
        for row in range(2):
            y = top + row * _BEAM_APART
            d = f"M{number(left)} {number(y)}H{number(right)}v{number(_BEAM)}H{number(left)}Z"
            shape(layer, "path", class_="grace", fill="currentColor", d=d)
    _slurs(context, layer, notated, symbol)
    context.system.take(Box(first - 58, top - 10, last + 10, max(low for _, _, low in stems)))


def _over_digit(
    context: MarkContext, notated: NotatedMeasure, symbol: Symbol, position: int
) -> None:
    """Move the heads of a group over their digit, for which the tab keeps more room before the note
    than Verovio keeps on the staff."""
    system = context.system
    strings = [head.note.string for head in symbol.grace[position]]
    digit = system.places.get(_id(TAB_PREFIX, notated, symbol, position, strings[0]))
    heads = [_id(STAFF_PREFIX, notated, symbol, position, string) for string in strings]
    heads = [name for name in heads if name in system.places]
    if digit is None or not heads:
        return
    by = digit[0] - min(system.places[name][0] for name in heads)
    if by < -_NEAR:
        _move(context, heads, by)


def _make_room(context: MarkContext, notated: NotatedMeasure, symbol: Symbol) -> None:
    """Move a single small head, or those of a chord, a little to the left where its flag would run
    into the accidental of the note after it."""
    strings = [head.note.string for head in symbol.grace[0]]
    names = [_id(STAFF_PREFIX, notated, symbol, 0, string) for string in strings]
    names = [name for name in names if name in context.system.places]
    if not names:
        return
    places = [context.system.places[name] for name in names]
    x = max(x for x, _ in places) + _HEAD - _THICK / 2
    top = min(y for _, y in places) - _STEM
    bars = context.bar_lines()
    for by in _ASIDE:
        flag = Box(x + by + _THICK, top, x + by + _FLAG_WIDE, top + _FLAG_TALL)
        heads = Box(min(x for x, _ in places) + by - _HEAD, top, x + by, top + _STEM)
        if context.system.drawn.free(flag) and bars.free(heads, _AIR):
            if by:
                _move(context, names, by)
            return


def _move(context: MarkContext, heads: list[str], by: float) -> None:
    """Move small heads with their accidentals and lines, unless they would run into something."""
    system = context.system
    mine = _ground_of(context, [system.places[name] for name in heads])
    others = [box for box in system.drawn.boxes if box not in mine]
    after = [box._replace(left=box.left + by, right=box.right + by) for box in mine]
    for old, new in zip(mine, after, strict=True):
        if any(new.overlaps(box) and not old.overlaps(box) for box in others):
            return
    system.drawn.boxes[:] = [*others, *after]
    for element in system.element.iter(f"{{{SVG}}}g"):
        if element.get("id", "") in heads:
            for placed in element.iter(f"{{{SVG}}}use", f"{{{SVG}}}path"):
                at = placed.get("transform", "")
                moved = _PLACE.sub(lambda m: f"({number(float(m[1]) + by)}", at, count=1)
                if moved != at:
                    placed.set("transform", moved)
    for name in heads:
        x, y = system.places[name]
        system.places[name] = x + by, y


def _ground_of(context: MarkContext, heads: list[tuple[float, float]]) -> list[Box]:
    """The boxes of small heads, and of the accidentals and lines that touch them."""
    high, low = min(y for _, y in heads) - 130, max(y for _, y in heads) + 130
    left, right = min(x for x, _ in heads) - 100, max(x for x, _ in heads) + 120
    near = sorted(
        (
            box
            for box in context.system.drawn.boxes
            if box.right < right and high < (box.top + box.bottom) / 2 < low
        ),
        key=lambda box: -box.right,
    )
    found = []
    for box in near:
        if box.right < left - _TOUCHING:
            break
        if box.bottom - box.top < _TALLEST:
            found.append(box)
            left = min(left, box.left)
    return found


def _clear_of(context: MarkContext, x: float, top: float) -> float:
    """Where the stem at ``x`` ends, so that its flag is clear of the head and the accidental that
    come after it; where it is if nothing helps."""
    for step in range(_LONGEST):
        high = top - step * _LONGER
        flag = Box(x + _THICK, high, x + _FLAG_WIDE, high + _FLAG_TALL)
        if context.system.drawn.free(flag):
            return high
    return top


def _slurs(
    context: MarkContext, layer: etree._Element, notated: NotatedMeasure, symbol: Symbol
) -> None:
    """A slur under the heads from each grace note to the note that is reached from it without a
    stroke."""
    system = context.system
    for pair in context.links:
        start, end = pair.start, pair.end
        here = (notated.measure.index, symbol.event_index)
        if start.grace is None or (start.measure, start.event) != here:
            continue
        if LINKS[pair.kind].joins not in ("slur", "gliss"):
            continue
        a = system.places.get(id_of(STAFF_PREFIX, start, 0))
        b = system.places.get(id_of(STAFF_PREFIX, end, 0))
        if a is None or b is None:
            continue
        if end.grace is None:
            # Beside the lower left of the head, clear of a stem that goes down.
            left, right, low = a[0], b[0] - _MAIN_HEAD, b[1] + _SLUR_DROP
        else:
            left, right, low = a[0], b[0], b[1] + _SLUR_DROP
        start_low = a[1] + _SLUR_DROP
        wide = max(right - left, 60.0)
        deep, turn = max(start_low, low) + _SLUR_DEPTH, wide / 4
        if (sign := _between(context, a, b)) is not None:
            # Under an accidental, and up to the lower side of the head, over a stem that goes down.
            floor = sign.bottom + _SLUR_CLEAR
            right = b[0] + 10
            wide, turn = max(right - left, 60.0), 0.0
            for side in (sign.left + _SIGN_ROUND, sign.right - _SIGN_ROUND):
                part = _way(max(0.0, min(_LAST_WAY, (side - left) / wide)))
                own = (1 - part) ** 3 * start_low + part**3 * low
                deep = max(deep, (floor - own) / (3 * part * (1 - part)))
        under = deep + _SLUR_THICK
        shape(
            layer,
            "path",
            class_="grace-slur",
            fill="currentColor",
            stroke="currentColor",
            stroke_width=_SLUR_EDGE,
            stroke_linejoin="round",
            d=(
                f"M{number(left)} {number(start_low)}C{number(left + turn)} {number(deep)} "
                f"{number(right - wide / 4)} {number(deep)} {number(right)} {number(low)}"
                f"C{number(right - wide / 4)} {number(under)} {number(left + turn)} "
                f"{number(under)} {number(left)} {number(start_low)}Z"
            ),
        )
        system.take(Box(left, min(start_low, low), max(right, left + 60), deep))


def _way(across: float) -> float:
    """Where on the curve of a slur that falls steeply it has gone so far of its width: its control
    points are at 0, 0, three quarters and 1."""
    low, high = 0.05, 0.95
    for _ in range(12):
        at = (low + high) / 2
        if 3 * at**2 * (1 - at) * 0.75 + at**3 < across:
            low = at
        else:
            high = at
    return low


def _between(
    context: MarkContext, grace: tuple[float, float], note: tuple[float, float]
) -> Box | None:
    """The ground of the accidental of a note after its grace note, with its parentheses; None
    without one."""
    left, right, y = grace[0] + _HEAD, note[0] - _MAIN_HEAD + 20, note[1]
    signs = [
        box
        for box in context.system.drawn.boxes
        if left < box.left and box.right < right and box.top < y - 60 and box.bottom > y + 60
    ]
    if not signs:
        return None
    sides = min(b.left for b in signs), max(b.right for b in signs)
    return Box(sides[0], min(b.top for b in signs), sides[1], max(b.bottom for b in signs))


def place_grace_digits(context: MarkContext) -> list[tuple[float, float, float]]:
    """Put the small digits of a system on their lines and before their note; the middle, the
    line and half the width of each."""
    system = context.system
    found: list[tuple[float, float, float]] = []
    if system.tab is None:
        return found
    for notated in context.notated:
        for symbol in notated.symbols:
            if symbol.grace:
                found += _before(context, notated, symbol)
    return found


def _before(
    context: MarkContext, notated: NotatedMeasure, symbol: Symbol
) -> list[tuple[float, float, float]]:
    """Place groups from the note leftwards, each as far right as the digits after it allow."""
    system, tab = context.system, context.system.tab
    assert tab is not None
    found: list[tuple[float, float, float]] = []
    edge = _left_of_brush(context, notated, symbol)
    for position in reversed(range(len(symbol.grace))):
        group = [head.note for head in symbol.grace[position]]
        kept = _id(TAB_PREFIX, notated, symbol, position, group[0].string)
        element = system.texts.get(kept)
        if element is None:
            continue
        wide = max(half_width(note) for note in group)
        # Under the small head of the staff, where there is one.
        head = system.places.get(_id(STAFF_PREFIX, notated, symbol, position, group[0].string))
        x = min(system.places[kept][0], edge - wide - _AIR, head[0] if head else edge)
        # Clear of the bar line, if Verovio left no room after it.
        bar = system.spans[notated.measure.index][0] + wide + 2 * _AIR
        x = max(x, min(bar, edge - wide - _AIR))
        edge = x - wide
        parent = element.getparent()
        assert parent is not None
        for note in group:
            y = tab.heights[note.string - 1]
            base = y + CAP_HEIGHT / 2 * GRACE_SIZE
            name = _id(TAB_PREFIX, notated, symbol, position, note.string)
            if name == kept:
                element.text = note.fret_text
                element.set("x", number(x))
                element.set("class", "fret grace")
            else:
                holder = shape(parent, "g", id=name, class_="note")
                text(
                    holder,
                    note.fret_text,
                    x,
                    base,
                    GRACE_SIZE,
                    style=FRET_STYLE,
                    class_="fret grace",
                )
            system.places[name] = (x, y)
            found.append((x, y, half_width(note)))
    return found


def _left_of_brush(context: MarkContext, notated: NotatedMeasure, symbol: Symbol) -> float:
    """How far right a grace note may reach because of the arrow of its brushed chord."""
    event = notated.measure.events[symbol.event_index]
    at = context.system.places.get(tab_id(notated, symbol, event.notes[0]))
    if not event.brush or at is None:
        return float("inf")
    return at[0] - max(half_width(note) for note in event.notes) - BRUSH_OFFSET - 40


def _id(prefix: str, notated: NotatedMeasure, symbol: Symbol, position: int, string: int) -> str:
    return grace_id(prefix, notated.measure.index, symbol.event_index, position, string)
