"""A typist: a tune and a manner become lines, each with what it is."""

from __future__ import annotations

from dataclasses import replace
from random import Random
from typing import Any

from tests.benchmarks.grammar.aligned import Above, lines_over, lines_under
from tests.benchmarks.grammar.hand import Hand, Repeat, System, type_system
from tests.benchmarks.grammar.heading import heading_lines, title_lines
from tests.benchmarks.grammar.model import Line, Measure, Part, Tune, Unreadable
from tests.benchmarks.grammar.words import section_of


def type_tune(tune: Tune, data: dict[str, Any], index: int, random: Random) -> list[Line]:
    """The lines of a tune: title, headings, words, legends, parts."""
    titles, heads = title_lines(tune, data), heading_lines(tune, data)
    words = _spaced([Line(text, "prose" if text else "blank") for text in data["prose before"]])
    tune.remarks += [text for text in data["prose before"] if text]
    legend = _spaced([Line(text, "legend") for text in legends(data)])
    place = data["place of headings"]
    body = [*_chart(tune, data), *_body(tune, data, random)]
    after = _spaced([Line(text, "prose") for text in data["prose after"]])
    tune.remarks += data["prose after"]
    orders = {
        "top": [titles, heads, words, legend, body, after],
        "above": [heads, titles, words, legend, body, after],
        "late": [titles, words, heads, legend, body, after],
        "foot": [titles, words, legend, body, heads, after],
        "after the signs": [titles, words, legend, heads, body, after],
        "end": [titles, words, legend, body, after, heads],
    }
    lines = [line for block in orders[place] for line in block]
    return [replace(_tabbed(line, data["indent"]), tune=index) for line in lines]


def _tabbed(line: Line, indent: str) -> Line:
    """What stands over and under rows begins with a tab where the rows do."""
    beside = ("triplets", "chord row", "counts", "letters", "words to sing", "ending", "remark")
    if indent != "\t" or line.label not in beside or not line.text.startswith(" "):
        return line
    return replace(line, text="\t" + line.text[1:])


def _spaced(lines: list[Line]) -> list[Line]:
    return [*lines, Line("", "blank")] if lines else []


def legends(data: dict[str, Any]) -> list[str]:
    """The lines that define signs."""
    found = list(data["links"].legend) if data["links"] else []
    if data["marks"] and data["marks"].legend:
        found.append(data["marks"].legend)
    if data["columns said"]:
        found.append(data["columns said"](data["spread"], data["meter"]))
    if data["ties"]:
        found.append(data["ties"].legend)
    if data["triplets"] and "T" in data["triplets"]:
        found.append("T = triplet")
    if data["rests"]:
        found.append(data["rests"].legend)
    if data["rows"] and not data["labels"]:
        found.append("The first string is the bottom line.")
    return found


def hand_of(tune: Tune, data: dict[str, Any], part: int, random: Random) -> Hand:
    """The manner of typing rows that the values drawn make."""
    labels = data["labels"](tune.tuning) if data["labels"] else ()
    after, before = data["padding"]
    marks = {data["marks"].mark: data["marks"].typed} if data["marks"] else {}
    hand = Hand(
        labels=tuple(reversed(labels)) if data["rows"] else labels,
        joint=data["joint"],
        bar=data["bar"],
        end=data["end"],
        fill=data["fill"],
        after=after,
        before=before,
        spread=data["spread"][min(part, 1)],
        wide=data["wide frets"],
        links=data["links"].signs if data["links"] else {},
        link_place=data["link place"],
        marks=marks,
        tie=data["ties"].typed if data["ties"] else "",
        rest=data["rests"].sign if data["rests"] else "",
        same=data["like measures"] or "",
        repeat=data["repeat"] or Repeat(),
        upside_down=data["rows"],
        open_string=data["open string"],
        indent=data["indent"],
    )
    if len(hand.bar) == 1 and hand.bar != "|":
        hand.joint = hand.joint.replace("|", hand.bar)
        hand.end = hand.end.replace("|", hand.bar)
    if not labels and "|" not in hand.joint and hand.bar not in hand.joint:
        hand.joint = hand.bar.strip()
    assert random
    return hand


def _body(tune: Tune, data: dict[str, Any], random: Random) -> list[Line]:
    lines: list[Line] = []
    own = bool(data["endings"] and (data["endings"].own or data["endings"].behind))
    systems = _layout(tune, data["measures a line"], own)
    odd = random.randrange(len(systems))  # the system with what stands once in a tune
    number = 1
    if data["bar numbers"] and len(systems) == 1:
        raise Unreadable("a number alone says nothing")
    for index, (part, first, measures) in enumerate(systems):
        hand = hand_of(tune, data, tune.parts.index(part), random)
        if index and data["first system only"]:
            hand.labels, hand.joint = (), hand.bar.strip()
        if first:
            lines += _part_lines(part, data, index)
        above = Above(index=index, number=number, odd=index == odd)
        number += sum(m.slots == tune.meter.slots for m in measures)
        system = type_system(tune, measures, hand)
        rows = _rows(tune, system, hand, data, (index, odd, len(systems)), measures[-1])
        lines += lines_over(tune, measures, system, data, above)
        last = part.measures[-1] is measures[-1]
        if data["endings"] and data["endings"].behind and measures[0].ending:
            rows[0] += "   " + data["endings"].signs[int(measures[0].ending) - 1]
        lines += _with_ends(tune, part, rows, data, (first, last, index == odd))
        lines += lines_under(tune, measures, system, data, above)
        lines += [Line("", "blank")] * data["gap"]
        if last:
            lines += _after_part(part, data)
        elif index == odd and data["page lines"]:
            lines += _spaced([Line(data["page lines"].format(title=tune.title), "page")])
        elif index == odd and data["remark between systems"]:
            tune.remarks.append(data["remark between systems"])
            lines += _spaced([Line(data["remark between systems"], "remark")])
    if data["jumps"] and not data["jumps"].over:
        lines += _spaced([Line(data["jumps"].text, "jump")])
    return lines


