"""The sub-converters that music21 asks: by name, and for files that end in .txt."""

from __future__ import annotations

import warnings
from pathlib import Path
from typing import Any

from music21 import converter, stream
from music21.converter import subConverters

import rollstave
from rollstave_music21.from_stream import to_tab
from rollstave_music21.to_stream import to_score


class ConverterRollstave(subConverters.SubConverter):  # type: ignore[misc]  # music21 is untyped here
    """Reads and writes tab, as ``format="rollstave"``."""

    codecWrite = True  # in UTF-8
    registerFormats = ("rollstave",)
    registerInputExtensions = ("tab",)
    registerOutputExtensions = ("txt",)

    def parseData(self, dataString: str | bytes, number: int | None = None) -> Any:
        """The tunes of a text. Raises ConverterException with every problem's place."""
        return self._parse(dataString, "", number)

    def parseFile(self, filePath: str | Path, number: int | None = None, **keywords: Any) -> Any:
        """The tunes of a file. Raises ConverterFileException with every problem's place."""
        path = Path(filePath)
        try:
            return self._parse(path.read_bytes(), path.stem, number, str(path))
        except converter.ConverterException as error:
            raise converter.ConverterFileException(str(error)) from None

    def _parse(self, data: str | bytes, name: str, number: int | None, shown: str = "text") -> Any:
        try:
            tunes = rollstave.read(data, name=name)
        except rollstave.TabError as error:
            lines = "\n".join(p.format(shown) for p in error.problems)
            raise converter.ConverterException(f"this cannot be read as tab:\n{lines}") from None
        if number is not None:
            if not 1 <= number <= len(tunes):
                raise converter.ConverterException(f"there is no tune {number} in the text")
            tunes = (tunes[number - 1],)
        if len(tunes) == 1:
            self.stream = to_score(tunes[0].score)
        else:
            self.stream = stream.Opus([to_score(tune.score) for tune in tunes])
        return self.stream

    def write(
        self, obj: Any, fmt: str | None, fp: Any = None, subformats: Any = (), **keywords: Any
    ) -> Any:
        """Write the first part that has strings, or the first part, as tab; the path."""
        if fp is None:
            fp = self.getTemporaryFile()
        self.writeDataStream(fp, _text(obj, **keywords))
        return fp

    def show(
        self, obj: Any, fmt: str | None, app: Any = None, subformats: Any = (), **keywords: Any
    ) -> None:
        """Print the tab."""
        print(_text(obj, **keywords))


def _text(obj: Any, **keywords: Any) -> str:
    known = {key: keywords[key] for key in ("width",) if key in keywords}
    text, remarks = to_tab(obj, **known)
    for remark in remarks:
        warnings.warn(remark, stacklevel=4)
    return text


class ConverterTextFile(ConverterRollstave):
    """Reads files that end in .txt as tab. music21's own converter of that name only writes, and
    goes on doing so: ``write("txt")`` is what it was."""

    registerFormats = ("txt",)
    registerInputExtensions = ("txt",)

    def write(
        self, obj: Any, fmt: str | None, fp: Any = None, subformats: Any = (), **keywords: Any
    ) -> Any:
        """As music21's own converter does."""
        return subConverters.ConverterText().write(obj, fmt, fp, subformats, **keywords)

    def show(
        self, obj: Any, fmt: str | None, app: Any = None, subformats: Any = (), **keywords: Any
    ) -> None:
        """As music21's own converter does."""
        subConverters.ConverterText().show(obj, fmt, app, subformats, **keywords)


_CLASSES = (ConverterTextFile, ConverterRollstave)


def register() -> None:
    """Teach music21 the format, if it does not know it yet."""
    known = converter.Converter.subConvertersList()
    for one in _CLASSES:
        if one not in known:
            converter.registerSubConverter(one)


def unregister() -> None:
    """Let music21 be as it was."""
    known = converter.Converter.subConvertersList()
    for one in _CLASSES:
        if one in known:
            converter.unregisterSubConverter(one)
