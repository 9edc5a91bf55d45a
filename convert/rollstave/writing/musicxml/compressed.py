"""MusicXML in one compressed file (MusicXML 4.0, "Compressed .mxl files")."""

from __future__ import annotations

import io
import zipfile

from rollstave.score.records import Score
from rollstave.writing.musicxml.document import write_musicxml

_NAME = "score.musicxml"
_CONTAINER = f"""<?xml version="1.0" encoding="UTF-8"?>
<container>
  <rootfiles>
    <rootfile full-path="{_NAME}" media-type="application/vnd.recordare.musicxml+xml"/>
  </rootfiles>
</container>
"""
_MEDIA_TYPE = "application/vnd.recordare.musicxml"
_NO_DATE = (1980, 1, 1, 0, 0, 0)  # the earliest a zip archive knows: same score, same bytes


def write_mxl(score: Score) -> bytes:
    """The score as a compressed MusicXML file: its media type first, uncompressed."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for name, data, method in (
            ("mimetype", _MEDIA_TYPE.encode(), zipfile.ZIP_STORED),
            ("META-INF/container.xml", _CONTAINER.encode(), zipfile.ZIP_DEFLATED),
            (_NAME, write_musicxml(score), zipfile.ZIP_DEFLATED),
        ):
            info = zipfile.ZipInfo(name, _NO_DATE)
            info.compress_type = method
            info.external_attr = 0o644 << 16
            archive.writestr(info, data)
    return out.getvalue()
