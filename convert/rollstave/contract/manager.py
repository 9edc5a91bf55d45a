"""The plugins that are there and what they offer; a broken one is named and left out."""

from __future__ import annotations

import importlib
import os
import re
import threading
import time
from collections.abc import Callable, Sequence
from types import ModuleType
from typing import Any

import pluggy
from msgspec import Struct, field
from msgspec.structs import replace

from rollstave.contract import hooks
from rollstave.contract.discovery import GROUP, Found, entry_points
from rollstave.contract.offers import (
    Dialect,
    DocumentReader,
    HandoutMaker,
    Mark,
    Rework,
    RhythmEvidence,
    TuningOf,
    Writer,
)
from rollstave.instruments.instrument import Instrument
from rollstave.instruments.known import names_of_tunings
from rollstave.version import __version__

OWN = "rollstave"
SWITCH = "ROLLSTAVE_PLUGINS"  # "off" leaves only the project's own parts
LIMIT = "ROLLSTAVE_PLUGIN_SECONDS"
SECONDS = 2.0  # that a plugin's module may take to load; ours

KINDS: dict[str, tuple[str, type]] = {
    "instruments": ("rollstave_instruments", Instrument),
    "tunings": ("rollstave_tunings", TuningOf),
    "dialects": ("rollstave_dialects", Dialect),
    "documents": ("rollstave_documents", DocumentReader),
    "rhythm evidence": ("rollstave_rhythm_evidence", RhythmEvidence),
    "writers": ("rollstave_writers", Writer),
    "marks": ("rollstave_marks", Mark),
    "reworks": ("rollstave_reworks", Rework),
    "hand-outs": ("rollstave_handouts", HandoutMaker),
}


class Plugin(Struct):
    """A plugin that was found: where it came from, its module once loaded, the time that took."""

    name: str
    value: str
    package: str
    version: str
    module: object | None = None
    seconds: float = 0.0

    @property
    def origin(self) -> str:
        return " ".join(part for part in (self.package, self.version) if part)


class Fault(Struct, frozen=True):
    """Why a plugin, or a part of one, is left out."""

    plugin: str
    origin: str
    reason: str

    def __str__(self) -> str:
        return f"plugin {self.plugin} ({self.origin}): {self.reason}"


class Offer(Struct, frozen=True):
    """One thing offered and the plugin that offers it."""

    plugin: Plugin
    thing: Any