def _layout(tune: Tune, wide: int, own: bool) -> list[tuple[Part, bool, list[Measure]]]:
    """The systems: their part, whether they open it, their measures."""
    found = []
    for part in tune.parts:
        start = 0
        while start < len(part.measures):
            short = part.measures[start].slots < tune.meter.slots and start == 0
            end = start + wide + short
            ends = [i for i, m in enumerate(part.measures) if own and m.ending and i > start]
            end = min([end, *ends])
            found.append((part, start == 0, part.measures[start:end]))
            start = end
    return found


def _part_lines(part: Part, data: dict[str, Any], index: int) -> list[Line]:
    rule = [Line(data["rules"], "rule"), Line("", "blank")] if data["rules"] and index else []
    if not part.name:
        return rule
    repeated = any(m.left == "repeat" for m in part.measures)
    more = data["repeat"].heading if data["repeat"] and repeated else ""
    if part.name.endswith("|"):
        name = part.name[:-1] + more
        return [*rule, Line(name, "part"), Line("-" * len(name), "rule")]
    if part.name.endswith(":"):
        return [*rule, Line(part.name[:-1] + more + ":", "part")]
    return [*rule, Line(part.name + more, "part")]


def _after_part(part: Part, data: dict[str, Any]) -> list[Line]:
    repeat = data["repeat"]
    if not repeat or not repeat.after or repeat.after.startswith(" "):
        return []
    name = section_of(part.name)
    return _spaced([Line(repeat.after.format(part=name), "repeat")])


def _rows(
    tune: Tune,
    system: System,
    hand: Hand,
    data: dict[str, Any],
    place: tuple[int, int, int],
    end: Measure,
) -> list[str]:
    """The rows with what the typist left out."""
    index, odd, count = place
    rows, cut = list(system.rows), data["cut"]
    if cut == "bare":
        rows = [_bare(row, hand, i) for i, row in enumerate(rows)]
        if index == odd and rows == system.rows:
            raise Unreadable("no silent string")
    if cut == "unbarred":
        rows = [_unbarred(row, hand, i) for i, row in enumerate(rows)]
        if index == odd and rows == system.rows:
            raise Unreadable("no silent string")
    if cut == "no end" and index == odd:
        tune.doubtful = tune.doubtful or ["a row is without its last bar"]
        rows[1] = rows[1].removesuffix(hand.end)
    if cut in ("last", "one"):
        tune.doubtful = tune.doubtful or ["a row is cut short"]
        shortened = index == (count - 1 if cut == "last" else odd)
        if shortened and end.right == "repeat" and hand.repeat.right is not None:
            raise Unreadable("a repeat is not cut short")
    if cut == "left out":
        rows = [row for i, row in enumerate(rows) if _bare(row, hand, i) == row]
        if index == odd and rows == system.rows:
            raise Unreadable("no silent string")
    if cut == "last" and index == count - 1:
        rows = [_short(row, hand) for row in rows]
    if cut == "one" and index == odd:
        at = min(range(len(rows)), key=lambda i: len(_short(rows[i], hand)))
        rows[at] = _short(rows[at], hand)
    return rows


def _short(row: str, hand: Hand) -> str:
    return row.removesuffix(hand.end).rstrip(hand.fill) if hand.end else row.rstrip(hand.fill)


def _bare(row: str, hand: Hand, index: int) -> str:
    wide = max(map(len, hand.labels))
    head = hand.indent + hand.labels[index].ljust(wide) + hand.joint
    if any(c.isdigit() or c in "oOxX" for c in row[len(head) :]):
        return row
    return head


def _unbarred(row: str, hand: Hand, index: int) -> str:
    """A silent row as dashes from its start to its end."""
    head = _bare(row, hand, index)
    if head == row:
        return row
    within = row[len(head) :].removesuffix(hand.end)
    return head + hand.fill * len(within) + hand.end


def _with_ends(
    tune: Tune, part: Part, rows: list[str], data: dict[str, Any], at: tuple[bool, bool, bool]
) -> list[Line]:
    """The rows as lines, with what stands behind one of them."""
    first, last, odd = at
    rows = list(rows)
    repeat = data["repeat"]
    if repeat and repeat.after.startswith(" ") and last:
        if not first or part.measures[0].left != "repeat" or part.measures[-1].ending:
            raise Unreadable("what is repeated cannot be told")
        rows[0] = rows[0].rstrip() + " " + repeat.after
    elif odd and data["remark at a row's end"]:
        rows[0] = rows[0].rstrip() + data["remark at a row's end"]
        tune.remarks.append(data["remark at a row's end"])
    if data["trailing"] == "rows":
        rows = [row + "  " for row in rows]
    lines = [Line(row, "row") for row in rows]
    within = data["remark between rows"]
    if odd and within:
        tune.remarks.append(within)
        lines.insert(2, Line(within, "remark"))
    return lines


def _chart(tune: Tune, data: dict[str, Any]) -> list[Line]:
    chords = data["chords"]
    if not chords or chords.place != "chart":
        return []
    if data["endings"] or data["pickup"]:
        raise Unreadable("a chart's measures cannot be told")
    lines = [Line(chords.heading, "chart")] if chords.heading else []
    for part in tune.parts:
        for start in range(0, len(part.measures), 4):
            names = [m.chords[0][1] for m in part.measures[start : start + 4]]
            for measure in part.measures[start : start + 4]:
                measure.typed_chords = True
            lines.append(Line("| " + " | ".join(names) + " |", "chart"))
    return _spaced(lines)
