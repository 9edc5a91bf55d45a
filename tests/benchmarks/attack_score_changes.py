"""Changes of MusicXML files that keep most of their structure, for ``attack.py``.

The elements and their values are those of MusicXML 4.0 (W3C), some of them out of place; nothing
here looks at what reads them. ``SCORE_CHANGES`` names each kind.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence

from lxml import etree
from tests.benchmarks.attack_changes import HOW_MANY

# (path of an element, what it is made to say)
_SAYINGS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("duration", ("0", "1", "7", "960", "-1", "1000000", "", "1.5")),
    ("divisions", ("1", "7", "480", "0", "1000")),
    ("string", ("0", "1", "5", "6", "99", "-1", "x")),
    ("fret", ("0", "1", "24", "99", "-2", "x", "")),
    ("octave", ("0", "2", "5", "9", "10", "")),
    ("step", ("A", "H", "", "C")),
    ("alter", ("-1", "0.5", "3", "1")),
    ("beats", ("3", "0", "17", "3+2", "")),
    ("beat-type", ("8", "3", "0", "2")),
    ("fifths", ("-9", "3", "7", "x")),
    ("mode", ("minor", "dorian", "")),
    ("staff", ("1", "2", "3", "")),
    ("voice", ("1", "5", "9")),
    ("per-minute", ("0", "1", "100000", "c. 90", "92.5")),
    ("staves", ("1", "2", "9")),
    ("capo", ("1", "12", "40", "-1")),
    ("tuning-octave", ("0", "2", "6", "11")),
    ("tuning-step", ("C", "B", "H")),
    ("kind", ("none", "minor", "strange")),
    ("words", ("D.C. al Coda", "To Coda", "Fine", "slow", "")),
    ("work-title", ("", "a | b", "Title: x", "--0--")),
    ("text", ("", "la-", "--", "a b")),
    ("actual-notes", ("3", "5", "7", "0")),
    ("root-step", ("C", "H", "")),
    ("bend-alter", ("1", "0.5", "-3", "x")),
    ("software", ("", "another program 4")),
)
_ATTRIBUTES: tuple[tuple[str, str, tuple[str, ...]], ...] = (
    ("ending", "number", ("1", "2", "1,2", "x", "")),
    ("ending", "type", ("start", "stop", "discontinue")),
    ("repeat", "direction", ("forward", "backward", "up")),
    ("repeat", "times", ("0", "3", "1000", "x")),
    ("measure", "number", ("0", "X1", "1", "")),
    ("measure", "implicit", ("yes", "no")),
    ("tie", "type", ("start", "stop")),
    ("slur", "type", ("start", "stop", "continue")),
    ("slur", "number", ("2", "7", "x")),
    ("sound", "tempo", ("0", "1", "90.5", "100000", "x")),
    ("lyric", "number", ("1", "2", "9", "verse")),
    ("staff-tuning", "line", ("1", "5", "9", "x")),
    ("clef", "number", ("1", "2")),
)

Change = Callable[[random.Random, etree._Element], None]


def _one(choose: random.Random, root: etree._Element, path: str) -> etree._Element | None:
    found = list(root.iter(path))
    return choose.choice(found) if found else None


def _saying(path: str, values: tuple[str, ...]) -> Change:
    def change(choose: random.Random, root: etree._Element) -> None:
        if (element := _one(choose, root, path)) is not None:
            element.text = choose.choice(values)

    return change


def _attribute(path: str, name: str, values: tuple[str, ...]) -> Change:
    def change(choose: random.Random, root: etree._Element) -> None:
        if (element := _one(choose, root, path)) is not None:
            element.set(name, choose.choice(values))

    return change


def _left_out(path: str) -> Change:
    def change(choose: random.Random, root: etree._Element) -> None:
        element = _one(choose, root, path)
        if element is not None and (parent := element.getparent()) is not None:
            parent.remove(element)

    return change


def _copied(path: str) -> Change:
    def change(choose: random.Random, root: etree._Element) -> None:
        element, there = _one(choose, root, path), _one(choose, root, path)
        if element is not None and there is not None and there is not root:
            copy = etree.fromstring(etree.tostring(element, with_tail=False))
            there.addnext(copy)

    return change


def _added(path: str, xml: str) -> Change:
    def change(choose: random.Random, root: etree._Element) -> None:
        element = _one(choose, root, path)
        if element is not None:
            element.insert(choose.randrange(len(element) + 1), etree.fromstring(xml))

    return change


_LEFT_OUT = (
    *("note", "measure", "fret", "string", "pitch", "duration", "backup", "attributes", "staff"),
    *("staff-tuning", "staff-details", "barline", "type", "voice", "technical", "notehead"),
    *("chord", "divisions", "time", "key", "clef", "staves", "part-list", "identification", "work"),
)
_COPIED = (
    *("note", "measure", "backup", "barline", "harmony", "direction", "part", "attributes"),
    *("forward", "technical", "lyric", "ending", "score-part", "staff-tuning", "credit"),
)
_ADDED = (
    ("measure", "<backup><duration>5</duration></backup>"),
    ("measure", "<forward><duration>3</duration></forward>"),
    ("note", "<chord/>"),
    ("note", "<grace/>"),
    ("note", "<notehead>x</notehead>"),
    ("measure", '<barline location="left"><ending number="2" type="start"/></barline>'),
    ("measure", '<barline location="right"><ending number="1" type="stop"/></barline>'),
    ("measure", "<direction><direction-type><segno/></direction-type></direction>"),
    (
        "measure",
        '<direction><direction-type><words>D.S.</words></direction-type><sound dalsegno="s"/>'
        "</direction>",
    ),
    ("measure", "<direction><direction-type><coda/></direction-type></direction>"),
    (
        "measure",
        "<direction><direction-type><words>To Coda</words></direction-type></direction>",
    ),
    ("measure", '<direction><sound fine="yes"/></direction>'),
    ("measure", '<direction><sound dacapo="yes"/></direction>'),
    ("measure", "<attributes><time><beats>3</beats><beat-type>4</beat-type></time></attributes>"),
    ("measure", "<attributes><key><fifths>-2</fifths></key></attributes>"),
    ("measure", "<attributes><divisions>6</divisions></attributes>"),
    (
        "measure",
        "<attributes><transpose><chromatic>-2</chromatic></transpose></attributes>",
    ),
    (
        "measure",
        '<attributes><measure-style><measure-repeat type="start">1</measure-repeat>'
        "</measure-style></attributes>",
    ),
    ("measure", '<note><rest measure="yes"/><duration>4</duration></note>'),
    ("measure", "<note><unpitched/><duration>4</duration></note>"),
    (
        "measure",
        "<note><pitch><step>B</step><octave>3</octave></pitch><duration>5</duration></note>",
    ),
    ("measure", "<harmony><root><root-step>G</root-step></root><kind>major</kind></harmony>"),
    (
        "measure",
        '<harmony><root><root-step>A</root-step><root-alter>-1</root-alter></root><kind text="7">'
        "dominant</kind><offset>2</offset></harmony>",
    ),
    ("note", "<dot/>"),
    ("note", "<cue/>"),
    ("note", '<tie type="start"/>'),
    (
        "note",
        "<time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes>"
        "</time-modification>",
    ),
    (
        "note",
        "<notations><technical><bend><bend-alter>2</bend-alter></bend></technical></notations>",
    ),
    (
        "note",
        "<notations><technical><bend><bend-alter>2</bend-alter></bend><bend><bend-alter>0"
        "</bend-alter><release/></bend></technical></notations>",
    ),
    ("note", "<notations><technical><harmonic><natural/></harmonic></technical></notations>"),
    ("note", '<notations><technical><hammer-on type="start">H</hammer-on></technical></notations>'),
    ("note", '<notations><slide type="stop"/></notations>'),
    ("note", '<notations><arpeggiate direction="up"/></notations>'),
    ("note", "<notations><ornaments><tremolo>3</tremolo></ornaments></notations>"),
    ("note", "<notations><fermata/></notations>"),
    ("note", '<lyric number="2"><syllabic>single</syllabic><text>tide</text></lyric>'),
    ("score-partwise", "<credit><credit-words>Larkspur Ferry</credit-words></credit>"),
)


def _exchanged(path: str) -> Change:
    """Two elements change places."""

    def change(choose: random.Random, root: etree._Element) -> None:
        a, b = _one(choose, root, path), _one(choose, root, path)
        if a is not None and b is not None and a is not b:
            here, there = etree.Element("here"), etree.Element("there")
            a.addprevious(here)
            b.addprevious(there)
            here.getparent().replace(here, b)  # type: ignore[union-attr]
            there.getparent().replace(there, a)  # type: ignore[union-attr]

    return change


def _from_elsewhere(choose: random.Random, root: etree._Element) -> None:
    """An element is put where the standard does not have it."""
    elements = [e for e in root.iter(etree.Element) if e is not root]
    element, there = choose.choice(elements), choose.choice(elements)
    if there not in element.iter() and there.getparent() is not None:
        there.addnext(element)


def _tuplets(choose: random.Random, root: etree._Element) -> None:
    """All that a measure has is played in another time."""
    if (measure := _one(choose, root, "measure")) is not None:
        normal, actual = choose.choice(((2, 3), (4, 5), (4, 7), (1, 2), (3, 2), (8, 9)))
        for duration in root.iter("divisions"):
            duration.text = str(int(_number(duration.text) * actual))
        for duration in root.iter("duration"):
            own = measure in duration.iterancestors()
            duration.text = str(int(_number(duration.text) * (normal if own else actual)))


def _number(text: str | None) -> float:
    try:
        return min(1e6, float(text or 1))
    except ValueError:
        return 1


def _played_late(choose: random.Random, root: etree._Element) -> None:
    """Notes as played, not as written: divisions of a tick, durations a little off."""
    for element in [*root.iter("divisions"), *root.iter("duration")]:
        off = choose.choice((0, 0, 0, -1, 1)) if element.tag == "duration" else 0
        element.text = str(int(_number(element.text) * 40) + off)


def _second_voice(choose: random.Random, root: etree._Element) -> None:
    """The notes of a measure come again in a voice of their own."""
    if (measure := _one(choose, root, "measure")) is not None:
        notes = [etree.fromstring(etree.tostring(n, with_tail=False)) for n in measure.iter("note")]
        length = sum(
            _number(n.findtext("duration")) for n in measure.iter("note") if n.find("chord") is None
        )
        backup = etree.SubElement(measure, "backup")
        etree.SubElement(backup, "duration").text = str(int(length))
        for note in notes:
            for voice in note.iter("voice"):
                voice.text = "5"
            measure.append(note)


def _no_tab(choose: random.Random, root: etree._Element) -> None:
    """Nothing says where a note is played, as in scores for other instruments."""
    for path in ("technical", "staff-details", "string", "fret"):
        for element in list(root.iter(path)):
            element.getparent().remove(element)  # type: ignore[union-attr]


def _all_transposed(choose: random.Random, root: etree._Element) -> None:
    by = choose.choice((-2, -1, 1, 2, 4))
    for octave in root.iter("octave"):
        octave.text = str(int(_number(octave.text)) + by)


def _measures_reversed(choose: random.Random, root: etree._Element) -> None:
    if (part := _one(choose, root, "part")) is not None:
        part[:] = list(part)[::-1]


def _namespace(choose: random.Random, root: etree._Element) -> None:
    """Elements and attributes of somebody else's."""
    if (
        element := _one(choose, root, choose.choice(("note", "measure", "attributes")))
    ) is not None:
        etree.SubElement(element, "{urn:larkspur}mark").text = "own"
        element.set("{urn:larkspur}id", "a1")


