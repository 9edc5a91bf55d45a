"""How sentences say facts of a tune, as patterns of classes of words: a row for each way.

Names in capitals are classes of :mod:`rollstave.vocabulary.spoken`, those of ``SETS``, or those
that tokens have besides; blanks between them mean nothing. Groups name the tokens that the value is
made of. How far a way is believed is fitted (``data/sayings.json``), not said here.
"""

from __future__ import annotations

from rollstave.vocabulary.saying import Saying
from rollstave.vocabulary.sayings_of_order import OF_ORDER
from rollstave.vocabulary.sayings_of_signs import OF_PACE, OF_SIGNS

# Several classes at a time. ``GAP`` is what may stand between words that belong together.
SETS: dict[str, tuple[str, ...]] = {
    "FILL": ("FILLING", "LOW_A"),
    "LOWERED": ("LETTER", "LOW_A"),
    "OTHER": ("UNKNOWN", "NAME"),
    "SIGN": ("RAW_SIGN", "HYPHEN", "PAREN"),
    "NUMBER": ("NUM", "ORD"),
    "FRETS": ("NUM", "ORD", "NOTE"),
    "METERS": ("METER", "METER_BAR", "TIME"),
    "BARS": ("BAR", "METER_BAR"),
    "TIMES_OF": ("TIME", "OCCASION"),
    "MEANS": ("IS", "EQUALS"),
    "PITCHES": ("PITCH", "MINOR"),
    "TEMPOS": ("TEMPO", "TEMPO_KEY"),
    "PARTS": ("PART", "PART_NAME"),
    "MARK": ("PITCH", "LETTER", "RAW_SIGN", "MINOR"),
    "GAP": ("FILLING", "LOW_A", "RAW_SIGN", "HYPHEN", "PAREN", "HERE", "THEN", "COMMA", "RATHER"),
}
_SHORT_STRING = r"(?:(?:ORD|SHORT|HAND|NUM) SIGN? STRING|ORD(?=UP)|ORD (?=UP|DOWN))"

