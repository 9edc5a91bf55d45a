"""Compressed files whose container does not say which member is the score.

MusicXML 4.0, "Compressed .mxl files", wants a container; some programs leave it out.
"""

from __future__ import annotations

import pytest

import rollstave
from tests.musicxml_in.test_parse import message, packed, score

# A file is taken for a compressed score if it has a container or a name that says so.
NOTE = {"about.musicxml.txt": b"<score/>"}


@pytest.mark.parametrize("name", ["tide.xml", "tide.musicxml", "TIDE.XML", "scores/Tide.MusicXML"])
def test_the_only_score_is_found_by_its_name(name: str) -> None:
    (tune,) = rollstave.read(packed({**NOTE, "cover.png": b"", name: score()}))
    assert tune.score.measures


@pytest.mark.parametrize("name", ["tide.mid", "xml", "tide.xml.txt"])
def test_no_other_file_is_a_score(name: str) -> None:
    assert "holds no MusicXML score" in message(packed({**NOTE, name: score()}))
