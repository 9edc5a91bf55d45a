"""The plugin of other versions, in a contract of its own: entry points are those that are
installed, and a tree of work may have others."""

from __future__ import annotations

import pytest

from rollstave.assembly import plugins
from rollstave.contract.discovery import Found
from rollstave.contract.manager import Contract

ARRANGING = Found(name="arranging", value="rollstave_arranging", package="rollstave", version="0")


def use_arranging(monkeypatch: pytest.MonkeyPatch) -> Contract:
    made = plugins.contract_of([ARRANGING])
    monkeypatch.setattr(plugins, "contract", lambda: made)
    return made
