"""A songbook as one PDF: cover, contents by tuning, the tunes, an index by key and tuning.

Tunes are engraved one by one and set by Typst in a single run; a heading that is not drawn at
the top of each tune makes the bookmarks, and gives the contents their page numbers.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence

from msgspec import Struct

from rollstave.score.records import Score
from rollstave.writing.options import SheetOptions
from rollstave.writing.others import OtherMarks, no_others
from rollstave.writing.paper import compile_typst, page_setup, quoted
from rollstave.writing.pool import engrave_all
from rollstave.writing.sheet.drawing import with_signs

_PLAIN = SheetOptions()


class Entry(Struct, frozen=True):
    """A tune of a book: its score, its pages as SVG, and its label in the document."""

    score: Score
    pages: tuple[bytes, ...]
    label: str

    @property
    def tuning(self) -> str:
        """The tuning as contents and index name it: ``Sawmill (gDGCD)``."""
        tuning = self.score.setup.tuning
        if not tuning.name:
            return tuning.written
        return f"{tuning.name[0].upper()}{tuning.name[1:]} ({tuning.written})"


def write_book(
    scores: Iterable[Score],
    title: str = "Songbook",
    author: str = "",
    options: SheetOptions = _PLAIN,
    progress: Callable[[], None] | None = None,
    workers: int = 1,
    failed: Callable[[Score], None] | None = None,
    others: OtherMarks = no_others,
) -> bytes:
    """The book as a PDF, the same with any number of workers.

    ``progress`` is called after each tune is engraved, ``failed`` with each tune that the
    engraver failed on: it is left out of the book. ``others`` are marks drawn after our own.
    Raises ValueError if no tune is left. A script that asks for more than one worker must do so
    under ``if __name__ == "__main__":``.
    """
    tunes = list(scores)
    entries = []
    for number, pages in enumerate(engrave_all(tunes, options, workers, progress, others)):
        if pages is not None:
            entries.append(Entry(tunes[number], tuple(pages), f"tune-{number}"))
        elif failed is not None:
            failed(tunes[number])
    if not entries:
        raise ValueError("no tune could be engraved")
    ordered = _by_tuning(entries)
    source = "\n".join(
        (
            *_preamble(title, author, options),
            *_cover(title, author, len(entries)),
            *_contents(ordered),
            *_tunes(ordered),
            *_index(entries),
        )
    )
    files = {
        f"{entry.label}-{number}.svg": page
        for entry in entries
        for number, page in enumerate(entry.pages)
    }
    return compile_typst(source, files)


def _in_order(title: str) -> list[tuple[int, str]]:
    """A key that sorts titles as people do: without case, numbers by their size."""
    parts = re.split(r"(\d+)", title.casefold())
    return [(int(p), "") if p.isdecimal() else (-1, p) for p in parts if p]


def _by_tuning(entries: Sequence[Entry]) -> list[tuple[str, list[Entry]]]:
    """Groups of a tuning in order of their first tune; tunes by title within each."""
    groups: dict[str, list[Entry]] = {}
    for entry in entries:
        groups.setdefault(entry.tuning, []).append(entry)
    return [
        (tuning, sorted(group, key=lambda e: _in_order(e.score.title)))
        for tuning, group in groups.items()
    ]


def _preamble(title: str, author: str, options: SheetOptions) -> list[str]:
    authors = f"({quoted(author)},)" if author else "()"
    return [
        f"#set document(title: {quoted(title)}, author: {authors}, date: none)",
        page_setup(options.paper),
        # Headings are marks for bookmarks and page numbers; the sheets have their own titles.
        "#show heading: it => place(hide(it.body))",
        "#let where(name) = context counter(page)"
        ".at(query(label(name)).first().location()).first()",
        "#let entry(name, words, detail) = link(label(name), block(width: 100%, spacing: 3.2mm, "
        "grid(columns: (auto, 1fr, auto), column-gutter: 2mm, align: bottom, [#words "
        "#text(size: 9pt, fill: luma(90))[#detail]], repeat(gap: 1mm)[.], where(name))))",
        "#let part(words) = block(above: 8mm, below: 4mm, sticky: true, text(weight: 700, words))",
    ]


def _cover(title: str, author: str, count: int) -> list[str]:
    tunes = "1 tune" if count == 1 else f"{count} tunes"
    return [
        "#align(center + horizon)[",
        f"#text(size: 34pt, {quoted(title)})",
        "#v(6mm)",
        f"#text(size: 15pt, {quoted(author)})" if author else "",
        "#v(4mm)",
        f"#text(size: 12pt, {quoted(tunes)})",
        "]",
    ]


_TEXT_PAGE = "#set page(margin: (x: 22mm, y: 24mm), numbering: none)"


def _contents(groups: Sequence[tuple[str, Sequence[Entry]]]) -> list[str]:
    lines = [_TEXT_PAGE, "#heading(level: 1)[Contents]", "#text(size: 22pt)[Contents]"]
    for tuning, entries in groups:
        lines.append(f"#part({quoted(tuning)})")
        for e in entries:
            key = with_signs(str(e.score.key))
            lines.append(f"#entry({quoted(e.label)}, {quoted(e.score.title)}, {quoted(key)})")
    return lines


def _tunes(groups: Sequence[tuple[str, Sequence[Entry]]]) -> list[str]:
    # A running number at the foot, apart from "page of pages" of each tune.
    lines = [
        "#set page(margin: 0mm, foreground: place(bottom + right, dx: -12mm, dy: -5.6mm, "
        "text(size: 9pt, context counter(page).display())))"
    ]
    for tuning, entries in groups:
        for position, entry in enumerate(entries):
            if position == 0:
                lines.append(f"#heading(level: 1, {quoted(tuning)})")
            lines.append(
                f"#heading(level: 2, {quoted(entry.score.title)}) #label({quoted(entry.label)})"
            )
            for number in range(len(entry.pages)):
                alt = f"{entry.score.title}, page {number + 1}"
                lines.append(
                    f'#image("{entry.label}-{number}.svg", width: 100%, height: 100%, '
                    f"alt: {quoted(alt)})"
                )
                lines.append("#pagebreak(weak: true)")
    return lines


def _index(entries: Sequence[Entry]) -> list[str]:
    """Tunes by key, then by tuning, each by title."""
    lines = [
        f"{_TEXT_PAGE[:-1]}, foreground: none)",
        "#heading(level: 1)[Index]",
        "#text(size: 22pt)[Index by key and tuning]",
    ]
    keys = sorted({str(e.score.key) for e in entries})
    for key in keys:
        lines.append(f"#part({quoted(with_signs(key))})")
        mine = [e for e in entries if str(e.score.key) == key]
        lines.extend(
            f"#entry({quoted(e.label)}, {quoted(e.score.title)}, {quoted(e.tuning)})"
            for e in sorted(mine, key=lambda e: (e.tuning, _in_order(e.score.title)))
        )
    return lines
