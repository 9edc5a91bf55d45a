"""Bytes to an XML tree, kept within limits: no entities, nothing from elsewhere, no bombs."""

from __future__ import annotations

import io
import zipfile
from typing import Any, NoReturn

from lxml import etree

from rollstave.problems import Place, ProblemList, TabError
from rollstave.vocabulary import problems as kinds

# Bytes of a score, unpacked; a tune has some hundred kilobytes. As elements it takes about
# fourteen times as much memory.
LARGEST = 32 * 1024 * 1024
_MOST_MEMBERS = 1000  # of an archive
_CONTAINER = "META-INF/container.xml"
_ENTITIES = "this file declares XML entities, which no score needs; they are not read"


def parse(data: bytes, problems: ProblemList) -> etree._Element:
    """The root of a MusicXML file, plain or compressed (MusicXML 4.0, "Compressed .mxl files").

    Raises TabError for what is not well-formed, too large, or declares entities: those could make
    a small file fill the memory, or read other files.
    """
    if data.startswith(b"PK"):
        data = _unpacked(data, problems)
    return _tree(data, problems)


def by_parts(root: etree._Element) -> etree._Element:
    """A score by measures (``score-timewise``) as one by parts; any other as it is. MusicXML 4.0
    has both, and one follows from the other."""
    if root.tag != "score-timewise":
        return root
    root.tag = "score-partwise"
    parts: dict[str, etree._Element] = {}
    for measure in root.findall("measure"):
        root.remove(measure)
        for own in measure.findall("part"):
            name = own.get("id", "")
            if name not in parts:
                parts[name] = etree.SubElement(root, "part", {"id": name})
            own.tag = "measure"
            own.attrib.clear()
            own.attrib.update(measure.attrib)
            parts[name].append(own)
    return root


def _tree(data: bytes, problems: ProblemList) -> etree._Element:
    if len(data) > LARGEST:
        _refuse(
            problems,
            f"this score is larger than {LARGEST // 1024 // 1024} MB; divide it into tunes",
        )
    parser = etree.XMLParser(
        resolve_entities=False, no_network=True, load_dtd=False, huge_tree=False
    )
    try:
        root = etree.fromstring(data, parser)
    except etree.XMLSyntaxError as error:
        line, column = error.position
        problems.add(kinds.XML, _in_words(error), Place(line, column))
        raise TabError(problems.sorted()) from None
    inside: Any = root.getroottree().docinfo.internalDTD
    if inside is not None and list(inside.iterentities()):
        _refuse(problems, _ENTITIES)
    return root


def _in_words(error: etree.XMLSyntaxError) -> str:
    """What is wrong; where the parser met a limit of its own, its words are for programmers."""
    message = error.msg or "no reason is given"
    if getattr(error, "code", 0) != etree.ErrorTypes.ERR_RESOURCE_LIMIT:
        return f"this is not well-formed XML: {message}"
    if "entity" in message:
        return _ENTITIES
    if "depth" in message:
        return "this file is not read: its elements lie hundreds deep in each other; no score's do"
    return "this file is not read: it has a name or a text of over 10 MB; no score has"


def _unpacked(data: bytes, problems: ProblemList) -> bytes:
    """The score in a compressed file: what its container names first, or its only score."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            names = archive.namelist()
            if len(names) > _MOST_MEMBERS:
                _refuse(problems, f"this compressed file has {len(names)} members; a score has few")
            if _CONTAINER in names:
                container = _tree(_member(archive, _CONTAINER, problems), problems)
                found = next(
                    (e.get("full-path") for e in container.iter("{*}rootfile", "rootfile")), None
                )
            else:
                scores = (n for n in names if n.lower().endswith((".xml", ".musicxml")))
                found = next(scores, None)
            if found is None or found not in names:
                _refuse(problems, "this compressed file holds no MusicXML score")
            return _member(archive, found, problems)
    except TabError:
        raise
    except Exception as error:
        # Damaged, encrypted, packed in unknown ways: each packer has errors of its own, and the
        # next version of Python has more of them.
        reason = str(error) or type(error).__name__
        _refuse(problems, f"this compressed file cannot be unpacked: {reason}")


def _member(archive: zipfile.ZipFile, name: str, problems: ProblemList) -> bytes:
    """A member, unpacked no further than the limit, whatever size the file claims for it."""
    with archive.open(name) as member:
        data = member.read(LARGEST + 1)
    if len(data) > LARGEST:
        _refuse(
            problems,
            f"unpacked, this file is over {LARGEST // 1024 // 1024} MB; divide it into tunes",
        )
    return data


def _refuse(problems: ProblemList, message: str) -> NoReturn:
    problems.add(kinds.MUSICXML, message)
    raise TabError(problems.sorted())
