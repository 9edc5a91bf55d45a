"""The plugin of lessons in a contract of its own, as ``tests.plugins.arranging`` has another."""

from __future__ import annotations

import pytest

from rollstave import Handout, Part, Score
from rollstave.assembly import plugins
from rollstave.contract.discovery import Found
from rollstave.contract.manager import Contract
from rollstave_teaching import lesson
from tests.plugins.arranging import ARRANGING

TEACHING = Found(name="teaching", value="rollstave_teaching", package="rollstave", version="0")


def use_teaching(monkeypatch: pytest.MonkeyPatch) -> Contract:
    made = plugins.contract_of([ARRANGING, TEACHING])
    monkeypatch.setattr(plugins, "contract", lambda: made)
    return made


def part(score: Score, key: str) -> Part:
    """One part of the lesson of a tune."""
    (found,) = lesson(score, key).parts
    return found


def told(handout: Handout | Part) -> str:
    """All words of a hand-out or a part, a paragraph to a line."""
    parts = handout.parts if isinstance(handout, Handout) else (handout,)
    lines = []
    for one in parts:
        for block in one.blocks:
            words = (getattr(block, "name", ""), getattr(block, "why", ""))
            lines += [w for w in (*words, getattr(block, "text", "")) if w]
    return "\n".join(lines)