class Contract(Struct, dict=True):
    """All plugins. ``own`` is the module that offers the project's own parts; ``found`` are the
    entry points to use, None looks for them when needed."""

    own: ModuleType
    found: Sequence[Found] | None = None
    faults: list[Fault] = field(default_factory=list)
    plugins: list[Plugin] = field(default_factory=list)

    def __post_init__(self) -> None:
        self._pluggy = pluggy.PluginManager(hooks.PROJECT)
        self._pluggy.add_hookspecs(hooks)
        self._offers: dict[str, list[Offer]] = {}
        self._asked: set[tuple[str, str]] = set()
        self._instruments: tuple[tuple[int, int], tuple[Instrument, ...]] | None = None
        self._tuning_names: tuple[tuple[Instrument, ...], frozenset[str]] | None = None
        self._finding = threading.RLock()  # held while plugins are looked for and loaded
        self._asking = threading.RLock()  # held while they are asked what they offer
        self._telling = threading.Lock()  # held while a fault is put on the list
        self._discovered = False
        self._ready = False
        ours = Plugin(
            name=OWN,
            value=self.own.__name__,
            package=OWN,
            version=__version__,
            module=self.own,
        )
        self._pluggy.register(self.own, OWN)
        self.plugins.append(ours)

    # Finding and loading ------------------------------------------------------------------------

    def discover(self) -> None:
        """Load all plugins, once. A broken one becomes a fault.

        Other threads wait until all are loaded; what a plugin itself asks for while it is loaded
        it gets from those that are there.
        """
        if self._ready or getattr(_loading, "here", False):
            return
        with self._finding:
            if not self._discovered:
                self._discovered = True
                self._load_all()
                self._ready = True

    def _load_all(self) -> None:
        if os.environ.get(SWITCH, "").lower() == "off":
            return
        for found in entry_points(GROUP) if self.found is None else self.found:
            plugin = Plugin(
                name=found.name, value=found.value, package=found.package, version=found.version
            )
            try:
                self._load(plugin)
            except Exception as error:
                self.fault(plugin, _said(error))

    def _load(self, plugin: Plugin) -> None:
        """Import a plugin's module and register its hooks. Raises whatever is wrong with it."""
        if any(p.name == plugin.name for p in self.plugins):
            raise _Refused("another plugin has this name already")
        started = time.perf_counter()
        module = load_within(plugin.value, _limit())
        plugin.seconds = time.perf_counter() - started
        wanted = str(getattr(module, "rollstave_contract", hooks.CONTRACT_VERSION))
        if wanted.partition(".")[0] != hooks.CONTRACT_VERSION.partition(".")[0]:
            raise _Refused(
                f"it was written for version {wanted} of the contract, and this rollstave has "
                f"{hooks.CONTRACT_VERSION}"
            )
        try:
            self._pluggy.register(module, plugin.name)
        except pluggy.PluginValidationError as error:
            if self._pluggy.is_registered(module):
                self._pluggy.unregister(module)
            raise _Refused(str(error).replace("\n", " ")) from None
        plugin.module = module
        self.plugins.append(plugin)
        for name in vars(module) if isinstance(module, ModuleType) else ():
            if name.startswith("rollstave_") and not hasattr(self._pluggy.hook, name):
                if name != "rollstave_contract":
                    self.fault(plugin, f"there is no hook {name}; it is not called")
            elif name.startswith("rollstave_") and not self._implements(name, module):
                self.fault(plugin, f"{name} is not marked with @rollstave.hookimpl; not called")

    def _implements(self, hook: str, module: object) -> bool:
        calls = getattr(self._pluggy.hook, hook).get_hookimpls()
        return any(impl.plugin is module for impl in calls)

    def fault(self, plugin: Plugin, reason: str) -> Fault:
        """Name what is wrong with a plugin: in the list of faults, and once in the log."""
        fault = Fault(plugin.name, plugin.origin, reason)
        with self._telling:
            if fault in self.faults:
                return fault
            self.faults.append(fault)
        import logging

        logging.getLogger("rollstave.plugins").warning("%s", fault)
        return fault

    # What they offer ----------------------------------------------------------------------------

    def offers(self, kind: str, everywhere: bool = True) -> list[Offer]:
        """What is offered of a kind (a key of :data:`KINDS`), the project's own first.

        ``everywhere`` False asks only the plugins that are loaded already, so that whoever needs
        a part of our own does not wait for others.
        """
        if everywhere:
            self.discover()
        with self._asking:
            found = self._offers.setdefault(kind, [])
            for plugin in self.plugins:
                if (kind, plugin.name) not in self._asked:
                    self._asked.add((kind, plugin.name))
                    found.extend(self._ask(plugin, kind, found))
            return list(found)

    def _ask(self, plugin: Plugin, kind: str, before: Sequence[Offer]) -> list[Offer]:
        hook, wanted = KINDS[kind]
        impls = getattr(self._pluggy.hook, hook).get_hookimpls()
        call = next((i.function for i in impls if i.plugin is plugin.module), None)
        if call is None:
            return []
        try:
            things = call()
        except Exception as error:
            self.fault(plugin, f"{hook} failed: {_said(error)}")
            return []
        if isinstance(things, str) or not isinstance(things, Sequence):
            self.fault(plugin, f"{hook} returned {_kind(things)}, not a sequence")
            return []
        names = {offer.thing.name: offer.plugin.name for offer in before}
        good: list[Offer] = []
        for thing in things:
            wrong = _wrong(thing, wanted)
            if not wrong and thing.name in names:
                wrong = f"{thing.name!r} is there already, from {names[thing.name]}"
            if wrong:
                self.fault(plugin, f"{hook}: {wrong}; it is left out")
                continue
            names[thing.name] = plugin.name
            good.append(Offer(plugin, thing))
        return good

    def find(self, kind: str, name: str) -> Offer | None:
        """The offer of that name. Plugins are looked for only if it is none of our own."""
        for everywhere in (False, True):
            for offer in self.offers(kind, everywhere):
                if offer.thing.name == name:
                    return offer
        return None

    def attempt(
        self, offer: Offer, what: str, call: Callable[..., Any], *given: object
    ) -> tuple[bool, Any]:
        """Call a part of a plugin: True and what it returned, or False and the fault, named."""
        try:
            return True, call(*given)
        except Exception as error:
            reason = f"{what} {offer.thing.name!r} failed: {_said(error)}"
            return False, self.fault(offer.plugin, reason)

    def instruments(self) -> tuple[Instrument, ...]:
        """All instruments with all their tunings, in the order in which rows are tried."""
        known, added = self.offers("instruments"), self.offers("tunings")
        if self._instruments is None or self._instruments[0] != (len(known), len(added)):
            found = self._all_instruments(known, added)  # what is offered only ever grows
            self._instruments = ((len(known), len(added)), found)
        return self._instruments[1]

    def tuning_names(self) -> frozenset[str]:
        """The names of all tunings in small letters."""
        found = self.instruments()
        if self._tuning_names is None or self._tuning_names[0] is not found:
            self._tuning_names = (found, names_of_tunings(found))
        return self._tuning_names[1]

    def _all_instruments(
        self, known: Sequence[Offer], added: Sequence[Offer]
    ) -> tuple[Instrument, ...]:
        extra: dict[str, list[Any]] = {}
        names = {offer.thing.name for offer in known}
        for offer in added:
            more: TuningOf = offer.thing
            if more.instrument not in names:
                self.fault(offer.plugin, f"there is no instrument {more.instrument!r}")
                continue
            extra.setdefault(more.instrument, []).append(more.tuning)
        things = [
            replace(o.thing, tunings=(*o.thing.tunings, *extra[o.thing.name]))
            if o.thing.name in extra
            else o.thing
            for o in known
        ]
        return tuple(sorted(things, key=lambda i: i.rank))

    def completed(self, instrument: Instrument) -> Instrument:
        """One of our own instruments with the tunings that plugins add to it."""
        offers = self.offers("tunings")
        more = [o.thing.tuning for o in offers if o.thing.instrument == instrument.name]
        return replace(instrument, tunings=(*instrument.tunings, *more)) if more else instrument


