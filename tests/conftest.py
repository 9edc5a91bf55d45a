"""Fixtures: every sample and every hand-built score, each read and written once a session."""

from __future__ import annotations

import importlib.resources
from pathlib import Path

import hypothesis
import pytest
import xmlschema

from tests import amount, tunes

# The same examples in every run, so that a red run can be repeated.
hypothesis.settings.register_profile("steady", derandomize=True, deadline=None)
hypothesis.settings.load_profile("steady")


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--thorough",
        action="store_true",
        help="all examples of the tests that usually take some (tests/amount.py)",
    )


def pytest_configure(config: pytest.Config) -> None:
    amount.thorough = config.getoption("--thorough")


@pytest.fixture(scope="session", params=sorted(tunes.CASES))
def name(request: pytest.FixtureRequest) -> str:
    """The name of a case: each sample, the tune of every sign, each score built by hand."""
    return str(request.param)


@pytest.fixture(scope="session", params=[path.stem for path in tunes.SAMPLES])
def sample_name(request: pytest.FixtureRequest) -> str:
    """The name of a sample."""
    return str(request.param)


@pytest.fixture(scope="session")
def musicxml_schema() -> xmlschema.XMLSchema:
    """The W3C MusicXML 4.0 XSD from the PyPI package musicxml, with nothing fetched: its two
    imports are taken from the same package and from xmlschema."""
    folder = Path(str(importlib.resources.files("musicxml"))) / "generate_classes"
    xlink = Path(str(importlib.resources.files("xmlschema"))) / "schemas" / "XLINK" / "xlink.xsd"
    places = {"xml.xsd": folder / "xml.xsd", "xlink.xsd": xlink}

    def local(uri: str) -> str:
        found = places.get(uri.rsplit("/", 1)[-1])
        return found.as_uri() if found and uri.startswith("http") else uri

    return xmlschema.XMLSchema(folder / "musicxml_4_0.xsd", uri_mapper=local, allow="local")
