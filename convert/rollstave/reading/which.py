"""Which instrument a tab is for: by a heading, by the number of its rows, by their labels."""

from __future__ import annotations

import re
from collections.abc import Sequence

from rollstave.instruments.instrument import Instrument
from rollstave.instruments.known import Known
from rollstave.instruments.table import FIVE_STRING_BANJO
from rollstave.patterns import rare
from rollstave.problems import Place, ProblemList, Severity
from rollstave.reading.rows.gathering import is_ruler
from rollstave.reading.rows.records import Row
from rollstave.reading.state import ReadingState
from rollstave.vocabulary import problems as kinds
from rollstave.vocabulary.spoken_values import INSTRUMENT_WORDS

_HEADING = rare(
    r"\W*instrument\s*(?:[:=]|-{1,2}\s|\s(?=\s*[a-z]))\s*(?P<name>[^,;|()]+?)(?=\s{3,}|\s*$|\s*[,;|()])",
    re.IGNORECASE,
    cues=("instrument",),
)


def which_instrument(state: ReadingState, given: str = "") -> Instrument:
    """The instrument of a file, or of a chapter of it; the five-string banjo where nothing speaks
    for another.

    A heading decides. Without one, rows that make no banjo system but those of another
    instrument do, if their labels spell one of its tunings or if there are several systems of
    them. The choice is reported unless it is the banjo or declared. ``given``
    is the name of an instrument that holds where no heading names one.
    """
    known = state.known
    for line in state.lines:
        if match := _HEADING.match(line.text):
            found = _by_name(match["name"], known) or _with_usual(match["name"], known)
            if found is not None:
                return found
            names = ", ".join(i.name for i in known.instruments())
            state.problems.add(
                kinds.INSTRUMENT,
                f"the instrument {match['name'].strip()!r} is not known; known are: {names}",
                line.place(match.start("name")),
                Severity.WARNING,
            )
    if (found := _by_name(given, known)) is not None:
        return found
    runs = _runs(state.rows)
    if not runs or any(len(run) % FIVE_STRING_BANJO.strings == 0 for run in runs):
        return known.completed(FIVE_STRING_BANJO)
    low_text = _COMPARED.sub(" ", "\n".join(line.typed for line in state.typed).lower())
    if not any(_all_fit(runs, i) and _speaks_for(i, runs, low_text) for i in known.instruments()):
        # A remark may divide the rows of a system, or empty lines all of them.
        joined = _joined(state)
        if any(
            _all_fit(joined, i) and _speaks_for(i, joined, low_text) for i in known.instruments()
        ):
            if all(len(run) % FIVE_STRING_BANJO.strings == 0 for run in joined):
                return known.completed(FIVE_STRING_BANJO)
            runs = joined
    return _by_rows(state, runs, low_text)


# "Figures are frets as on a mandolin", "an octave below the mandolin": it is another instrument.
_COMPARED = rare(
    r"\b(?:as (?:on|for|with)|like(?:\s+on)?|(?:below|above|under|than)(?:\s+on)?|not(?:\s+for)?)"
    r"\s+(?:an?|the|your|my)\s+(?:[\w-]+\s+)?(?:\w+)|\blike\s+\w+\s+frets?\b",
    re.IGNORECASE,
    cues=("as on", "as for", "as with", "like", "below", "above", "under", "than", "not"),
)


def _all_fit(runs: Sequence[Sequence[Row]], instrument: Instrument) -> bool:
    return all(len(run) % instrument.strings == 0 for run in runs)


def _speaks_for(instrument: Instrument, runs: Sequence[Sequence[Row]], low_text: str) -> bool:
    """True if the words name an instrument, or the labels of all rows spell one of its tunings."""
    labels = [[row.string_label for row in run[: instrument.strings]] for run in runs]
    return _longest_name(instrument, low_text) > 0 or all(
        all(of_run) and (_spells(of_run, instrument) or _spells(of_run[::-1], instrument))
        for of_run in labels
    )


