"""What stands before the music names the strings, however it is typed. Common practice, no source.

Each form is laid over one tab; the music read is that of the plain one.
"""

from __future__ import annotations

import pytest

import rollstave

HEAD = "Ferry Bell\n\nTuning: gDGBD\nTime: 4/4\n\n"
BODIES = (
    "----0-------0---|----2-------2---|----0-------0---|",
    "--0-------0-----|--1-------1-----|--0-------0-----|",
    "0-------0-------|0-------2-------|0-------2-------|",
    "----------------|----------------|----------------|",
    "------0-------0-|------0-------0-|------0-------0-|",
)
PLAIN = tuple("DBGDg")
FORMS = {
    "a number after a stroke": ("D/1|", "B/2|", "G/3|", "D/4|", "g/5|"),
    "a number after an equals sign": ("D=1|", "B=2|", "G=3|", "D=4|", "g=5|"),
    "a hyphen and a number": ("D-1|", "B-2|", "G-3|", "D-4|", "g-5|"),
    "a hash and a number": tuple(f"#{n}|" for n in range(1, 6)),
    "in brackets": tuple(f"({n})|" for n in range(1, 6)),
    "a stroke and no bar": tuple(f"{label}/" for label in PLAIN),
    "ordinals and no bar": ("1st ", "2nd ", "3rd ", "4th ", "5th "),
}


def _notes(text: str) -> list[list[tuple[int, str]]]:
    (tune,) = rollstave.read(HEAD + text)
    assert not [p for p in tune.problems if p.severity is rollstave.Severity.WARNING]
    return [
        [(n.string, n.fret_text) for e in m.events for n in e.notes] for m in tune.score.measures
    ]


def _typed(fronts: tuple[str, ...], bar: str = "|", fill: str = "-") -> str:
    rows = (body.replace("|", bar).replace("-", fill) for body in BODIES)
    return "".join(f"{front}{row}\n" for front, row in zip(fronts, rows, strict=True))


WANTED = _notes(_typed(tuple(f"{label}|" for label in PLAIN)))


@pytest.mark.parametrize("fronts", FORMS.values(), ids=FORMS)
def test_the_music_is_that_of_plain_labels(fronts: tuple[str, ...]) -> None:
    assert _notes(_typed(fronts)) == WANTED


@pytest.mark.parametrize("bar", ["!", "]", "l", "I", ":"])
def test_other_bars_behind_a_label_and_its_bar(bar: str) -> None:
    assert _notes(_typed(tuple(f"{label}|" for label in PLAIN), bar=bar)) == WANTED


@pytest.mark.parametrize("fill", "=_.·•+*,'")
def test_other_fills(fill: str) -> None:
    assert _notes(_typed(tuple(f"{label}|" for label in PLAIN), fill=fill)) == WANTED


@pytest.mark.parametrize("sign", ["\\", ";"])
def test_a_sign_at_the_end_of_every_line(sign: str) -> None:
    text = HEAD + "Play it softly.\n\n" + _typed(tuple(f"{label}|" for label in PLAIN))
    (tune,) = rollstave.read("".join(f"{x}{sign}\n" if x else "\n" for x in text.splitlines()))
    assert tune.score.title == "Ferry Bell"
    assert tune.score.notes == ("Play it softly.",)


def test_bars_and_drawn_stems_at_the_ends_are_no_sign_of_lines() -> None:
    rows = _typed(tuple(f"{label}|" for label in PLAIN))
    stems = "  |_|_|  |_|_|  |_|_|  |_|_|\n"
    (tune,) = rollstave.read(HEAD + 4 * f"{rows}{stems}\n")
    assert {m.right for m in tune.score.measures} <= {rollstave.Bar.SINGLE, rollstave.Bar.FINAL}
    assert len(tune.score.measures) == 12