def _comment(choose: random.Random, root: etree._Element) -> None:
    elements = list(root.iter(etree.Element))
    made = choose.choice((etree.Comment(" tide "), etree.ProcessingInstruction("a", "b")))
    element = choose.choice(elements)
    element.insert(choose.randrange(len(element) + 1), made)


def _cut_short(choose: random.Random, root: etree._Element) -> None:
    """The measures after some point are not there."""
    if (part := _one(choose, root, "part")) is not None:
        del part[choose.randrange(len(part) + 1) :]


def _emptied(choose: random.Random, root: etree._Element) -> None:
    element = choose.choice(list(root.iter(etree.Element)))
    del element[:]


def _attribute_lost(choose: random.Random, root: etree._Element) -> None:
    element = choose.choice([e for e in root.iter(etree.Element) if e.attrib] or [root])
    if element.attrib:
        del element.attrib[choose.choice(list(element.attrib))]


def _long_text(choose: random.Random, root: etree._Element) -> None:
    elements = [e for e in root.iter(etree.Element) if (e.text or "").strip()]
    if elements:
        signs = (
            "|--0--|",
            "\n\n",
            "Title: x",
            "é\u202e",
            "1 & 2 &",
            "<b>x</b>",
            "9" * 400,
            "[A part]",
        )
        choose.choice(elements).text = choose.choice(signs) * choose.choice((1, 1, 3))