OF_TUNE: tuple[Saying, ...] = (
    # Time -----------------------------------------------------------------------------------
    Saying(
        name="fraction alone",
        fact="time",
        pattern=(r"^ (?P<v>FRACTION) STOP* $"),
        needs="FRACTION",
    ),
    Saying(
        name="time n/m",
        fact="time",
        pattern=(r"METERS (?:GAP|MEANS|EQUALS|STOP|FROM|METERS){0,12} (?P<v>FRACTION)"),
        needs="METER TIME METER_BAR & FRACTION",
    ),
    Saying(
        name="n/m time",
        fact="time",
        pattern=(r"(?P<v>FRACTION) SIGN? METERS"),
        needs="FRACTION & METER TIME METER_BAR",
    ),
    Saying(
        name="fraction",
        fact="time",
        pattern=(r"(?P<v>FRACTION)"),
        needs="FRACTION",
    ),
    Saying(
        name="six-eight",
        fact="time",
        pattern=(r"(?P<n>NUM) HYPHEN? (?P<m>NUM) (?=SIGN|STOP|COMMA|METERS|EQUALS|$)"),
        needs="NUM & NUM",
    ),
    Saying(
        name="six-eight time",
        fact="time",
        pattern=(r"(?P<n>NUM) HYPHEN? (?P<m>NUM) METERS"),
        needs="NUM & NUM & METER TIME METER_BAR",
    ),
    Saying(
        name="compound",
        fact="time",
        pattern=(r"(?P<v>METER_WORD)"),
        needs="METER_WORD",
    ),
    Saying(
        name="cut time",
        fact="time",
        pattern=(r"(?P<cut>CUT) (?:COMMON)? METERS"),
        needs="CUT & METER TIME METER_BAR",
    ),
    Saying(
        name="time: cut",
        fact="time",
        pattern=(r"TIME (?:EQUALS|STOP)* (?P<cut>CUT)"),
        needs="TIME & CUT",
    ),
    Saying(
        name="common time",
        fact="time",
        pattern=(r"(?P<common>COMMON) TIME|TIME (?:EQUALS|STOP)* (?P<common2>COMMON)"),
        needs="TIME",
    ),
    Saying(
        name="n beats a bar",
        fact="time",
        pattern=(r"(?P<b>NUM) (?P<note>NOTE)? BEAT? (?:GAP|EACH|FROM|TIMES_OF){1,3} BARS"),
        needs="NUM & METER_BAR BAR",
    ),
    Saying(
        name="count n to the bar",
        fact="time",
        pattern=(r"(?:BEAT|PLAY) (?:GAP|BACK){0,2} (?P<b>NUM) (?:GAP|EACH){1,3} BARS"),
        needs="BEAT PLAY & NUM & METER_BAR BAR",
    ),
    Saying(
        name="goes in n",
        fact="time",
        pattern=(
            r"(?:HERE|PLAY|BEAT|OCCASION|BACK) (?:GAP|IS){1,3} (?P<b>NUM) "
            r"(?=COMMA|STOP|$|FILL)"
        ),
        needs="BEAT OCCASION PLAY BACK HERE & NUM",
    ),
    Saying(
        name="waltz",
        fact="time",
        pattern=(r"(?P<waltz>WALTZ) METERS|METERS GAP? FROM? (?P<waltz2>WALTZ)"),
        needs="WALTZ",
    ),
    Saying(
        name="two beats",
        fact="time",
        pattern=(r"(?P<two>NUM) BEAT (?:GAP|EACH|FROM|TIMES_OF){1,3} BARS"),
        needs="NUM & BEAT & METER_BAR BAR",
    ),
    Saying(
        name="duple",
        fact="time",
        pattern=(
            r"(?:(?P<duple>DUPLE)|(?P<triple>TRIPLE)) METERS|METERS "
            r"(?:(?P<duple2>DUPLE)|(?P<triple2>TRIPLE))"
        ),
        needs="DUPLE TRIPLE",
    ),
    Saying(
        name="dance",
        fact="time",
        pattern=(r"(?P<waltz>WALTZ)|(?P<jig>JIG)"),
        needs="WALTZ JIG",
    ),
    Saying(
        name="counted",
        fact="time",
        pattern=(r"(?P<counts>NUM (?:(?:HYPHEN|COMMA|RAW_SIGN|AND)? NUM){2,5})"),
        needs="NUM & NUM & NUM",
    ),
    Saying(
        name="counted out",
        fact="time",
        pattern=(
            r"BEAT (?:GAP|EQUALS|STOP)* "
            r"(?P<counts>NUM (?:(?:HYPHEN|COMMA|RAW_SIGN|AND)? NUM){2,5}) (?=STOP|COMMA|SIGN|$)"
        ),
        needs="BEAT & NUM & NUM & NUM",
    ),
    Saying(
        name="three by four",
        fact="time",
        pattern=(r"(?P<n>NUM) (?:FILL|OTHER|EQUALS) (?P<m>NUM) METERS?"),
        needs="NUM & NUM",
    ),
    Saying(
        name="jig time",
        fact="time",
        pattern=(r"(?P<jig>JIG) METERS"),
        needs="JIG & METER TIME METER_BAR",
    ),
    Saying(
        name="three quarter time",
        fact="time",
        pattern=(
            r"(?:METERS|FILL|AND|^) EQUALS? (?P<b>NUM) HYPHEN? (?P<note>NOTE) "
            r"(?=STOP|COMMA|$|METERS)|(?P<b2>NUM) HYPHEN? (?P<note2>NOTE) HYPHEN? METERS"
        ),
        needs="NUM & NOTE",
    ),
    Saying(
        name="n beats",
        fact="time",
        pattern=(r"^ GAP? (?P<b>NUM) BEAT STOP* $"),
        needs="NUM & BEAT",
    ),
    # Capo -----------------------------------------------------------------------------------
    Saying(
        name="capo n",
        fact="capo",
        pattern=(
            r"CAPO (?:GAP|AND|IS|EQUALS|FRET|STOP|UP|PLAY|START|FROM|CAPO){0,6}? (?P<n>FRETS)"
        ),
        needs="CAPO & NUM ORD NOTE",
    ),
    Saying(
        name="nth fret capo",
        fact="capo",
        pattern=(r"(?P<n>FRETS) FRET CAPO"),
        needs="NUM ORD NOTE & FRET & CAPO",
    ),
    Saying(
        name="no capo",
        fact="capo",
        pattern=(r"(?P<no>NO) (?:GAP){0,2} CAPO|CAPO (?:EQUALS|STOP|SIGN)* (?P<no2>NO)"),
        needs="CAPO",
    ),
    # Fifth string -----------------------------------------------------------------------------
    Saying(
        name="spike n",
        fact="fifth_capo",
        pattern=(r"SPIKE (?:GAP|EQUALS|FRET|STOP){0,4} (?P<n>FRETS)"),
        needs="SPIKE & NUM ORD NOTE",
    ),
    Saying(
        name="fifth string capo n",
        fact="fifth_capo",
        pattern=(
            rf"(?:{_SHORT_STRING} (?:GAP|STOP|EQUALS)*) (?:CAPO|SPIKE)"
            r"(?:GAP|EQUALS|STOP|FRET){0,5} (?P<n>FRETS)|CAPO (?P<five>NUM) EQUALS "
            r"(?P<n2>NUM)"
        ),
        needs="STRING NUM ORD & CAPO SPIKE EQUALS & NUM ORD NOTE",
    ),
    Saying(
        name="short string at n",
        fact="fifth_capo",
        pattern=(rf"{_SHORT_STRING} (?:GAP|SPIKE|UP){{0,4}} (?P<n>FRETS) STOP? FRET"),
        needs="STRING ORD & NUM ORD NOTE & FRET",
    ),
    Saying(
        name="fifth up to A",
        fact="fifth_capo",
        pattern=(
            rf"(?:{_SHORT_STRING}|ORD) (?:GAP|IS)* (?:UP (?:GAP|TUNING)*|TUNING GAP+) "
            rf"(?P<p>PITCH|LETTER|FILL)"
            r"(?=STOP|COMMA|$|AND|OTHER)"
        ),
        needs="STRING ORD & TUNING UP",
    ),
    Saying(
        name="raise the fifth to A",
        fact="fifth_capo",
        pattern=(rf"(?:UP|TUNING) (?:GAP)* (?:{_SHORT_STRING}|ORD) (?:GAP|UP)+ (?P<p>PITCH)"),
        needs="TUNING UP & STRING ORD & PITCH",
    ),
    # Key --------------------------------------------------------------------------------------
    Saying(
        name="key of",
        fact="key",
        pattern=(
            r"KEY (?:FILL|IS|EQUALS|STOP|FROM|SIGN|COMMA|METER){0,20}? "
            r"(?P<k>PITCHES|LETTER|SOLFEGE|LOW_A|PLAY|FILLING(?=SIGN?MODE))"
            r"(?P<f>FLAT)? SIGN? (?P<m>MODE)?"
        ),
        needs="KEY",
    ),
    Saying(
        name="sharps",
        fact="key",
        pattern=(r"(?P<n>NUM|NO) (?P<sharps>SHARPS|FLAT)"),
        needs="NO NUM & FLAT SHARPS",
    ),
    Saying(
        name="in C minor",
        fact="key",
        pattern=(
            r"(?:FILL|FROM|AND) (?P<k>PITCHES|LETTER|SOLFEGE|FILL|PLAY|BACK|AND|FROM) "
            r"(?P<f>FLAT)? SIGN? (?P<m>MODE)"
        ),
        needs="MODE",
    ),
    Saying(
        name="C minor first",
        fact="key",
        pattern=(r"^ (?P<k>PITCHES|LETTER) (?P<f>FLAT)? SIGN? (?P<m>MODE)"),
        needs="PITCH MINOR LETTER & MODE",
    ),
    Saying(
        name="C minor",
        fact="key",
        pattern=(r"(?P<k>PITCHES|LETTER) (?P<f>FLAT)? SIGN? (?P<m>MODE)"),
        needs="PITCH MINOR LETTER & MODE",
    ),
    Saying(
        name="k: C",
        fact="key",
        pattern=(r"^ (?P<field>LETTER|PITCH) EQUALS (?P<k>PITCHES) (?P<m>MODE)? $"),
        needs="PITCH LETTER & EQUALS & PITCH MINOR",
    ),
    Saying(
        name="in C",
        fact="key",
        pattern=(
            r"(?P<in>FILL|AND) (?P<k>PITCHES|LETTER) (?P<f>FLAT)? (?!SIGN? MODE|SIGN? "
            r"TUNING|PART)"
        ),
        needs="PITCH MINOR LETTER",
    ),
    Saying(
        name="C among facts",
        fact="key",
        pattern=(
            r"(?:^|COMMA|SIGN|STOP) (?P<k>PITCHES|LETTER) (?P<m>MODE)? "
            r"(?=COMMA|SIGN|STOP|$)"
        ),
        needs="PITCH MINOR LETTER",
    ),
    Saying(
        name="in solfege",
        fact="key",
        pattern=(r"^ (?P<in>AND|FILL) (?P<k>SOLFEGE) STOP* $"),
        needs="SOLFEGE",
    ),
)
SAYINGS: tuple[Saying, ...] = (*OF_TUNE, *OF_PACE, *OF_ORDER, *OF_SIGNS)
