"""Making figures, and keeping them: the same tab with the same options is engraved once."""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
from functools import lru_cache
from pathlib import Path
from typing import Any

from msgspec import Struct, field, to_builtins
from msgspec.structs import replace

import rollstave
from rollstave.figures.options import FigureOptions
from rollstave.problems import Place, Problem, Severity, TabError
from rollstave.vocabulary import problems as kinds

_PLAIN = FigureOptions()
_KEPT_IN_MEMORY = 200  # figures; some 100 kB each


class Figure(Struct, frozen=True):
    """An engraving for the inside of a text.

    ``svg`` is an SVG element without an XML declaration and without fonts. ``key`` is the hash
    of what it was made from, and the stem of its ids. ``width`` and ``height`` are in
    millimetres. ``alt`` says in words what is to be seen; ``notes`` are the lines that a reader
    must know: tuning, capo, which letters are suggestions. ``text`` is the typed tab, ``problems``
    what there is to tell of it, with places in it.
    """

    svg: str
    key: str
    title: str
    alt: str
    width: float
    height: float
    notes: tuple[str, ...] = ()
    text: str = ""
    problems: tuple[Problem, ...] = ()
    options: FigureOptions = field(default_factory=FigureOptions)

    def svg_with_ids(self, prefix: str) -> str:
        """The drawing with other ids, so that it can stand on a page twice."""
        own = _prefix(self.key)
        return self.svg.replace(f'id="{own}', f'id="{prefix}').replace(f'"#{own}', f'"#{prefix}')


class FigureMaker:
    """Makes figures. ``folder`` is where they are kept between two runs; it can be deleted.

    ``engraved`` counts how often something was engraved, and not found.
    """

    def __init__(self, folder: str | os.PathLike[str] | None = None) -> None:
        self.folder = None if folder is None else Path(folder)
        self.engraved = 0
        self._memory: dict[str, dict[str, Any]] = {}

    def make(
        self,
        source: str | bytes | Path | rollstave.Tune,
        options: FigureOptions = _PLAIN,
        *,
        name: str = "",
    ) -> Figure:
        """The figure of a tab, as text, as a file's content, as a file, or as a tune.

        ``name`` is the title of a tune that has none. Raises TabError if there is no figure,
        OSError if a file cannot be read.
        """
        if isinstance(source, Path):
            name, source = name or source.stem, source.read_bytes()
        key = _key(source, options, name)
        kept = self._memory.get(key) or self._from_folder(key)
        if kept is None:
            kept = _engrave(source, options, name, key)
            self.engraved += 1
            self._keep(key, ".json", json.dumps(kept, ensure_ascii=False).encode())
        self._memory.pop(key, None)  # it is now the last that was asked for
        while len(self._memory) >= _KEPT_IN_MEMORY:
            del self._memory[next(iter(self._memory))]
        self._memory[key] = kept
        problems = tuple(_problem(p) for p in kept["problems"])
        return Figure(
            **{**kept, "problems": problems, "notes": tuple(kept["notes"])}, options=options
        )

    def pdf(self, figure: Figure) -> bytes:
        """The figure as a PDF on a page of its size."""
        from rollstave.writing.paper import pages_pdf, svg_size

        place = self._place(figure.key, ".pdf")
        if place is not None and place.exists():
            return place.read_bytes()
        svg = figure.svg.encode()
        made = pages_pdf([svg], svg_size(svg), figure.title)
        self._keep(figure.key, ".pdf", made)
        return made

    def _place(self, key: str, extension: str) -> Path | None:
        return None if self.folder is None else self.folder / f"{key}{extension}"

    def _from_folder(self, key: str) -> dict[str, Any] | None:
        """What was kept, or None; a damaged file is as good as none."""
        place = self._place(key, ".json")
        if place is None:
            return None
        try:
            kept = json.loads(place.read_text(encoding="utf-8"))
        except (OSError, ValueError):
            return None
        return kept if isinstance(kept, dict) and kept.get("key") == key else None

    def _keep(self, key: str, extension: str, data: bytes) -> None:
        """Keep a file, written whole, since several builds may share the folder. A folder that
        cannot be written only costs time."""
        place = self._place(key, extension)
        if place is None:
            return
        temporary = place.with_name(f".{place.name}.{os.getpid()}")
        try:
            place.parent.mkdir(parents=True, exist_ok=True)
            temporary.write_bytes(data)
            os.replace(temporary, place)
        except OSError:
            with contextlib.suppress(OSError):
                temporary.unlink()


def _key(source: str | bytes | rollstave.Tune, options: FigureOptions, name: str) -> str:
    """The hash of all that a figure depends on."""
    if isinstance(source, str):
        what = "text " + source
    elif isinstance(source, bytes):
        what = "bytes " + source.hex()
    else:
        what = "score " + repr(source.score)
    # What stands around the drawing does not change it.
    look = replace(options, caption="", ids="", typed=_PLAIN.typed)
    parts = [_stamp(), what, repr(look), name]
    return hashlib.sha256(json.dumps(parts).encode("utf-8", "replace")).hexdigest()[:32]


