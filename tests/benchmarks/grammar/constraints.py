"""What no typist would do at once, and what nobody could read."""

from __future__ import annotations

from typing import Any

from tests.benchmarks.grammar.model import Unreadable

SPELT_WITH_NUMBERS = ("numbers", "both", "ordinals", "numbers_first")
PLAIN = ("as_written", "capitals", "small")
NUMBERED = (*SPELT_WITH_NUMBERS, "bracketed", "strings_in_short", "s_numbers")


def fit_together(data: dict[str, Any]) -> None:
    """Refuse a combination whose values do not go together."""
    for reason, true in {**_bars(data), **_repeats(data), **_signs(data), **_whole(data)}.items():
        if true:
            raise Unreadable(reason)


def _bars(data: dict[str, Any]) -> dict[str, Any]:
    labels, fill, bar, joint = data["labels"], data["fill"], data["bar"], data["joint"]
    number = labels and labels.__name__ in SPELT_WITH_NUMBERS
    return {
        "no bar at a row's start": "|" not in joint and (fill == " " or not labels),
        "rows without bars": fill == " " and data["end"] == "",
        "bars like fills": bar == ":" and fill in ".\u00b7 ",
        "a bar like a note": bar == "I" and fill == " ",
        "labels that are frets": number and "|" not in joint,
        "labels and open strings": joint == "" and data["open string"](1) != "0",
        "a label without an end": joint == "" and labels and labels.__name__ not in PLAIN,
        "labels once": data["first system only"] and (not labels or data["rows"]),
        "blanks all over": fill == " " and (joint == " " or bar == " | "),
        "two kinds of colon": bar == ":" and ":" in joint,
    }


def _repeats(data: dict[str, Any]) -> dict[str, Any]:
    repeat, fill, bar = data["repeat"], data["fill"], data["bar"]
    if not repeat:
        return {}
    closing = repeat.right(1, 5) if repeat.right else ""
    named = repeat.heading or "{part}" in repeat.after
    return {
        "dots and signs": repeat.left and (bar != "|" or fill in " ="),
        "closing dots": closing and (bar != "|" or fill in " .\u00b7"),
        "noughts at bars": "o" in closing and data["open string"](1) == "o",
        "a colon that is no repeat": (repeat.left or closing) and data["joint"] == ":",
        "endings and words after": data["endings"] and repeat.after,
        "parts needed": named and not data["part headings"],
    }


def _signs(data: dict[str, Any]) -> dict[str, Any]:
    marks, ties, links = data["marks"], data["ties"], data["links"]
    letters, shifted = data["letters"], [data[c] for c in ("letters", "counts")]
    return {
        "brackets twice": marks and ties and marks.typed[0] == ties.typed[0],
        "angles twice": marks and "<" in marks.typed and links and "<" in str(links.signs),
        "triplets want three columns": data["triplets"] and data["spread"] != (3, 3),
        "triplets of another kind": data["triplets"]
        and (data["like measures"] or data["meter"].written == "6/8"),
        "a rest glued to a fret": data["rests"] and data["spread"][0] == 1,
        "equals are ties": data["fill"] == "=" and ties,
        "numbers twice": data["bar numbers"] and data["endings"],
        "endings behind rows": data["endings"]
        and data["endings"].behind
        and (data["wrap"] or data["remark at a row's end"]),
        "columns are not the same": data["columns said"]
        and (len(set(data["spread"])) > 1 or data["meter"].unit.denominator != 2),
        "words and letters": data["words to sing"] and letters,
        "letters off": letters and letters.shift and (links or data["pickup"]),
        "squeezed and off": data["spread"][0] == 1 and any(r and r.shift for r in shifted),
    }


def _whole(data: dict[str, Any]) -> dict[str, Any]:
    labels, cut = data["labels"], data["cut"]
    return {
        "bare rows": cut in ("bare", "left out") and (not labels or data["first system only"]),
        "which string is left out": cut == "left out" and not _numbered(data),
        "signs on silent rows": cut in ("bare", "left out")
        and (data["rests"] or data["like measures"]),
        "wraps and spaces": data["wrap"] and data["spacing"],
        "blanks between rows": data["spacing"] and data["remark between rows"],
        "cut blanks": cut and (data["fill"] == " " or data["end"] not in ("|", "||")),
        "tunes need titles": data["tunes"] > 1
        and (data["title"] is None or data["place of headings"] in ("foot", "above")),
        "where a tune ends": data["tunes"] > 1 and data["jumps"],
        "slips and cuts": data["slip"]
        and (cut or data["wrap"] or data["time word"].__name__ == "<lambda>"),
        "jumps need bars": data["jumps"] and data["jumps"].over and data["endings"],
        "signs of rests": data["rests"] and (data["marks"] or data["ties"] or data["fill"] == " "),
        "nothing to go back to": data["jumps"] and len(data["length"]) < 2,
    }


def _numbered(data: dict[str, Any]) -> bool:
    return data["labels"] is not None and data["labels"].__name__ in NUMBERED