class _Refused(Exception):
    """A plugin that cannot be taken; the message says why."""


def _said(error: BaseException) -> str:
    """An exception in a line."""
    if isinstance(error, _Refused):
        return str(error)
    if isinstance(error, ImportError):
        return f"it cannot be imported: {error}"
    words = " ".join(str(error).split())
    return f"{type(error).__name__}: {words}" if words else type(error).__name__


def _kind(thing: object) -> str:
    return "nothing" if thing is None else f"a {type(thing).__name__}"


def _wrong(thing: object, wanted: type) -> str:
    """What is wrong with something offered; empty if nothing is."""
    if not isinstance(thing, wanted):
        return f"{_kind(thing)} is no {wanted.__name__}"
    name = getattr(thing, "name", None)
    if not isinstance(name, str) or not name.strip():
        return f"a {wanted.__name__} without a name"
    if isinstance(thing, Writer):
        if not re.fullmatch(r"[a-z0-9][a-z0-9_-]*", thing.name):
            return f"{thing.name!r} is no name for a format: small letters, digits and hyphens"
        if not re.fullmatch(r"\.[A-Za-z0-9.]+", thing.extension):
            return f"{thing.extension!r} is no file extension: it begins with a dot"
    if isinstance(thing, DocumentReader):
        odd = [e for e in thing.endings if not re.fullmatch(r"\.[a-z0-9.]+", e)]
        if odd:
            return f"{odd[0]!r} is no ending of {thing.name!r}: a dot and small letters"
    if isinstance(thing, Instrument):
        return _wrong_instrument(thing)
    if isinstance(thing, HandoutMaker) and not re.fullmatch(r"[a-z][a-z0-9-]*", thing.name):
        return f"{thing.name!r} is no name for a command: small letters, digits and hyphens"
    if isinstance(thing, Rework | HandoutMaker):
        names = [option.name for option in thing.options]
        odd = [n for n in names if not re.fullmatch(r"[a-z][a-z0-9_]*", n)]
        needed = isinstance(thing, Rework)
        if odd or len(set(names)) < len(names) or (needed and not names):
            return f"{thing.name!r}: its options need names of their own in small letters"
    return ""


def _wrong_instrument(thing: Instrument) -> str:
    if not thing.tunings:
        return f"{thing.name!r} has no tuning"
    for tuning in thing.tunings:
        if len(tuning.pitches) != thing.strings:
            return f"{tuning.written!r} has {len(tuning.pitches)} strings, not {thing.strings}"
    table = thing.fret_semitones
    if table and (len(table) <= thing.frets or table[0] != 0 or list(table) != sorted(set(table))):
        return f"{thing.name!r}: its fret table must rise from 0 and reach fret {thing.frets}"
    return ""


_loading = threading.local()  # ``here`` is True in a thread that loads a plugin


def _limit() -> float:
    try:
        return float(os.environ.get(LIMIT, SECONDS))
    except ValueError:
        return SECONDS


def load_within(value: str, seconds: float) -> object:
    """The module or object of an entry point. Raises what its import raises, or _Refused if that
    takes too long; a module that never ends is left behind in a thread of its own."""
    result: list[object] = []
    failed: list[BaseException] = []

    def load() -> None:
        _loading.here = True
        module, _, attribute = value.partition(":")
        try:
            found: object = importlib.import_module(module)
            for name in attribute.split(".") if attribute else ():
                found = getattr(found, name)
            result.append(found)
        except BaseException as error:
            failed.append(error)

    thread = threading.Thread(target=load, name=f"loading {value}", daemon=True)
    thread.start()
    thread.join(seconds)
    if failed:
        error = failed[0]
        if isinstance(error, Exception):
            raise error
        raise _Refused(f"it cannot be imported: {error!r}")
    if not result:
        raise _Refused(f"it took more than {seconds:g} seconds to load")
    return result[0]
