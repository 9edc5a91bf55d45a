"""What plugins offer, as arguments for the rooms. Plugins are looked for when a room asks."""

from __future__ import annotations

import math
import threading
from collections.abc import Sequence
from functools import partial
from typing import TypeVar

from rollstave.assembly import own
from rollstave.contract.discovery import Found
from rollstave.contract.manager import OWN, Contract, Offer
from rollstave.contract.offers import (
    Candidate,
    Mark,
    Reference,
    RhythmEvidence,
    Weights,
    resolve,
)
from rollstave.grid.typed import GridMeasure
from rollstave.instruments.instrument import Instrument
from rollstave.instruments.known import Known
from rollstave.problems import TabError
from rollstave.rhythm.meter import Meter
from rollstave.rhythm.offered import Candidates, Said, Weigh
from rollstave.vocabulary import problems as kinds
from rollstave.writing.others import OtherMark

_MOST = 5.0  # natural logarithm: no plugin makes a reading more than 150 times likelier

_Made = TypeVar("_Made")
_making = threading.Lock()
_contract: Contract | None = None


def contract() -> Contract:
    """The plugins of this process."""
    global _contract
    if _contract is None:
        with _making:
            if _contract is None:
                _contract = contract_of()
    return _contract


def contract_of(found: Sequence[Found] | None = None) -> Contract:
    """Our own parts and these plugins; None looks for plugins when one may be needed."""
    return Contract(own=own, found=found)


def known_instruments() -> tuple[Instrument, ...]:
    """All instruments that are known, plugins' too, with all their tunings."""
    return contract().instruments()


KNOWN = Known(
    instruments=known_instruments,
    tuning_names=lambda: contract().tuning_names(),
    completed=lambda instrument: contract().completed(instrument),
)


def made_by(
    offer: Offer, what: str, make: Reference, kind: type[_Made], *given: object, **options: object
) -> _Made:
    """What a plugin's function makes, which is of a kind; ``what`` it is, in words. A TabError of
    the function is for the user and goes on; raises one too where the plugin fails."""
    try:
        made = resolve(make)(*given, **options)
        if not isinstance(made, kind):
            raise TypeError(f"it returned a {type(made).__name__}, not a {kind.__name__}")
    except (TabError, MemoryError):
        raise
    except Exception as error:
        said = f"the {what} {offer.thing.name!r} failed: {type(error).__name__}: {error}"
        fault = contract().fault(offer.plugin, said)
        raise TabError((kinds.PLUGIN.problem(f"{fault}; nothing is written"),)) from error
    return made


def _of_plugins(kind: str) -> list[Offer]:
    return [offer for offer in contract().offers(kind) if offer.plugin.name != OWN]


# Evidence for rhythm ----------------------------------------------------------------------------


def evidence() -> list[Weigh]:
    """The kinds of evidence that plugins offer, as the rhythm solver asks them."""
    return [partial(_weigh, offer) for offer in _of_plugins("rhythm evidence")]


def _weigh(offer: Offer, measure: GridMeasure, meter: Meter, candidates: Candidates) -> Said | None:
    given = tuple(Candidate(onsets, length) for onsets, length in candidates)
    what = "the rhythm evidence"
    worked, said = contract().attempt(offer, what, _ask, offer.thing, measure, meter, given)
    return said if worked else None


def _ask(
    kind: RhythmEvidence, measure: GridMeasure, meter: Meter, candidates: tuple[Candidate, ...]
) -> Said | None:
    return _checked(resolve(kind.weigh)(measure, meter, candidates), len(candidates))


def _checked(said: object, count: int) -> Said | None:
    """What a plugin returned, its weights kept in bounds. Raises TypeError or ValueError."""
    if said is None:
        return None
    if not isinstance(said, Weights):
        raise TypeError(f"it returned a {type(said).__name__}, not Weights or None")
    weights = [float(w) for w in said.log_weights]
    if len(weights) != count:
        raise ValueError(f"it returned {len(weights)} weights for {count} candidates")
    if not all(math.isfinite(w) for w in weights):
        raise ValueError("a weight is not a finite number")
    return [max(-_MOST, min(_MOST, w)) for w in weights], str(said.reason)


# Marks on the sheet -----------------------------------------------------------------------------


def marks() -> list[OtherMark]:
    """The marks that plugins offer, as a sheet draws them after its own."""
    return [OtherMark(o.thing.name, partial(_draw, o)) for o in _of_plugins("marks")]


def _draw(offer: Offer, canvas: object) -> bool:
    mark: Mark = offer.thing
    return contract().attempt(offer, "the mark", lambda: resolve(mark.draw)(canvas))[0]