SCORE_CHANGES: tuple[Change, ...] = (
    *(_saying(path, values) for path, values in _SAYINGS),
    *(_attribute(path, name, values) for path, name, values in _ATTRIBUTES),
    *map(_left_out, _LEFT_OUT),
    *map(_copied, _COPIED),
    *(_added(path, xml) for path, xml in _ADDED),
    *map(_exchanged, ("note", "measure", "barline", "direction", "duration", "technical", "pitch")),
    *(_from_elsewhere, _tuplets, _tuplets, _played_late, _second_voice, _no_tab, _all_transposed),
    *(_measures_reversed, _namespace, _comment, _cut_short, _emptied, _attribute_lost, _long_text),
)


def changed_score(choose: random.Random, seeds: Sequence[bytes]) -> bytes:
    """A MusicXML file with one to six changes."""
    root = etree.fromstring(choose.choice(seeds))
    for _ in range(choose.choice(HOW_MANY)):
        choose.choice(SCORE_CHANGES)(choose, root)
    encoding = choose.choice(("UTF-8",) * 8 + ("UTF-16", "ISO-8859-1"))
    return etree.tostring(root, xml_declaration=True, encoding=encoding)  # type: ignore[return-value]


# Scores as other programs write them -----------------------------------------------------------

_STEPS = ("C", "D", "E", "F", "G", "A", "B")