def _joined(state: ReadingState) -> list[list[Row]]:
    """The runs of rows where a lone line of words does not end one, nor an empty line where all
    rows stand apart."""
    rows, lines = state.rows, state.lines
    apart = all(len(run) == 1 for run in _runs(rows))
    filled: list[Row | None] = []
    for index, row in enumerate(rows):
        inner = 0 < index < len(rows) - 1 and None not in (rows[index - 1], rows[index + 1])
        if row is not None or not (inner and lines[index].blank == apart):
            filled.append(row)
    return _runs(filled)


def _by_name(text: str, known: Known) -> Instrument | None:
    wanted = " ".join(re.findall(r"[a-z0-9]+", text.lower()))
    for instrument in known.instruments():
        names = (instrument.name, *instrument.words)
        if wanted in {" ".join(re.findall(r"[a-z0-9]+", n.lower())) for n in names}:
            return instrument
    return None


def _with_usual(text: str, known: Known) -> Instrument | None:
    """The instrument of a name with the letters of its usual tuning behind it, which say no more:
    ``mandolin GDAE``."""
    name, _, letters = text.strip().rpartition(" ")
    found = _by_name(name, known) if name else None
    usual = found.default.written if found else ""
    return found if letters.strip("()").casefold() == usual.casefold() else None


def _runs(rows: Sequence[Row | None]) -> list[list[Row]]:
    runs: list[list[Row]] = []
    open_run = False
    for row in rows:
        if row is None:
            open_run = False
            continue
        if not open_run:
            runs.append([])
        runs[-1].append(row)
        open_run = True
    return [run for run in runs if not is_ruler(run)]


def _by_rows(state: ReadingState, runs: Sequence[Sequence[Row]], low_text: str) -> Instrument:
    """The instrument whose strings the rows can be: by labels, by its name or the letters of a
    tuning among the words, and where nothing speaks the likeliest of those with as many strings."""
    known, problems = state.known, state.problems
    fitting = [i for i in known.instruments() if _all_fit(runs, i)]
    # Among those that have as many strings, the words may say which; the longest name says most.
    fitting.sort(key=lambda i: -_longest_name(i, low_text))
    first = runs[0][0]
    place = first.line.place(first.start)
    over = (line.typed for line in state.typed if line.number < first.line.number)
    head = _COMPARED.sub(" ", "\n".join(over).lower())
    # One that is named over the tab may stand upside down. Else string 1 on top is the rule: an
    # instrument that fits so wins over one upside down.
    named_first = [i for i in fitting if _longest_name(i, head)]
    for instrument, from_top in (
        *((i, from_top) for i in named_first for from_top in (True, False)),
        *((i, True) for i in fitting),
        *((i, False) for i in fitting),
    ):
        labels = [row.string_label for row in runs[0][: instrument.strings]]
        # The long strings of a banjo whose fifth row was forgotten look like a plectrum banjo.
        named = any(word in low_text for word in (instrument.name, *instrument.words))
        if _banjo_without_short_string(labels) and not named:
            continue
        if all(labels) and _spells(labels if from_top else labels[::-1], instrument):
            _say(instrument, "the labels of its rows name the strings", place, problems)
            return instrument
    if fitting and _longest_name(fitting[0], low_text) and not _says_banjo(fitting[0], low_text):
        why = f"its name stands in the text, and every system has {fitting[0].strings} rows"
        _say(fitting[0], why, place, problems)
        return fitting[0]
    if not fitting:
        return known.completed(FIVE_STRING_BANJO)
    tuned = next((i for i in fitting if _names_tuning(i, low_text)), None)
    banjo = _names_tuning(FIVE_STRING_BANJO, low_text)
    if tuned is not None and not banjo and not _says_banjo(tuned, low_text):
        why = f"its tuning stands in the text, and every system has {tuned.strings} rows"
        _say(tuned, why, place, problems)
        return tuned
    likeliest = None if banjo else _likeliest(runs, fitting, low_text, problems)
    return likeliest or known.completed(FIVE_STRING_BANJO)


