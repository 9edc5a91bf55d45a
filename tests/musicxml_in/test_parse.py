"""MusicXML files that would do harm, and compressed ones.

How a compressed file is packed: MusicXML 4.0, "Compressed .mxl files". The attacks are the usual
ones of XML and zip (entity expansion, external entities, bombs; the OWASP cheat sheet on XML
external entities lists them, from memory).
"""

from __future__ import annotations

import contextlib
import io
import tracemalloc
import zipfile
from pathlib import Path

import pytest

import rollstave
from rollstave.musicxml_in import parse
from rollstave.score.compare import first_difference
from tests.tunes import SAMPLES

CONTAINER = (
    '<?xml version="1.0"?><container><rootfiles><rootfile full-path="{}"/></rootfiles></container>'
)


def score() -> bytes:
    (tune,) = rollstave.read(SAMPLES[0])
    return rollstave.write(tune, "musicxml")[0]


def packed(members: dict[str, bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in members.items():
            archive.writestr(name, data)
    return out.getvalue()


def message(data: bytes) -> str:
    with pytest.raises(rollstave.TabError) as error:
        rollstave.read(data)
    return " ".join(p.message for p in error.value.problems)


def with_entities(declared: str, used: str) -> bytes:
    text = score().decode()
    start = text.index("<score-partwise")
    text = f'<?xml version="1.0"?><!DOCTYPE score-partwise [{declared}]>{text[start:]}'
    return text.replace("<work-title>", f"<work-title>{used}", 1).encode()


BOMB = '<!ENTITY a0 "tide">' + "".join(
    f'<!ENTITY a{n} "' + f"&a{n - 1};" * 10 + '">' for n in range(1, 10)
)


@pytest.mark.parametrize(
    ("declared", "used"),
    [
        (BOMB, "&a9;"),
        ('<!ENTITY tide "tide">', "&tide;"),
        ('<!ENTITY file SYSTEM "file:///etc/hostname">', "&file;"),
        ('<!ENTITY page SYSTEM "http://localhost:9/tide">', "&page;"),
        ('<!ENTITY % more SYSTEM "file:///etc/hostname"> %more;', ""),
    ],
)
def test_entities_are_refused(declared: str, used: str) -> None:
    tracemalloc.start()
    said = message(with_entities(declared, used))
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert "entities" in said or "not well-formed" in said
    assert peak < 50_000_000


def test_the_usual_document_type_is_no_entity() -> None:
    text = score().decode()
    start = text.index("<score-partwise")
    public = (
        '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" '
        '"http://www.musicxml.org/dtds/partwise.dtd">'
    )
    (tune,) = rollstave.read(f"<?xml version='1.0'?>{public}{text[start:]}".encode())
    assert tune.score.measures


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_compressed_files_come_back(path: Path) -> None:
    (tune,) = rollstave.read(path)
    (plain,) = rollstave.read(rollstave.write(tune, "musicxml")[0])
    data = rollstave.write(tune, "mxl")[0]
    assert data == rollstave.write(tune, "mxl")[0]
    (back,) = rollstave.read(data)
    assert first_difference(plain.score, back.score) is None


def test_music21_reads_a_compressed_file(tmp_path: Path) -> None:
    """music21 is an independent reader of .mxl."""
    from music21 import converter

    (tune,) = rollstave.read(SAMPLES[0])
    data = rollstave.write(tune, "mxl")[0]
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        assert archive.namelist()[0] == "mimetype"
        assert archive.infolist()[0].compress_type == zipfile.ZIP_STORED
    path = tmp_path / "tide.mxl"
    path.write_bytes(data)
    found = converter.parse(path)
    assert len(found.parts[0].getElementsByClass("Measure")) == len(tune.score.measures)


def test_the_container_says_which_member_is_the_score() -> None:
    members = {
        "META-INF/container.xml": CONTAINER.format("scores/tide.xml").encode(),
        "other.xml": b"<score-partwise/>",
        "scores/tide.xml": score(),
    }
    (tune,) = rollstave.read(packed(members))
    assert tune.score.measures


def test_a_bomb_in_a_compressed_file(monkeypatch: pytest.MonkeyPatch) -> None:
    """A member that unpacks beyond the limit is read no further."""
    monkeypatch.setattr(parse, "LARGEST", 1_000_000)
    members = {
        "META-INF/container.xml": CONTAINER.format("tide.xml").encode(),
        "tide.xml": b" " * 50_000_000,
    }
    data = packed(members)
    assert len(data) < 100_000
    tracemalloc.start()
    assert "over" in message(data)
    assert tracemalloc.get_traced_memory()[1] < 20_000_000
    tracemalloc.stop()


def test_damaged_and_empty_archives() -> None:
    members = {"META-INF/container.xml": CONTAINER.format("none.xml").encode()}
    assert "holds no MusicXML score" in message(packed(members))
    whole = packed(members | {"tide.xml": score()})
    assert "cannot be unpacked" in message(whole[: len(whole) // 2])
    many = packed({"META-INF/container.xml": b""} | {f"{n}.txt": b"" for n in range(1200)})
    assert "members" in message(many)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("<divisions>", "<divisions>x"),
        ("<duration>", "<duration>99999999999"),
        ("<step>", "<step>H"),
        ("<octave>", "<octave>💥"),
        ("<beats>", "<beats>0"),
        ("score-partwise", "score-timewise"),
    ],
)
def test_values_that_make_no_sense(old: str, new: str) -> None:
    text = score().decode()
    assert old in text
    changed = text.replace(old, new) if old[0] != "<" else text.replace(old, new, 1)
    with contextlib.suppress(rollstave.TabError):
        rollstave.read(changed.encode())


@pytest.mark.parametrize("method", [zipfile.ZIP_DEFLATED, zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
@pytest.mark.parametrize("at", [0, 5, 20, -20])
def test_a_broken_member_in_any_packing(method: int, at: int) -> None:
    """Bytes of the member are damaged, its directory is not: each packer has its own errors."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", method) as archive:
        archive.writestr("tide.musicxml", score())
        info = archive.infolist()[0]
    data = bytearray(out.getvalue())
    begin = 30 + len("tide.musicxml")  # APPNOTE.TXT 4.3.7: a local header has 30 bytes and the name
    place = begin + (at if at >= 0 else info.compress_size + at)
    for offset in range(6):
        data[place + offset] ^= 0xFF
    assert "cannot be unpacked" in message(bytes(data))


PART = (
    '<score-partwise version="4.0"><part-list><score-part id="P1"><part-name/></score-part>'
    '</part-list><part id="P1">{}</part></score-partwise>'
)
LONG = (
    '<measure number="1"><attributes><divisions>{}</divisions></attributes>{}<note><pitch>'
    "<step>G</step><octave>4</octave></pitch><duration>{}</duration></note></measure>"
)


def test_a_part_without_measures() -> None:
    assert "has no measures" in message(PART.format("").encode())


@pytest.mark.parametrize(
    ("divisions", "first", "duration"), [(1, "", 999), (2, "", 1999), (16, "", 15_000)]
)
def test_very_long_notes_are_written_in_every_format(
    divisions: int, first: str, duration: int
) -> None:
    data = PART.format(LONG.format(divisions, first, duration)).encode()
    (tune,) = rollstave.read(data)
    for form in ("musicxml", "mei", "midi", "text"):
        assert rollstave.write(tune, form)


def test_thousands_of_quarter_notes_are_refused() -> None:
    assert "quarter notes long" in message(PART.format(LONG.format(1, "", 5000)).encode())
    several = LONG.format(1, "", 400) * 3
    assert "1200 quarter notes together" in message(PART.format(several).encode())
