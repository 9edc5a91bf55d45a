"""Instruments with tab beside the banjos: guitar, bass, ukulele, mandolin, fiddle, dulcimer.

A plugin made only of data: ``table`` has all of it.
"""

from __future__ import annotations

from collections.abc import Sequence

from rollstave import Instrument, hookimpl

rollstave_contract = "1.0"


@hookimpl
def rollstave_instruments() -> Sequence[Instrument]:
    from rollstave_fretted.table import INSTRUMENTS

    return INSTRUMENTS
