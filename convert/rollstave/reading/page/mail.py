"""The head of a mail or of a post: lines of names and colons over the words."""

from __future__ import annotations

import re
from collections.abc import Sequence

from rollstave.patterns import rare
from rollstave.reading.ledger import Ledger, Use
from rollstave.reading.page.decode import Line
from rollstave.reading.state import ReadingState
from rollstave.vocabulary.mail_heads import FIELDS, MEANT

_BEGINNINGS = ("X-", "Content-", "List-")  # of names that may go on in any way
_FIELD = rare(
    rf"(?P<name>{'|'.join((*FIELDS, *MEANT))}|(?:{'|'.join(_BEGINNINGS)})[\w-]+)"
    r"(?: :|:)(?:\s+(?P<value>.*))?$",
    cues=(
        *(f"{name.lower()}{colon}" for name in (*FIELDS, *MEANT) for colon in (":", " :")),
        *(name.lower() for name in _BEGINNINGS),
    ),
)
# What stands before the name of a tune in a subject.
_BEFORE = rare(
    r"(?:\s*(?:(?:re|fwd?|aw|wg|tr|rv|sv|vs|tabs?|req|crd|banjo tab)\s*:|\[[^\]]{1,20}\]"
    r"|(?:banjo\s+)?tab(?:s|lature)?\s+(?:for|of|to)\b))+\s*",
    re.IGNORECASE,
)


_NO_NAME = rare(r"(?:(?:the|a|my|banjo|guitar)\s+)*tab(?:s|lature)?\W*", re.IGNORECASE)


def headers(state: ReadingState) -> None:
    """Blank the heads of mails, all but the subject, which names the tune.

    A head is a run of such lines with a subject, or with an address among them.
    """
    lines = list(state.lines)
    index = 0
    while index < len(lines):
        end = index
        while end < len(lines) and (
            (":" in lines[end].text and _FIELD.match(lines[end].text))
            or (end > index and not lines[end].blank and lines[end].text[0] == " ")
        ):
            end += 1
        alone = end - index == 1 and all(line.blank for line in lines[:index])
        if (end - index > 1 and _is_header(lines[index:end])) or (
            alone and lines[index].text.startswith("Subject:")
        ):
            for at in range(index, end):
                state.lines[at] = _blanked(lines[at], state.ledger)
        index = max(end, index + 1)


def _is_header(lines: Sequence[Line]) -> bool:
    typed = {m["name"]: m["value"] or "" for line in lines if (m := _FIELD.match(line.text))}
    fields = {MEANT.get(name, name): value for name, value in typed.items()}
    if len(fields) < 2:
        return False
    if not MEANT.keys().isdisjoint(typed):  # names so short may be anything without a subject
        return "Subject" in fields and not {"From", "To", "Sent", "Date"}.isdisjoint(fields)
    if "Subject" in fields or {"To", "Re"} <= fields.keys() or {"From", "Re"} <= fields.keys():
        return True
    return {"To", "Date"} <= fields.keys() or any(
        "@" in fields.get(name, "") for name in ("From", "To")
    )


def _is_subject(name: str) -> bool:
    return MEANT.get(name, name) in ("Subject", "Re")


def _blanked(line: Line, ledger: Ledger) -> Line:
    match = _FIELD.match(line.text)
    if match is not None and _is_subject(match["name"]) and match["value"]:
        start = match.start("value")
        if before := _BEFORE.match(line.text, start):
            start = before.end()
        if _NO_NAME.fullmatch(line.text, start):
            start = len(line.text)
        ledger.claim(line, 0, start, Use.FRAME)
        return line.without(0, start)
    ledger.claim_line(line, Use.FRAME)
    return line.with_text("")
