"""Files that hold text in a form of their own: bytes in, texts out, by the readers of plugins."""

from __future__ import annotations

from collections.abc import Sequence

from rollstave.assembly import plugins
from rollstave.contract.manager import Offer
from rollstave.contract.offers import DocumentReader, resolve
from rollstave.contract.offers import DocumentText as DocumentText
from rollstave.problems import ProblemKind, TabError
from rollstave.vocabulary import problems as kinds

# A mailbox of many years, or a songbook with its typefaces; what text comes out of it is bounded
# as any text is.
LARGEST = 40_000_000  # bytes


def opened(data: bytes) -> tuple[DocumentText, ...] | None:
    """The texts in a file that a reader of documents knows; None if none knows it.

    Raises TabError where it cannot be read: it is damaged, or the package that reads it is not
    installed.
    """
    offer = _reader_of(data)
    if offer is None:
        return None
    if len(data) > LARGEST:
        raise _error(
            f"this {noun(offer.thing)} has {len(data) / 1e6:.0f} MB, and one is read up to "
            f"{LARGEST / 1e6:.0f} MB; divide it",
            kinds.TOO_LARGE,
        )
    if lacking := missing(offer.thing):
        raise _error(f"this is a {noun(offer.thing)}: to read it, {lacking}")
    try:
        return _checked(resolve(offer.thing.read)(data))
    except (TabError, MemoryError):
        raise
    except Exception as error:
        fault = plugins.contract().fault(
            offer.plugin,
            f"the reader {offer.thing.name!r} failed on a file: {type(error).__name__}: {error}",
        )
        raise _error(f"this {noun(offer.thing)} cannot be read: {fault}") from error


def kind_of(data: bytes) -> str:
    """What people call the kind of document that a file is; empty if it is none."""
    offer = _reader_of(data)
    return noun(offer.thing) if offer is not None else ""


def endings() -> dict[str, str]:
    """What files are called that a reader knows, each with what must be installed first; "" where
    nothing must."""
    known: dict[str, str] = {}
    for offer in plugins.contract().offers("documents"):
        words = missing(offer.thing)
        known |= {ending: words for ending in offer.thing.endings if ending not in known}
    return known


def packages() -> dict[str, str]:
    """The packages that readers need, and their versions; "" for one that is not there."""
    from importlib.metadata import PackageNotFoundError, version

    found: dict[str, str] = {}
    for offer in plugins.contract().offers("documents"):
        for package in offer.thing.needs:
            try:
                found[package] = version(package)
            except PackageNotFoundError:
                found[package] = ""
    return found


def missing(reader: DocumentReader) -> str:
    """What to do so that a reader has all packages that it needs; empty if it has."""
    if not reader.needs:
        return ""
    from importlib.metadata import PackageNotFoundError, version

    for package in reader.needs:
        try:
            version(package)
        except PackageNotFoundError:
            return f"pip install '{reader.install or package}' (it needs {package})"
    return ""


def noun(reader: DocumentReader) -> str:
    """What people call a file of this kind."""
    return reader.noun or f"file of the kind {reader.name}"


def _reader_of(data: bytes) -> Offer | None:
    contract = plugins.contract()
    for offer in contract.offers("documents"):
        reader: DocumentReader = offer.thing
        worked, known = contract.attempt(offer, "the reader", _recognised, reader, data)
        if worked and known:
            return offer
    return None


def _recognised(reader: DocumentReader, data: bytes) -> bool:
    return bool(resolve(reader.recognise)(data))


def _checked(made: object) -> tuple[DocumentText, ...]:
    """What a reader returned, as texts. Raises TypeError if it is something else."""
    texts = made if isinstance(made, Sequence) else [made]
    found = tuple(text for text in texts if isinstance(text, DocumentText))
    if not found or len(found) != len(texts):
        raise TypeError(f"it returned a {type(made).__name__}, not a DocumentText or several")
    return found


def _error(message: str, kind: ProblemKind = kinds.DOCUMENT) -> TabError:
    return TabError((kind.problem(message),))
