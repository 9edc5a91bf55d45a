"""Mail's own coding of text: ``=3D`` for an equals sign, ``=20`` for a blank at the end of a line,
``=`` where a long line was cut (quoted-printable, RFC 2045 section 6.7)."""

from __future__ import annotations

import re
from collections.abc import Sequence

from msgspec.structs import replace

from rollstave.problems import ProblemList
from rollstave.reading.ledger import Ledger, Use
from rollstave.reading.page.decode import Line, plain
from rollstave.vocabulary import problems as kinds

_CODES = re.compile(r"(?:=[0-9A-F]{2})+")
# What nobody types but a mail program: a coded equals sign, a letter of UTF-8 or of Latin-1, a
# coded blank behind a word. Two figures may be a tempo (q=96), and are no sign by themselves.
_SIGNS = re.compile(
    r"=3D|=[C-F][0-9A-F](?:=[89AB][0-9A-F])+|=(?:[89][A-F]|[A-F][0-9A-F])|[^\s=]=20$"
)
_BLANK = re.compile(r"\s*=20$")
_CUT = re.compile(r"=\s*$")
# Mail cuts at 76 characters (RFC 2045), so a line of this many pieces had thousands; what goes on
# after it is a line of its own. Pieces lie inside each other, and Python goes no thousand deep.
_MOST_PIECES = 100


def uncoded(
    lines: Sequence[Line], ledger: Ledger, problems: ProblemList | None = None
) -> list[Line]:
    """The lines as they were before they were coded, and unchanged if they are not.

    They are coded if there are some codes, and every equals sign belongs to one: rows of equals
    signs, ties and legends have others. Where lines with nothing but a coded blank are all there
    is to go by, that is said.
    """
    texts = [line.text for line in lines if "=" in line.text]
    alone = next((line for line in lines if _BLANK.match(line.text)), None)
    sure = any(_SIGNS.search(text) for text in texts)
    if not sure and alone is None:
        return list(lines)
    if any("=" in _CUT.sub("", _CODES.sub("", text)) for text in texts):
        return list(lines)
    if not sure and alone is not None:
        if any(not _BLANK.match(text) for text in texts):
            return list(lines)
        _say_alone(alone, problems)
    found: list[list[Line]] = []
    cut = False
    for line in lines:
        more = _CUT.search(line.text)
        whole = _decoded(line, ledger)
        if more:
            at = whole.text.rindex("=")
            ledger.claim(whole, at, at + 1, Use.FRAME)
            whole = whole.with_text(whole.text[:at])
        if cut and len(found[-1]) < _MOST_PIECES:
            found[-1].append(whole)
        else:
            found.append([whole])
        cut = more is not None
    return [_joined(pieces) for pieces in found]


def _say_alone(line: Line, problems: ProblemList | None) -> None:
    if problems is not None:
        problems.add(
            kinds.MAIL_CODING,
            "'=20' alone on a line is read as an empty line, as mail programs code a blank; a "
            "tempo is written Tempo: 20",
            line.place(line.text.index("=")),
        )


def _decoded(line: Line, ledger: Ledger) -> Line:
    """A line with its codes put back to characters, every one at its place."""
    pieces: list[str] = []
    columns: list[int] = []
    own = line.columns or tuple(range(len(line.text)))
    at = 0
    for match in _CODES.finditer(line.text):
        pieces.append(line.text[at : match.start()])
        columns.extend(own[at : match.start()])
        data = bytes.fromhex(match[0].replace("=", ""))
        try:
            text = data.decode("utf-8")
        except UnicodeDecodeError:
            text = data.decode("cp1252", errors="replace")
        text = plain(text)
        pieces.append(text)
        columns.extend([own[match.start()]] * len(text))
        # The first character stands for all; it is claimed by whoever reads it.
        first = match.start() + bool(text.strip())
        ledger.claim(line, first, match.end(), Use.FRAME)
        at = match.end()
    if not pieces:
        return line
    pieces.append(line.text[at:])
    columns.extend(own[at:])
    return Line(
        number=line.number, text="".join(pieces).rstrip(), typed=line.typed, columns=tuple(columns)
    )


def _joined(pieces: Sequence[Line]) -> Line:
    """The pieces of a line as one; each holds what follows it."""
    whole = pieces[-1]
    for piece in reversed(pieces[:-1]):
        text = piece.text + whole.text
        whole = replace(piece, text=text, continued=whole, break_at=len(piece.text))
    return whole