def _likeliest(
    runs: Sequence[Sequence[Row]],
    fitting: Sequence[Instrument],
    low_text: str,
    problems: ProblemList,
) -> Instrument | None:
    """The likeliest instrument with as many strings as there are rows, which is said; None where
    the rows may be those of a banjo, one of them forgotten."""
    likeliest, first = fitting[0], runs[0][0]
    labelled = any(row.label for run in runs for row in run)
    rows = likeliest.strings
    if _says_banjo(likeliest, low_text):
        return None
    if rows < FIVE_STRING_BANJO.strings and (labelled or len(runs) == 1):
        return None
    # A row too many has no bars or other ones, or no label where the others have theirs.
    bars = [{row.body.strip(_ENDS).count("|") for row in run} for run in runs]
    if any(len(found) > 1 for found in bars) or (labelled and not _all_labelled(runs)):
        return None
    others = [i.name for i in fitting[1:] if i.strings == rows]
    problems.add(
        kinds.INSTRUMENT,
        f"this is read as tab for {likeliest.name}: no instrument is named, every system has "
        f"{rows} rows, and it is the likeliest"
        + (f" of those with {rows} strings" if others else " with so many strings")
        + f". Say which it is in a line such as: Instrument: {(others or [likeliest.name])[0]}",
        first.line.place(first.start),
        Severity.WARNING,
    )
    return likeliest


_ENDS = "|:* "  # of rows


def _all_labelled(runs: Sequence[Sequence[Row]]) -> bool:
    return all(row.label for run in runs for row in run)


def _says_banjo(instrument: Instrument, low_text: str) -> bool:
    """True if words name a banjo that is not this instrument."""
    names = (instrument.name, *instrument.words)
    for name in sorted(names, key=len, reverse=True):
        low_text = low_text.replace(name, " ")
    return "banjo" in low_text and "banjo" not in instrument.name


def _names_tuning(instrument: Instrument, low_text: str) -> bool:
    """True if the letters of a tuning of the instrument stand in a text, together or apart: so many
    strings there are, whatever rows are seen."""
    for tuning in instrument.tunings:
        letters = r"[\s-]?".join(re.escape(p.letter.lower()) for p in reversed(tuning.pitches))
        if re.search(rf"(?<![\w#]){letters}(?![\w#])", low_text):
            return True
    return False


# A fiddle tune is a kind of tune, whatever it is played on, and any instrument has bass strings.
_IS_NONE = (
    r"(?<!\bfiddle(?=\s(?:tune|music|player|book|club|contest|style)))"
    r"(?<!\bbass(?=\s(?:string|note|side|clef|run|line|drone|voice|staff)))"
)


def _longest_name(instrument: Instrument, low_text: str) -> int:
    """The length of the longest name of an instrument that stands in a text, in any tongue whose
    words are known; 0 for none."""
    foreign = (word for word, name in INSTRUMENT_WORDS.items() if name == instrument.name)
    found = [
        len(name)
        for name in {instrument.name, *instrument.words, *foreign}
        if re.search(rf"(?<!\w){re.escape(name)}s?(?!\w){_IS_NONE}", low_text)
    ]
    return max(found, default=0)


def _spells(labels: Sequence[str], instrument: Instrument) -> bool:
    """True if the labels, top row first, are a tuning of the instrument."""
    spelled = [label[0].upper() + label[1:] for label in labels]
    return any(spelled == [p.letter for p in t.pitches] for t in instrument.tunings)


def _banjo_without_short_string(labels: Sequence[str]) -> bool:
    spelled = [label[:1].upper() + label[1:] for label in labels]
    return any(spelled == [p.letter for p in t.pitches[:-1]] for t in FIVE_STRING_BANJO.tunings)


def _say(instrument: Instrument, why: str, place: Place, problems: ProblemList) -> None:
    problems.add(
        kinds.INSTRUMENT,
        f"this is read as tab for {instrument.name}: {why}. If that is wrong, add a line such "
        f"as: Instrument: {FIVE_STRING_BANJO.name}",
        place,
    )
