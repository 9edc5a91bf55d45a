"""A songbook as one PDF: cover, foreword, contents, signs and shapes, the tunes, the index.

Tunes are engraved one by one and set by Typst in a single run; a heading that is not drawn at
the top of each tune makes the bookmarks, and gives the contents their page numbers. Pages are
those of a bound book: a tune of several pages begins on the left, page numbers stand outside, and
the music stands a little away from the fold (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from msgspec.structs import replace

from rollstave.score.records import Score
from rollstave.writing.book.front import chord_pages, sign_pages
from rollstave.writing.book.plan import (
    BookPlan,
    Entry,
    Group,
    by_title,
    first_line,
    grouped,
    listed,
)
from rollstave.writing.options import SheetOptions
from rollstave.writing.others import OtherMarks, no_others
from rollstave.writing.paper import compile_typst, page_setup, quoted
from rollstave.writing.pool import engrave_all
from rollstave.writing.sheet.drawing import with_signs

_PLAIN, _PLAN = SheetOptions(), BookPlan()
_FOLD = 4  # mm that music stands further from the fold than from the edge, on either side


def write_book(
    scores: Iterable[Score],
    title: str = "Songbook",
    author: str = "",
    options: SheetOptions = _PLAIN,
    progress: Callable[[], None] | None = None,
    workers: int = 1,
    failed: Callable[[Score], None] | None = None,
    others: OtherMarks = no_others,
    plan: BookPlan = _PLAN,
) -> bytes:
    """The book as a PDF, the same with any number of workers.

    ``progress`` is called after each tune is engraved, ``failed`` with each tune that the
    engraver failed on: it is left out of the book. ``others`` are marks drawn after our own,
    ``plan`` what the book holds besides the tunes, and their order.
    Raises ValueError if no tune is left. A script that asks for more than one worker must do so
    under ``if __name__ == "__main__":``.
    """
    tunes = list(scores)
    entries = []
    sheets = replace(options, key=not plan.signs)
    for number, pages in enumerate(engrave_all(tunes, sheets, workers, progress, others)):
        if pages is not None:
            entries.append(Entry(tunes[number], tuple(pages), f"tune-{number}"))
        elif failed is not None:
            failed(tunes[number])
    if not entries:
        raise ValueError("no tune could be engraved")
    groups = grouped(entries, plan.order)
    front = {
        "signs": sign_pages(entries, options) if plan.signs else [],
        "shapes": chord_pages(entries, options) if plan.chords else [],
    }
    source = "\n".join(
        (
            *_preamble(title, author, options, entries),
            *_cover(title, author, len(entries)),
            *_foreword(plan.foreword),
            *_contents(groups),
            *_front(front),
            *_tunes(groups),
            *_index(entries),
        )
    )
    files = {
        f"{entry.label}-{number}.svg": page
        for entry in entries
        for number, page in enumerate(entry.pages)
    }
    for name, pages in front.items():
        files |= {f"{name}-{number}.svg": page for number, page in enumerate(pages)}
    return compile_typst(source, files)


def _preamble(
    title: str, author: str, options: SheetOptions, entries: Sequence[Entry]
) -> list[str]:
    authors = f"({quoted(author)},)" if author else "()"
    tunings = ", ".join(quoted(name) for name in dict.fromkeys(e.tuning for e in entries))
    about = quoted(f"{len(entries)} tunes in notation and tablature")
    return [
        f"#set document(title: {quoted(title)}, author: {authors}, date: none, "
        f"keywords: ({tunings},), description: {about})",
        page_setup(options.paper),
        # Headings are marks for bookmarks and page numbers; the sheets have their own titles.
        "#show heading: it => place(hide(it.body))",
        "#let where(name) = context counter(page)"
        ".at(query(label(name)).first().location()).first()",
        "#let entry(name, words, detail) = link(label(name), block(width: 100%, spacing: 3.2mm, "
        "grid(columns: (auto, 1fr, auto), column-gutter: 2mm, align: bottom, [#words "
        "#text(size: 9pt, fill: luma(90))[#detail]], repeat(gap: 1mm)[.], where(name))))",
        f"#let leaf(name, words) = context move(dx: if calc.odd(here().page()) {{{_FOLD}mm}} "
        f"else {{-{_FOLD}mm}}, image(name, width: 100%, height: 100%, alt: words))",
        "#let folio = context { let odd = calc.odd(here().page()); "
        "place(top + (if odd { right } else { left }), dx: if odd { -12mm } else { 12mm }, "
        "dy: 5mm, text(size: 9pt, counter(page).display())) }",
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


_TEXT_PAGE = "#set page(margin: (x: 22mm, y: 24mm), numbering: none, foreground: none)"


def _foreword(words: str) -> list[str]:
    paragraphs = [" ".join(p.split()) for p in words.replace("\r", "").split("\n\n")]
    if not any(paragraphs):
        return []
    return [
        _TEXT_PAGE,
        "#heading(level: 1)[Foreword]",
        "#text(size: 22pt)[Foreword]",
        "#v(8mm)",
        "#set par(justify: true, leading: 0.75em, spacing: 1.2em)",
        *(f"#par({quoted(paragraph)})" for paragraph in paragraphs if paragraph),
        "#pagebreak()",
    ]


def _contents(groups: Sequence[Group]) -> list[str]:
    lines = [_TEXT_PAGE, "#heading(level: 1)[Contents]", "#text(size: 22pt)[Contents]", "#v(4mm)"]
    for group in groups:
        if group.name:
            lines.append(f"#part({quoted(group.name)})")
        for e in group.entries:
            key = with_signs(str(e.score.key))
            detail = key if group.name else f"{key}, {e.tuning}"
            lines.append(f"#entry({quoted(e.label)}, {quoted(e.score.title)}, {quoted(detail)})")
    return lines


_LEAVES = "#set page(margin: 0mm, foreground: folio)"


def _front(pages: dict[str, list[bytes]]) -> list[str]:
    names = {"signs": "Signs", "shapes": "Chord shapes"}
    lines = [_LEAVES]
    for name, found in pages.items():
        if found:
            lines.append(f"#heading(level: 1)[{names[name]}]")
        for number in range(len(found)):
            lines.append(f'#leaf("{name}-{number}.svg", {quoted(names[name])})')
            lines.append("#pagebreak(weak: true)")
    return lines


def _tunes(groups: Sequence[Group]) -> list[str]:
    lines: list[str] = []
    for group in groups:
        for position, entry in enumerate(group.entries):
            if entry.spread:
                lines.append('#pagebreak(to: "even", weak: true)')
            if position == 0:
                lines.append(f"#heading(level: 1, {quoted(group.name or 'Tunes')})")
            lines.append(
                f"#heading(level: 2, {quoted(entry.score.title)}) #label({quoted(entry.label)})"
            )
            for number in range(len(entry.pages)):
                alt = f"{entry.score.title}, page {number + 1}"
                lines.append(f'#leaf("{entry.label}-{number}.svg", {quoted(alt)})')
                lines.append("#pagebreak(weak: true)")
    return lines


def _index(entries: Sequence[Entry]) -> list[str]:
    """Tunes by title, then by key and tuning, then by the first lines of what is sung."""
    lines = [_TEXT_PAGE, "#heading(level: 1)[Index]", "#text(size: 22pt)[Index of titles]"]
    lines.append("#v(4mm)")
    for e in sorted(entries, key=by_title):
        lines.append(_entry(e, listed(e.score.title), e.tuning))
    lines.append("#block(above: 14mm, text(size: 22pt)[Index by key and tuning])")
    for key in sorted({str(e.score.key) for e in entries}):
        lines.append(f"#part({quoted(with_signs(key))})")
        mine = [e for e in entries if str(e.score.key) == key]
        lines += [
            _entry(e, e.score.title, e.tuning)
            for e in sorted(mine, key=lambda e: (e.tuning, by_title(e)))
        ]
    sung = sorted(
        ((line, e) for e in entries if (line := first_line(e.score))), key=lambda pair: pair[0]
    )
    if sung:
        lines.append("#block(above: 14mm, text(size: 22pt)[Index of first lines])")
        lines += [_entry(e, line, e.score.title) for line, e in sung]
    return lines


def _entry(entry: Entry, words: str, detail: str) -> str:
    return f"#entry({quoted(entry.label)}, {quoted(words)}, {quoted(detail)})"
