"""Names of outputs: safe on every system, never the same twice, the same in every run."""

from __future__ import annotations

import hashlib
import os
import re
import unicodedata
from collections import defaultdict
from collections.abc import Sequence
from pathlib import PurePosixPath

from rollstave.archive.jobs import Job, Source
from rollstave.outputs.own import shown
from rollstave.patterns import rare

LONGEST = 120  # bytes of a component before page numbers, titles and endings; systems allow 255
RESERVED_AT_TOP = ("report",)  # the report's own name

# Characters and names that Windows refuses (Microsoft, "Naming Files, Paths, and Namespaces").
_REFUSED = set('<>:"/\\|?*')
_DEVICES = rare(r"(con|prn|aux|nul|com[0-9¹²³]|lpt[0-9¹²³])(\.|$)", re.IGNORECASE)


def safe_component(name: str) -> str:
    """A file or folder name that every system takes and that stays where it is put.

    Refused and invisible characters become ``_``, reserved names get one, what is too long is cut
    and ends in a few digits of its hash.
    """
    plain = unicodedata.normalize("NFC", name)
    plain = "".join("_" if c in _REFUSED or not c.isprintable() else c for c in plain)
    plain = plain.rstrip(". ").lstrip(" ")
    if plain.startswith("."):
        plain = "_" + plain[1:]
    if not plain or _DEVICES.match(plain):
        plain = "_" + plain
    return fitted(plain, LONGEST, name)


def fitted(text: str, limit: int, whole: str | None = None) -> str:
    """The text, or its start and digits of a hash of ``whole`` if it has over ``limit`` bytes."""
    data = text.encode("utf-8", "replace")
    if len(data) <= limit:
        return text
    tail = "-" + _digits(text if whole is None else whole)
    return data[: limit - len(tail)].decode("utf-8", "ignore").rstrip(". ") + tail


def _digits(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()[:8]


def name_all(sources: Sequence[Source], reserved: tuple[str, ...] = RESERVED_AT_TOP) -> list[Job]:
    """Give every source the path of its outputs below --out, without an ending.

    Sources that would get the same are told apart by their folders if these differ, else by their
    endings (``tune.txt.svg``, ``tune.tab.svg``), at last by digits of a hash. So is a name that
    pages of another could take: ``tune-1`` beside ``tune``. ``reserved`` are names that no output
    has at the top.
    """
    ways = (_plain, _by_folder, _by_ending, _by_hash, _by_place)
    common = _common([os.path.dirname(s.path) for s in sources])
    level = dict.fromkeys(range(len(sources)), 0)
    while True:
        targets = [ways[level[n]](source, common) for n, source in enumerate(sources)]
        clashing = [n for n in _clashes(targets, reserved) if level[n] < len(ways) - 1]
        if not clashing:
            break
        for n in clashing:
            level[n] += 1
    others = _Names([_plain(source, common) for source in sources])
    return [
        Job(source, target, _why(n, sources, target, others))
        for n, (source, target) in enumerate(zip(sources, targets, strict=True))
    ]


def _plain(source: Source, common: str) -> str:
    path = PurePosixPath(source.below)
    return str(PurePosixPath(*map(safe_component, path.parts[:-1]), safe_component(path.stem)))


def _by_folder(source: Source, common: str) -> str:
    if source.walked:  # keeps its folder as it is
        return _plain(source, common)
    folder = os.path.relpath(os.path.dirname(source.path), common) if common else ""
    parts = [p for p in PurePosixPath(folder).parts if p not in (".", "..")]
    stem = PurePosixPath(source.below).stem
    return str(PurePosixPath(*map(safe_component, parts), safe_component(stem)))


def _by_ending(source: Source, common: str) -> str:
    path = PurePosixPath(_by_folder(source, common))
    name = PurePosixPath(source.below).name
    return str(path.with_name(safe_component(name)))


def _by_hash(source: Source, common: str) -> str:
    path = PurePosixPath(_by_folder(source, common))
    return str(path.with_name(f"{path.name}.{_digits(source.below)}"))


def _by_place(source: Source, common: str) -> str:
    """From where all sources lie on, so that an archive that was moved keeps its names."""
    path = PurePosixPath(_by_folder(source, common))
    place = os.path.relpath(source.path, common) if common else source.path
    return str(path.with_name(f"{path.name}.{_digits(place)}"))


class _Names:
    """Targets, and which of them some systems take for the same: case and accents do not count."""

    def __init__(self, targets: Sequence[str]) -> None:
        self.targets = targets
        self.keys = [unicodedata.normalize("NFC", t).casefold() for t in targets]
        self._by_key: dict[str, list[int]] = defaultdict(list)
        for position, key in enumerate(self.keys):
            self._by_key[key].append(position)

    def same(self, position: int) -> list[int]:
        """The positions of the others with the same name."""
        return [p for p in self._by_key[self.keys[position]] if p != position]

    def pages_of(self, position: int) -> int | None:
        """The position of a target whose pages or tunes could take this name."""
        folder, slash, name = self.keys[position].rpartition("/")
        for dash in re.finditer(r"-\d+(?=-|$)", name):
            if found := self._by_key.get(folder + slash + name[: dash.start()]):
                return found[0]
        return None


def _clashes(targets: Sequence[str], reserved: tuple[str, ...]) -> list[int]:
    """The positions of targets that cannot stay as they are."""
    names = _Names(targets)
    return [
        p
        for p, key in enumerate(names.keys)
        if key in reserved or names.same(p) or names.pages_of(p) is not None
    ]


def _why(position: int, sources: Sequence[Source], target: str, plain: _Names) -> str:
    """Why a source has not its own name, in words for people; empty if it has."""
    own = plain.targets[position]
    if target == own:
        return ""
    said = f"named {target}, because "
    if same := plain.same(position):
        other = same[0]
        case = "" if plain.targets[other] == own else " but for capitals"
        return f"{said}{shown(sources[other].name)} would have had the same name{case}"
    if (pages := plain.pages_of(position)) is not None:
        return f"{said}pages of {shown(sources[pages].name)} may be called so"
    if plain.keys[position] in RESERVED_AT_TOP:
        return f"{said}{own} is the name of the report"
    return f"{said}another file would have had the same name"


def _common(folders: Sequence[str]) -> str:
    try:
        return os.path.commonpath(folders)
    except ValueError:  # none, or on several drives
        return ""
