"""Sheets of the cases in every look that a test asks for, each engraved once a session.

Modules that look at the same sheets run in different processes: what one has engraved it puts
into the folder of the session, where the others find it.
"""

from __future__ import annotations

import hashlib
import os
from functools import cache
from pathlib import Path

import msgspec
from lxml import etree

import rollstave
from rollstave.writing.options import SheetOptions
from tests import tunes

STORE = "ROLLSTAVE_TESTS_STORE"  # the folder of the session: tests/conftest.py


def pages(case: str, options: SheetOptions | None = None) -> tuple[bytes, ...]:
    """The pages of a case of ``tests.tunes`` as SVG."""
    return _pages(case, options or SheetOptions())


def roots(case: str, options: SheetOptions | None = None) -> tuple[etree._Element, ...]:
    """The same, parsed. They are shared: no test changes them."""
    return _roots(case, options or SheetOptions())


@cache
def _roots(case: str, options: SheetOptions) -> tuple[etree._Element, ...]:
    return tuple(etree.fromstring(page) for page in pages(case, options))


@cache
def _pages(case: str, options: SheetOptions) -> tuple[bytes, ...]:
    folder = os.environ.get(STORE)
    if not folder:
        return _engraved(case, options)
    name = hashlib.sha256(f"{case} {options!r}".encode()).hexdigest()[:24]
    kept = Path(folder) / f"{name}.pages"
    if not kept.exists():
        part = kept.with_suffix(f".{os.getpid()}")
        part.write_bytes(msgspec.msgpack.encode(_engraved(case, options)))
        part.replace(kept)
    return msgspec.msgpack.decode(kept.read_bytes(), type=tuple[bytes, ...])


def _engraved(case: str, options: SheetOptions) -> tuple[bytes, ...]:
    return tuple(rollstave.write(tunes.case(case), "svg", options))