def _note_of_another(choose: random.Random, duration: int, more: str) -> str:
    if choose.random() < 0.05:
        return f"<forward><duration>{duration}</duration></forward>"
    if choose.random() < 0.15:
        return f"<note><rest/><duration>{duration}</duration>{more}</note>"
    alter = f"<alter>{choose.choice((-1, 1))}</alter>" if choose.random() < 0.15 else ""
    pitch = (
        f"<pitch><step>{choose.choice(_STEPS)}</step>{alter}<octave>{choose.choice((3, 4, 4, 5))}"
        "</octave></pitch>"
    )
    found = f"<note>{pitch}<duration>{duration}</duration>{more}</note>"
    if choose.random() < 0.15:
        pitch = f"<pitch><step>{choose.choice(_STEPS)}</step><octave>4</octave></pitch>"
        found += f"<note><chord/>{pitch}<duration>{duration}</duration>{more}</note>"
    return found


def another_score(seed: int) -> bytes:
    """A score in notation without tab, of 4 to 12 measures, by a program that is not ours."""
    choose = random.Random(f"another {seed}")
    beats, unit = choose.choice(((4, 4), (3, 4), (2, 4), (6, 8), (2, 2)))
    divisions = choose.choice((12, 24, 480))
    length = divisions * 4 * beats // unit
    measures = []
    for number in range(1, choose.randint(4, 12) + 1):
        voices = []
        for voice in range(choose.choice((1, 1, 1, 2))):
            left, notes = length, ""
            while left > 0:
                share = choose.choice((1, 1, 2, 2, 4)) * divisions // choose.choice((2, 2, 2, 3, 4))
                duration = min(left, max(1, share))
                notes += _note_of_another(choose, duration, f"<voice>{voice + 1}</voice>")
                left -= duration
            voices.append(notes)
        content = f"<backup><duration>{length}</duration></backup>".join(voices)
        if number == 1:
            fifths = choose.choice((-1, 0, 1, 2))
            content = (
                f"<attributes><divisions>{divisions}</divisions><key><fifths>{fifths}</fifths></key>"
                f"<time><beats>{beats}</beats><beat-type>{unit}</beat-type></time>"
                f"<clef><sign>G</sign><line>2</line></clef></attributes>{content}"
            )
        if choose.random() < 0.2:
            said = choose.choice(("slowly", "D.C. al Fine", "Fine", "dolce"))
            words = f"<direction-type><words>{said}</words></direction-type>"
            content += f"<direction>{words}</direction>"
        if choose.random() < 0.2:
            content += '<barline location="right"><repeat direction="backward"/></barline>'
        measures.append(f'<measure number="{number}">{content}</measure>')
    return (
        '<score-partwise version="4.0"><work><work-title>Tide</work-title></work><part-list>'
        '<score-part id="P1"><part-name>Banjo</part-name></score-part></part-list><part id="P1">'
        f"{''.join(measures)}</part></score-partwise>"
    ).encode()
