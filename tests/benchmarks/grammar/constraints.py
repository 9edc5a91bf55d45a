"""What no typist would do at once, and what nobody could read."""

from __future__ import annotations

from typing import Any

from tests.benchmarks.grammar.model import Unreadable

SPELT_WITH_NUMBERS = ("numbers", "both", "ordinals", "numbers_first")
PLAIN = ("as_written", "capitals", "small")
NUMBERED = (*SPELT_WITH_NUMBERS, "bracketed", "strings_in_short", "s_numbers")

# Labels that begin with a letter and name no pitch.
COUNTED = ("string_words", "roman_numbers")
COUNTED_LATELY = (*COUNTED, "dotted_numbers")


def fit_together(data: dict[str, Any]) -> None:
    """Refuse a combination whose values do not go together."""
    known = {**_bars(data), **_repeats(data), **_signs(data), **_whole(data)}
    for reason, true in {**known, **_lately(data), **_in_files(data)}.items():
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


def _lately(data: dict[str, Any]) -> dict[str, Any]:
    """Of values that came last; none of the others is touched."""
    labels, joint, fill, cut = data["labels"], data["joint"], data["fill"], data["cut"]
    name = labels.__name__ if labels else ""
    links, marks, spread = data["links"], data["marks"], data["spread"]
    signs = "".join(links.signs.values()) if links else ""
    late = marks and marks.typed in ("m", "{}'", "{}ch", "{}w")
    beaten = data["meter"].written in ("5/4", "9/8") or data["meter"].slots == 4
    long = data["meter"].slots * spread[0] * data["measures a line"]
    return {
        "counted labels and frets": name in COUNTED_LATELY and "|" not in joint,
        "signs before a bar twice": name in ("dotted_letters", "dotted_numbers", "round_letters")
        and joint[:1] in (":", ")", ">", "=", "[", "-"),
        "capital I twice": name == "roman_numbers" and data["bar"] in "Il",
        "dots twice": name.startswith("dotted") and fill in ".\u00b7",
        "a bar apart": joint == " | " and (data["repeat"] or data["bar"] != "|" or fill == " "),
        "blanks for a bar": joint in (": ", ")") and (fill in " :" or data["bar"] == ":"),
        "brackets twice over": (joint == ")" or name == "round_letters")
        and "(" in (marks.typed if marks else "") + (data["ties"].typed if data["ties"] else ""),
        "drawn bars and others": data["bar"] in "+\u2503\u2551" and data["end"] in ("|||", "| |"),
        "two ends": data["end"] == "| |" and fill == " ",
        "rows too long": data["measures a line"] in (5, 6, 99) and data["meter"].slots > 10,
        "lines too long": (max(spread) > 4 or data["measures a line"] == 99)
        and min(long, 16 * spread[0] * data["meter"].slots) > 330,
        "systems without a gap": data["gap"] == 0
        and (not labels or data["first system only"] or cut in ("bare", "left out")),
        "columns too wide to say": data["columns said"] and max(spread) > 4,
        "no inner bars": cut == "unbarred"
        and (
            not labels
            or data["first system only"]
            or data["repeat"]
            or data["bar"] != "|"
            or data["rests"]
            or data["like measures"]
        ),
        "an end left out": cut == "no end" and (data["repeat"] or data["remark at a row's end"]),
        "letters twice": late and any(sign in marks.typed for sign in signs if sign.isalpha()),
        "two letters in a narrow column": "ho" in signs and min(spread) < 3,
        "glued and narrow": data["link place"] == "glued" and links and min(spread) < 2,
        "a word in a narrow measure": data["like measures"] in ("same", "ditto")
        and (links or spread[0] == 1),
        "no name for the dance": beaten and data["time word"].__name__ in ("time_dance",),
        "counts of nine": data["counts"] and data["meter"].written == "9/8",
        "triplets of quarters": data["triplets"] and data["meter"].unit == 1,
        "notes of eighths said": data["columns said"] and data["meter"].unit == 1,
        "one count": data["counts"] and data["counts"].off and data["meter"].unit == 1,
        "numbers twice over": data["bar numbers"] == "{})" and data["triplets"],
    }


def _in_files(data: dict[str, Any]) -> dict[str, Any]:
    """Of values that came last: what lies about the text."""
    tabs = data["escapes"].__name__ == "tab_characters"
    hard = data["escapes"].__name__ == "hard_blanks"
    quoted, drawn = data["quoting"][0], data["encoding"][1] == "drawn"
    repeat = data["repeat"]
    return {
        "tabs off their stops": tabs
        and (quoted or data["wrap"] or data["indent"] == "\t" or data["fill"] == " "),
        "blanks quoted": quoted and (data["spacing"] == "blanks" or data["trailing"] == "eighty"),
        "blanks of two kinds": hard and (data["fill"] == " " or data["wrap"]),
        "drawn from dashes": drawn
        and (data["fill"] != "-" or data["bar"] != "|" or data["remark at a row's end"]),
        "filled up and wrapped": data["trailing"] == "eighty" and (data["wrap"] or tabs or hard),
        "quoted with a bar": quoted == "| " and (not data["labels"] or repeat),
        "where a tune's facts end": data["tunes"] > 1 and data["place of headings"] == "end",
        "apart and together": data["spacing"] == "all twice"
        and (
            data["gap"] == 0
            or data["remark between rows"]
            or not data["labels"]
            or data["first system only"]
        ),
        "a tab in another": quoted == "\t" and data["indent"] == "\t",
        "a pickup of five": data["pickup"] == 5 and data["meter"].slots < 8,
    }
