"""Files that nobody should be harmed by, for ``hostile.py``: each is written to a folder.

The attacks on XML and zip are the usual ones (the OWASP cheat sheet on XML external entities names
them, from memory). How a compressed score is packed: MusicXML 4.0, "Compressed .mxl files". What is
no text: XML 1.0, section 2.2; unpaired surrogates and noncharacters: the Unicode Standard, chapter
23 (from memory).
"""

from __future__ import annotations

import io
import random
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

HEAD = "Title: Tide at the Landing\nTuning: gDGBD\nKey: G\nTime: 4/4\n\n"
LABELS = "DBGDg"
SECRET = "landing-secret-4711"  # what stands in the file that must not be read
READ, REFUSED, EITHER = "read", "refused", "either"


@dataclass(frozen=True)
class Hostile:
    """A file: its name (the ending matters), what must become of it, and how to make it.

    ``seconds`` of the processor and ``megabytes`` bound each way it is put through rollstave.
    ``forms`` are the formats that are quick enough for its size. ``whole`` is what becomes of it
    at its full size, where that decides.
    """

    name: str
    expected: str
    make: Callable[[Places], Iterator[bytes]]
    seconds: float = 10.0
    megabytes: int = 500
    forms: tuple[str, ...] = ("musicxml", "svg", "midi", "text", "html", "pdf")
    whole: str = ""

    @property
    def at_full_size(self) -> str:
        return self.whole or self.expected


@dataclass(frozen=True)
class Places:
    """What hostile files point at: a file with a secret, and a port that counts who calls.

    ``scale`` makes everything that is large smaller, for tests: 1 is the full size.
    """

    secret: Path
    port: int
    scale: int = 1


def system(measures: int, on: int = 1) -> str:
    """A system of measures with one note each, on the row with index ``on``."""
    rows = (
        f"{label}|" + ("0---|" if row == on else "----|") * measures
        for row, label in enumerate(LABELS)
    )
    return "\n".join(rows) + "\n\n"


TAB = HEAD + system(4)


