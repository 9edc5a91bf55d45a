"""Slides from far off, which one sign beside the second note does not say: it would be a slide into
that note from nowhere."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from rollstave.vocabulary.signs import is_far
from rollstave.writing.text.spacing import Spacing, Typed
from rollstave.writing.text.tokens import Token


class _Before(Struct, frozen=True):
    """The note before on a string: its measure, the tokens that are typed with it, and the column
    after its own."""

    measure: int
    tokens: dict[int, Token]
    end: int


def slide_far(typed: Sequence[Typed], string: int, spacing: Spacing) -> None:
    """Type the sign of a slide from far off after the first note too; where that stands in another
    measure, before the bar line, or after it if there is no room."""
    before: _Before | None = None
    for index, one in enumerate(typed):
        for event, tokens in zip(one.measure.events, one.tokens, strict=True):
            token = tokens.get(string)
            if token is None or not token.digits or not event.notes:
                continue
            column = spacing.column(event.onset)
            if token.slid and before is not None:
                widths = [spacing.width(t.measure) for t in typed[before.measure : index]]
                gap = sum(widths) + column - token.left - before.end
                if not is_far(gap, spacing.width(one.measure)):
                    pass
                elif not widths:
                    first = before.tokens[string]
                    before.tokens[string] = replace(first, after=first.after + token.slid)
                elif sum(widths) - before.end >= len(token.slid):
                    typed[index - 1].leads[string] = -len(token.slid), token.slid
                else:
                    one.leads[string] = 0, token.slid
            before = _Before(measure=index, tokens=tokens, end=column + token.right)
