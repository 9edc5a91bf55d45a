"""Compressed files whose container does not say which member is the score.

MusicXML 4.0, "Compressed .mxl files", wants a container; some programs leave it out.
"""

from __future__ import annotations

import pytest

import rollstave
from tests.musicxml_in.test_parse import message, packed, score


@pytest.mark.parametrize("name", ["tide.xml", "tide.musicxml", "TIDE.XML", "scores/Tide.MusicXML"])
def test_the_only_score_is_found_by_its_name(name: str) -> None:
    (tune,) = rollstave.read(packed({"cover.png": b"", name: score(), "notes.txt": b"<score/>"}))
    assert tune.score.measures


@pytest.mark.parametrize("name", ["tide.mid", "xml", "tide.xml.txt"])
def test_no_other_file_is_a_score(name: str) -> None:
    assert "holds no MusicXML score" in message(packed({name: score()}))