def _megabytes(size: int) -> Callable[[Places], Iterator[bytes]]:
    """A tab of so many megabytes: the same system again and again."""

    def make(places: Places) -> Iterator[bytes]:
        block = system(8).encode()
        yield HEAD.encode()
        for _ in range(size * 1_000_000 // places.scale // len(block) + 1):
            yield block

    return make


def _text(words: Callable[[int], str]) -> Callable[[Places], Iterator[bytes]]:
    """What a function writes for a scale, in UTF-8; lone surrogates as the bytes of old files."""

    def make(places: Places) -> Iterator[bytes]:
        yield words(places.scale).encode("utf-8", "surrogatepass")

    return make


def _all_planes(scale: int) -> str:
    """Every 7th code point of every plane, above a system, in lines of a hundred."""
    points = [chr(p) for p in range(0x20, 0x110000, 7 * scale) if not 0xD800 <= p < 0xE000]
    lines = ("".join(points[n : n + 100]) for n in range(0, len(points), 100))
    return HEAD + system(4) + "\n".join(lines) + "\n\n" + system(4)


def _marks(count: int) -> str:
    """One letter with so many combining marks, over a system."""
    return HEAD + "a" + "\u0301" * count + "\n\n" + system(8)


def _long_title(scale: int) -> str:
    return HEAD.replace("Tide", "Z" + "\u0335" * 5000) + system(4)


def _odd_rows(scale: int) -> str:
    """Marks of direction, joiners and combining marks between the signs of the rows themselves."""
    odd = "\u202e\u2066\u200b\u0301\u0489\ufe0f\U000e0001"
    rows = (f"{label}|" + f"{odd}0{odd}-" * (200 // scale) + "|" for label in LABELS)
    return HEAD + "\n".join(rows)


def _score(measures: int, title: str = "Tide", extra: str = "") -> Iterator[bytes]:
    """A MusicXML score of one part: quarter notes, ``measures`` of them a bar each."""
    yield (
        f'<score-partwise version="4.0"><work><work-title>{title}</work-title></work>{extra}'
        '<part-list><score-part id="P1"><part-name>Banjo</part-name></score-part></part-list>'
        '<part id="P1">'
    ).encode()
    note = (
        "<note><pitch><step>G</step><octave>4</octave></pitch><duration>1</duration>"
        "<type>quarter</type></note>"
    )
    for number in range(1, measures + 1):
        first = (
            "<attributes><divisions>1</divisions><time><beats>1</beats>"
            "<beat-type>4</beat-type></time></attributes>"
            if number == 1
            else ""
        )
        yield f'<measure number="{number}">{first}{note}</measure>'.encode()
    yield b"</part></score-partwise>"


def _declared(declared: str, used: str) -> Callable[[Places], Iterator[bytes]]:
    """A score with a document type of its own; ``{secret}`` and ``{port}`` are filled in."""

    def make(places: Places) -> Iterator[bytes]:
        filled = declared.replace("{secret}", places.secret.as_uri())
        filled = filled.replace("{port}", str(places.port))
        yield f'<?xml version="1.0"?>\n<!DOCTYPE score-partwise {filled}>\n'.encode()
        yield from _score(1, used)

    return make


BOMB = '[<!ENTITY a0 "tide">' + "".join(
    f'<!ENTITY a{n} "' + f"&a{n - 1};" * 10 + '">' for n in range(1, 12)
)
# One long entity used many times: no nesting, quadratic all the same.
BLOWUP = '[<!ENTITY a "' + "tide" * 10_000 + '">]'


def _included(places: Places) -> Iterator[bytes]:
    """XInclude, a style sheet and a schema: other ways to ask for what lies elsewhere."""
    yield b'<?xml version="1.0"?>\n'
    yield f'<?xml-stylesheet href="http://127.0.0.1:{places.port}/a.xsl" type="text/xsl"?>'.encode()
    include = (
        '<identification><creator><xi:include xmlns:xi="http://www.w3.org/2001/XInclude" '
        f'href="{places.secret.as_uri()}" parse="text"/></creator></identification>'
    )
    yield from _score(1, extra=include)


def _nested(places: Places) -> Iterator[bytes]:
    depth = 100_000 // places.scale
    yield b"<score-partwise>" + b"<a>" * depth + b"</a>" * depth + b"</score-partwise>"


def _large_score(size: int) -> Callable[[Places], Iterator[bytes]]:
    def make(places: Places) -> Iterator[bytes]:
        yield from _score(size * 1_000_000 // places.scale // 130)

    return make


def packed(score: bytes, name: str = "tide.xml", named: str | None = None) -> bytes:
    """A compressed score whose container names ``named`` (or the member itself)."""
    container = (
        '<?xml version="1.0"?><container><rootfiles>'
        f'<rootfile full-path="{named or name}"/></rootfiles></container>'
    )
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("META-INF/container.xml", container)
        archive.writestr(name, score)
    return out.getvalue()


def _bomb(places: Places) -> Iterator[bytes]:
    """A gigabyte of blanks, about a megabyte when packed."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(
            "META-INF/container.xml",
            '<container><rootfiles><rootfile full-path="tide.xml"/></rootfiles></container>',
        )
        with archive.open("tide.xml", "w", force_zip64=True) as member:
            for _ in range(1000 // places.scale):
                member.write(b" " * 1_000_000)
    yield out.getvalue()


def _leaving(places: Places) -> Iterator[bytes]:
    """A score whose member's name leads out of any folder. Nothing is ever unpacked to disk."""
    yield packed(b"".join(_score(4)), "../../../hostile-escape.xml")


def _pointing_out(places: Places) -> Iterator[bytes]:
    yield packed(b"".join(_score(4)), "tide.xml", str(places.secret))


def _quoted_printable(scale: int) -> str:
    return HEAD + system(4) + "=\n" * (1_000_000 // scale) + "=3D" * (300_000 // scale)


def _sections(scale: int) -> str:
    """Parts with names of their own, a measure each, and each is repeated; as many as are read."""
    rows = (f"{label}|:--{'0' if row == 1 else '-'}--:|\n" for row, label in enumerate(LABELS))
    part = "".join(rows) + "\n"
    return HEAD + "".join(f"[Part {n}]\n{part}" for n in range(3_200 // scale))


def _printable(scale: int) -> str:
    """Characters of ASCII by chance, in as many lines as are read."""
    choose = random.Random(7)
    signs = [chr(code) for code in range(32, 127)]
    return "".join("".join(choose.choices(signs, k=79)) + "\n" for _ in range(4_800 // scale))


def _one_measure(scale: int) -> str:
    """A measure of as many notes as one may have, in columns of no grid."""
    choose = random.Random(7)
    rows = [""] * 5
    for _ in range(20_000 // scale):
        at, gap = choose.randrange(5), "-" * choose.randint(1, 4)
        rows = [row + ("2" if r == at else "-") + gap for r, row in enumerate(rows)]
    return HEAD + "".join(f"{s}|{row}|\n" for s, row in zip(LABELS, rows, strict=True))


_QUICK = ("musicxml", "midi", "text")

CASES = (
    Hostile("tab-50-mb.txt", REFUSED, _megabytes(50)),
    Hostile("line-10-million.txt", REFUSED, _text(lambda s: "D|" + "-0" * (5_000_000 // s))),
    Hostile(
        "line-3.9-million.txt", REFUSED, _text(lambda s: HEAD + "D|" + "-0" * (1_950_000 // s))
    ),
    Hostile(
        "words-3.9-million.txt",
        READ,
        _text(lambda s: HEAD + system(8) + "la " * (1_300_000 // s)),
        forms=_QUICK,
        whole=REFUSED,
    ),
    Hostile(
        "100000-measures-one-system.txt",
        READ,
        _text(lambda s: HEAD + system(100_000 // s)),
        forms=_QUICK,
        whole=REFUSED,
    ),
    Hostile(
        "100000-measures-many-systems.txt",
        READ,
        _text(lambda s: HEAD + system(8) * (12_500 // s)),
        forms=_QUICK,
        whole=REFUSED,
    ),
    Hostile(
        "200000-measures-one-system.txt", REFUSED, _text(lambda s: HEAD + system(200_000 // s))
    ),
    Hostile(
        "combining.txt",
        READ,
        _text(lambda s: _marks(5000 // s)),
    ),
    Hostile(
        "combining-million.txt",
        READ,
        _text(lambda s: _marks(1_000_000 // s)),
        forms=_QUICK,
    ),
    Hostile(
        "combining-title.txt",
        READ,
        _text(_long_title),
    ),
    Hostile("sections.txt", READ, _text(_sections), forms=_QUICK),
    Hostile("printable.txt", EITHER, _text(_printable), forms=_QUICK),
    Hostile("one-measure.txt", EITHER, _text(_one_measure), forms=_QUICK),
    Hostile("directions.txt", EITHER, _text(_odd_rows)),
    Hostile("surrogates.txt", EITHER, _text(lambda s: HEAD + "\udfff\ud800 Tide\n" + system(4))),
    Hostile("nul.txt", EITHER, _text(lambda s: HEAD + "tide\0" * 3 + "\n" + system(4))),
    Hostile("planes.txt", READ, _text(_all_planes), forms=("musicxml", "midi", "text", "html")),
    Hostile("utf-16.txt", READ, lambda p: iter([TAB.encode("utf-16-le")])),
    Hostile(
        "continuation.txt",
        EITHER,
        lambda p: iter([TAB.encode() + b"\x80\xbf" * 999]),
    ),
    Hostile("quoted-printable.txt", EITHER, _text(_quoted_printable), forms=_QUICK),
    Hostile("entity-bomb.musicxml", REFUSED, _declared(BOMB + "]", "&a11;")),
    Hostile("entity-blowup.musicxml", REFUSED, _declared(BLOWUP, "&a;" * 10_000)),
    Hostile("entity-file.musicxml", REFUSED, _declared('[<!ENTITY a SYSTEM "{secret}">]', "&a;")),
    Hostile(
        "entity-network.musicxml",
        REFUSED,
        _declared('[<!ENTITY a SYSTEM "http://127.0.0.1:{port}/a">]', "&a;"),
    ),
    Hostile(
        "entity-parameter.musicxml",
        REFUSED,
        _declared('[<!ENTITY % a SYSTEM "http://127.0.0.1:{port}/a.dtd"> %a;]', "Tide"),
    ),
    Hostile("dtd-network.musicxml", READ, _declared('SYSTEM "http://127.0.0.1:{port}/d"', "Tide")),
    Hostile("include.musicxml", READ, _included),
    Hostile("nested.musicxml", REFUSED, _nested),
    Hostile("score-50-mb.musicxml", REFUSED, _large_score(50)),
    Hostile("score-80-mb.musicxml", REFUSED, _large_score(80)),
    Hostile("zip-bomb.mxl", REFUSED, _bomb),
    Hostile("leaving.mxl", READ, _leaving),
    Hostile("pointing-out.mxl", REFUSED, _pointing_out),
)


def write(case: Hostile, folder: Path, places: Places) -> Path:
    """Write a case's file; its path."""
    path = folder / case.name
    with path.open("wb") as stream:
        for piece in case.make(places):
            stream.write(piece)
    return path
