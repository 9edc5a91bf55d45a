"""``rollstave plugins``: what is there, from which package, and what is left out and why."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from rollstave.contract.discovery import Found
    from rollstave.contract.manager import Contract, Plugin

_BRIDGE_SECONDS = 60.0  # that another program's library may take to load; ours
_SLOW = 0.25  # seconds to load that are worth a word; ours


@click.command()
@click.option("--json", "as_json", is_flag=True, help="Print the list as JSON.")
def plugins(as_json: bool) -> None:
    """List the plugins: what each offers, from which package, and what is left out.

    Exit code 0 even if a plugin is broken. The environment variable ROLLSTAVE_PLUGINS=off leaves
    all of them out; ROLLSTAVE_PLUGIN_SECONDS is how long one may take to load (2).
    """
    report = _report()
    if as_json:
        click.echo(json.dumps(report, indent=2, ensure_ascii=False))
        return
    click.echo(f"contract {report['contract']}")
    for plugin in report["plugins"]:
        slow = f", slow: {plugin['seconds']:.1f} s" if plugin["seconds"] > _SLOW else ""
        click.echo(f"{plugin['name']} ({_origin(plugin)}{slow})")
        for kind, names in plugin["offers"].items():
            click.echo(f"  {kind}: {', '.join(names)}")
        if not plugin["offers"]:
            click.echo("  offers nothing")
        for name, lacking in plugin.get("missing", {}).items():
            click.echo(f"  to read {name}: {lacking}")
    if report["bridges"]:
        click.echo("bridges to other programs:")
    for bridge in report["bridges"]:
        click.echo(f"  {bridge['name']} ({_origin(bridge)}): {bridge['problem'] or 'ready'}")
    if report["left_out"]:
        click.echo("left out:")
    for fault in report["left_out"]:
        click.echo(f"  {fault['plugin']} ({fault['origin']}): {fault['reason']}")


def _origin(entry: dict[str, Any]) -> str:
    return " ".join(part for part in (entry["package"], entry["version"]) if part)


def _report() -> dict[str, Any]:
    """The list as plain data. Every hook of every plugin is called and every function imported."""
    import logging

    from rollstave.assembly.plugins import contract
    from rollstave.contract.discovery import BRIDGES, entry_points
    from rollstave.contract.hooks import CONTRACT_VERSION
    from rollstave.contract.manager import KINDS

    logging.getLogger("rollstave.plugins").addHandler(logging.NullHandler())
    logging.getLogger("rollstave.plugins").propagate = False
    known = contract()
    known.discover()
    known.instruments()
    for kind in KINDS:
        known.offers(kind)
    _resolve_all(known)
    return {
        "contract": CONTRACT_VERSION,
        "plugins": [_entry(plugin, known) for plugin in known.plugins],
        "bridges": [_bridge(found) for found in entry_points(BRIDGES)],
        "left_out": [
            {"plugin": f.plugin, "origin": f.origin, "reason": f.reason} for f in known.faults
        ],
    }


def _entry(plugin: Plugin, known: Contract) -> dict[str, Any]:
    from rollstave.assembly.documents import missing
    from rollstave.contract.manager import KINDS

    offers = {
        kind: [o.thing.name for o in known.offers(kind) if o.plugin is plugin] for kind in KINDS
    }
    readers = (o.thing for o in known.offers("documents") if o.plugin is plugin)
    lacking = {reader.name: words for reader in readers if (words := missing(reader))}
    return {
        "name": plugin.name,
        "package": plugin.package,
        "version": plugin.version,
        "module": plugin.value,
        "seconds": round(plugin.seconds, 3),
        "offers": {kind: names for kind, names in offers.items() if names},
    } | ({"missing": lacking} if lacking else {})


def _resolve_all(known: Contract) -> None:
    """Import every function that is named by its module, so that a wrong name is found."""
    from rollstave.contract.manager import OWN
    from rollstave.contract.offers import resolve

    for kind, fields in _FUNCTIONS.items():
        for offer in known.offers(kind):
            for name in fields:
                if offer.plugin.name != OWN:
                    reference = getattr(offer.thing, name)
                    known.attempt(offer, f"{kind}: {name} of", resolve, reference)


_FUNCTIONS = {
    "dialects": ("recognise", "read"),
    "documents": ("recognise",),
    "rhythm evidence": ("weigh",),
    "writers": ("write",),
    "marks": ("draw",),
    "reworks": ("rework",),
    "hand-outs": ("make",),
}


def _bridge(found: Found) -> dict[str, Any]:
    """A plugin that works inside another program: it is ready if it can be imported."""
    from rollstave.contract.manager import load_within

    problem = ""
    try:
        load_within(found.value, _BRIDGE_SECONDS)
    except ModuleNotFoundError as error:
        extra = found.name
        problem = f"needs {error.name}: pip install 'rollstave[{extra}]'"
    except Exception as error:
        problem = f"cannot be imported: {type(error).__name__}: {error}"
    return {
        "name": found.name,
        "package": found.package,
        "version": found.version,
        "module": found.value,
        "problem": problem,
    }
