"""The headings that are only words: who wrote a tune, where it is from, and what else is said."""

from __future__ import annotations

from lxml import etree

from rollstave.musicxml_in.fields import is_kept, place_of
from rollstave.problems import ProblemList
from rollstave.vocabulary import problems as kinds
from rollstave.vocabulary.headings import CREATOR, FIELD, HEADINGS, ONLY_WORDS, RIGHTS, InMusicXML

OWN_PROGRAM = "rollstave"  # as its files say it


def read_words(root: etree._Element, problems: ProblemList) -> dict[str, str]:
    """What the elements say that keep headings, by the keys of these; creators, rights and fields
    that no heading is kept in are left out, and that is said."""
    found = {}
    for row in ONLY_WORDS:
        # A program that has no element for a heading keeps it in a field of its name.
        places = dict.fromkeys((row.kept.found_at, _field(row.key), place_of(row.key)))
        texts = (text for place in places for text in _texts(root, place))
        found[row.key] = ", ".join(dict.fromkeys(texts))
    kept = [row.kept.found_at for row in HEADINGS if row.only_words or row.musicxml]
    kept += [path(row.key) for row in ONLY_WORDS for path in (_field, place_of)]
    known = {element for place in kept for element in root.iterfind(place)}
    left = [
        _called(element)
        for path in (CREATOR, RIGHTS, FIELD)
        for element in root.iterfind(path)
        if element not in known
        and (element.text or "").strip()
        and not is_kept(element.get("name", ""))
    ]
    if left:
        counted = ", ".join(dict.fromkeys(left))
        problems.add(kinds.LEFT_OUT, f"no heading of a tab is for these, left out: {counted}")
    return found


def _field(key: str) -> str:
    return InMusicXML(FIELD, "name", key).found_at


def text_of(root: etree._Element, path: str) -> str:
    """The words of the first element at a path, in one line; empty if there is none."""
    return next(iter(_texts(root, path)), "")


def _texts(root: etree._Element, path: str) -> list[str]:
    texts = ((element.text or "").strip() for element in root.iterfind(path))
    nobody = programs_of(root) if path.startswith(CREATOR) else set()
    return [" ".join(text.splitlines()) for text in texts if text and text.casefold() not in nobody]


def programs_of(root: etree._Element) -> set[str]:
    """The programs that wrote a file: some of them name themselves where nobody is named."""
    software = root.iterfind("identification/encoding/software")
    return {words[0] for one in software if (words := (one.text or "").casefold().split())}


def _called(element: etree._Element) -> str:
    kind = element.get("type") or element.get("name")
    return f"{element.tag} {kind!r}" if kind else str(element.tag)