@lru_cache(maxsize=1)
def _stamp() -> str:
    """The versions of rollstave and of its engraver, and the state of rollstave's own files, so
    that a changed engraving is never taken from the folder."""
    from importlib.metadata import version

    from rollstave.version import __version__

    home = Path(__file__).parents[1]
    files = sorted(home.rglob("*.py"))
    state = [(str(f.relative_to(home)), f.stat().st_size, f.stat().st_mtime_ns) for f in files]
    return f"{__version__} {version('verovio')} {state}"


def _engrave(
    source: str | bytes | rollstave.Tune, options: FigureOptions, name: str, key: str
) -> dict[str, Any]:
    """All of a figure but its options, as plain data."""
    from rollstave.api import write
    from rollstave.writing.paper import svg_size

    tune = _chosen(source, options, name) if isinstance(source, str | bytes) else source
    score = _shown(tune.score, options)
    (svg,) = write(score, "svg", replace(options.sheet, prefix=_prefix(key), measures=None))
    size = svg_size(svg)
    return {
        "svg": svg.decode().partition("?>")[2].strip(),
        "key": key,
        "title": score.title,
        "alt": _alt(score, options),
        "width": size.width / 100,
        "height": size.height / 100,
        "notes": _notes(score, options),
        "text": _text(source, tune),
        "problems": [to_builtins(p) for p in tune.problems],
    }


def _text(source: str | bytes | rollstave.Tune, tune: rollstave.Tune) -> str:
    """The tab as typed, or as rollstave types it where nobody did."""
    from rollstave.api import write
    from rollstave.assembly.documents import kind_of
    from rollstave.musicxml_in.detect import is_musicxml
    from rollstave.reading.page.decode import decode

    if isinstance(source, str | bytes):
        data = source.encode("utf-8", "replace") if isinstance(source, str) else source
        if not is_musicxml(data) and (isinstance(source, str) or not kind_of(data)):
            return decode(data)
    return write(tune, "text")[0].decode()


def _prefix(key: str) -> str:
    return f"rs-{key[:10]}-"


def _problem(data: dict[str, Any]) -> Problem:
    place = data["place"]
    return Problem(
        severity=Severity(data["severity"]),
        code=data["code"],
        message=data["message"],
        place=Place(place["line"], place["column"]) if place else None,
    )


def _chosen(source: str | bytes, options: FigureOptions, name: str) -> rollstave.Tune:
    """The tune of a text; where there are several, the one that the options name."""
    from rollstave.api import read

    tunes = read(source, name=name)
    if options.tune is None and len(tunes) == 1:
        return tunes[0]
    if options.tune is None:
        raise _error(f"there are {len(tunes)} tunes here; say which is meant: tune=1")
    if options.tune > len(tunes):
        raise _error(f"tune={options.tune}: there are {len(tunes)} tunes here")
    return tunes[options.tune - 1]


def _shown(score: rollstave.Score, options: FigureOptions) -> rollstave.Score:
    from rollstave.score.excerpt import excerpt

    if options.measures is None:
        return score
    try:
        return excerpt(score, *options.measures)
    except ValueError as error:
        raise _error(str(error)) from None


def _error(message: str) -> TabError:
    return TabError((kinds.FIGURE_OPTION.problem(message),))


def _alt(score: rollstave.Score, options: FigureOptions) -> str:
    """What is to be seen, in words: title, kind of notation, measures, meter, key, tuning."""
    from rollstave.writing.sheet.head import tuning_line

    kind = {"both": "staff and tablature", "tab": "tablature", "staff": "staff notation"}
    first, last = score.measures[0].number, score.measures[-1].number
    which = f"measures {first} to {last}" if first != last else f"measure {first}"
    words = [
        f"{kind[options.view.value]} for {score.setup.instrument.name}",
        which,
        str(score.meter),
        str(score.key),
    ]
    return f"{score.title or 'Tab'}: {', '.join(words)}. {tuning_line(score)}."


def _notes(score: rollstave.Score, options: FigureOptions) -> list[str]:
    """What a reader must know and the drawing does not say."""
    from rollstave.writing.sheet.foot import make_foot
    from rollstave.writing.sheet.head import capo_line, tuning_line

    setup = score.setup
    unusual = setup.tuning.pitches != setup.instrument.default.pitches or bool(
        setup.capo or setup.short_raise
    )
    found = []
    if unusual if options.tuning is None else options.tuning:
        found.append(f"{tuning_line(score)}.")
        if capo := capo_line(score):
            found.append(f"{capo}.")
    foot = make_foot(score, options.sheet, 1e9)
    return [*found, *foot.remarks]
