"""Regular expressions that most texts never need."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Any, cast

_METHODS = ("search", "match", "fullmatch", "finditer", "findall", "sub")


class Rare:
    """What acts as a pattern, and is compiled when it is first asked something."""

    def __init__(self, pattern: str, flags: int) -> None:
        self.pattern = pattern
        self.flags = flags

    def __getattr__(self, name: str) -> Any:
        # Asked only for what is not there yet; from then on it is the compiled pattern's own.
        found = getattr(re.compile(self.pattern, self.flags), name)
        setattr(self, name, found)
        return found


class Cued(Rare):
    """A rare pattern that is compiled for the first text that has one of its cues."""

    def __init__(self, pattern: str, flags: int, cues: tuple[str, ...]) -> None:
        super().__init__(pattern, flags)
        self.cues = cues

    def _has_cue(self, text: str) -> bool:
        folded = fold(text)
        for cue in self.cues:
            if cue in folded:
                # From now on the compiled pattern is asked, without a look at the cues.
                compiled = re.compile(self.pattern, self.flags)
                for name in _METHODS:
                    setattr(self, name, getattr(compiled, name))
                return True
        return False

    def search(self, text: str, *span: int) -> Any:
        return self.search(text, *span) if self._has_cue(text) else None

    def match(self, text: str, *span: int) -> Any:
        return self.match(text, *span) if self._has_cue(text) else None

    def fullmatch(self, text: str, *span: int) -> Any:
        return self.fullmatch(text, *span) if self._has_cue(text) else None

    def finditer(self, text: str, *span: int) -> Any:
        return self.finditer(text, *span) if self._has_cue(text) else iter(())

    def findall(self, text: str, *span: int) -> Any:
        return self.findall(text, *span) if self._has_cue(text) else []

    def sub(self, new: Any, text: str, *count: int) -> Any:
        return self.sub(new, text, *count) if self._has_cue(text) else text


@lru_cache(maxsize=64)  # many patterns are asked of one line
def fold(text: str) -> str:
    """A text as cues are looked for in it: whatever ``re.IGNORECASE`` takes for a letter from a to
    z is that letter."""
    return text.casefold().replace("ı", "i")


def rare(pattern: str, flags: int = 0, cues: tuple[str, ...] = ()) -> re.Pattern[str]:
    """A regular expression whose methods may be called as those of a compiled one.

    To compile one costs more than to search a small tab with it, and modules have two hundred.
    For those that stand behind a quicker question; a mistake in one is found when it is first used.
    ``cues`` are that question: whatever the pattern matches has one of them in it, in small
    letters. A test proves it of every pattern.
    """
    found = Cued(pattern, int(flags), cues) if cues else Rare(pattern, int(flags))
    return cast("re.Pattern[str]", found)
