"""Mail's own coding of text: ``=3D`` for an equals sign, ``=20`` for a blank at the end of a line,
``=`` where a long line was cut (quoted-printable, RFC 2045 section 6.7)."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec.structs import replace

from rollstave.patterns import rare
from rollstave.reading.ledger import Ledger, Use
from rollstave.reading.page.decode import Line, plain
from rollstave.reading.state import ReadingState
from rollstave.vocabulary import problems as kinds

_CODES = rare(r"(?:=[0-9A-F]{2})+")
# What nobody types but a mail program: a coded equals sign, a letter of UTF-8 or of Latin-1, a
# coded blank behind a word. Two figures may be a tempo (q=96), and are no sign by themselves.
_SIGNS = rare(r"=3D|=[C-F][0-9A-F](?:=[89AB][0-9A-F])+|=(?:[89][A-F]|[A-F][0-9A-F])|[^\s=]=20$")
_BLANK = rare(r"\s*=20$")
_CUT = rare(r"=\s*$")
# Mail cuts at 76 characters (RFC 2045), so a line of this many segments had thousands; what goes on
# after it is a line of its own. Segments lie inside each other, and Python goes no thousand deep.
_MOST_SEGMENTS = 100


def mail_coding(state: ReadingState) -> None:
    """Put characters for mail's codes, and together what mail cut.

    A text is coded if there are some codes, and every equals sign belongs to one: rows of equals
    signs, ties and legends have others. Where lines with nothing but a coded blank are all there
    is to go by, that is said.
    """
    if not _is_coded(state):
        return
    found: list[list[Line]] = []
    cut = False
    for line in state.lines:
        more = _CUT.search(line.text)
        whole = _decoded(line, state.ledger)
        if more:
            at = whole.text.rindex("=")
            state.ledger.claim(whole, at, at + 1, Use.FRAME)
            whole = whole.with_text(whole.text[:at])
        if cut and len(found[-1]) < _MOST_SEGMENTS:
            found[-1].append(whole)
        else:
            found.append([whole])
        cut = more is not None
    state.lines = [_joined(segments) for segments in found]


def _is_coded(state: ReadingState) -> bool:
    texts = [line.text for line in state.lines if "=" in line.text]
    if not texts:
        return False
    alone = next((line for line in state.lines if _BLANK.match(line.text)), None)
    sure = any(_SIGNS.search(text) for text in texts)
    if not sure and alone is None:
        return False
    if any("=" in _CUT.sub("", _CODES.sub("", text)) for text in texts):
        return False
    if not sure and alone is not None:
        if any(not _BLANK.match(text) for text in texts):
            return False
        state.problems.add(
            kinds.MAIL_CODING,
            "'=20' alone on a line is read as an empty line, as mail programs code a blank; a "
            "tempo is written Tempo: 20",
            alone.place(alone.text.index("=")),
        )
    return True


def _decoded(line: Line, ledger: Ledger) -> Line:
    """A line with its codes put back to characters, every one at its place."""
    texts: list[str] = []
    columns: list[int] = []
    own = line.columns or tuple(range(len(line.text)))
    at = 0
    for match in _CODES.finditer(line.text):
        texts.append(line.text[at : match.start()])
        columns.extend(own[at : match.start()])
        data = bytes.fromhex(match[0].replace("=", ""))
        try:
            text = data.decode("utf-8")
        except UnicodeDecodeError:
            text = data.decode("cp1252", errors="replace")
        text = plain(text)
        texts.append(text)
        columns.extend([own[match.start()]] * len(text))
        # The first character stands for all; it is claimed by whoever reads it.
        first = match.start() + bool(text.strip())
        ledger.claim(line, first, match.end(), Use.FRAME)
        at = match.end()
    if not texts:
        return line
    texts.append(line.text[at:])
    columns.extend(own[at:])
    return Line(
        number=line.number, text="".join(texts).rstrip(), typed=line.typed, columns=tuple(columns)
    )


def _joined(segments: Sequence[Line]) -> Line:
    """The segments of a line as one; each holds what follows it."""
    whole = segments[-1]
    for segment in reversed(segments[:-1]):
        text = segment.text + whole.text
        whole = replace(segment, text=text, continued=whole, break_at=len(segment.text))
    return whole
