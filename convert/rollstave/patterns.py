"""Regular expressions that most texts never need."""

from __future__ import annotations

import re
from typing import Any, cast


class _Rare:
    """What acts as a pattern, and is compiled when it is first asked something."""

    def __init__(self, pattern: str, flags: int) -> None:
        self.pattern = pattern
        self.flags = flags

    def __getattr__(self, name: str) -> Any:
        # Asked only for what is not there yet; from then on it is the compiled pattern's own.
        found = getattr(re.compile(self.pattern, self.flags), name)
        setattr(self, name, found)
        return found


def rare(pattern: str, flags: int = 0) -> re.Pattern[str]:
    """A regular expression whose methods may be called as those of a compiled one.

    To compile one costs more than to search a small tab with it, and modules have two hundred.
    For those that stand behind a quicker question; a mistake in one is found when it is first used.
    """
    return cast("re.Pattern[str]", _Rare(pattern, int(flags)))
