"""How sentences say in which order a tune is played, and how it is typed: more rows of
:mod:`rollstave.vocabulary.sayings`.
"""

from __future__ import annotations

from rollstave.vocabulary.saying import Saying

_TIMES = r"(?:(?P<{0}n>TIMES)|(?P<{0}n2>NUM) TIMES_OF)"
_PART = (
    r"(?:(?P<{0}a>PITCH) (?:SIGN? PART)?|(?P<{0}c>LETTER|LOW_A) SIGN? PART"
    r"|PART (?P<{0}b>PITCH|LETTER|LOW_A)|(?P<{0}o>ORD|LOW|HIGH) (?P<{0}p>PARTS)?"
    r"|(?P<{0}q>PART_NAME|CODA))"
)
_OFTEN = (
    rf"{_PART} (?:GAP|ALL|IS|PLAY|BACK|OCCASION|NUM(?!TIMES_OF)|SHORT|EQUALS){{{{0,5}}}}? {_TIMES}"
)
_OFTEN_NEEDS = "LOW HIGH PART PART_NAME CODA ORD PITCH & TIME OCCASION TIMES"

OF_ORDER: tuple[Saying, ...] = (
    # Order and repeats --------------------------------------------------------------------------
    Saying(
        name="letters",
        fact="order",
        pattern=(
            r"(?P<letters>(?:PITCH|LETTERS|LOW_A LOW_A) (?:(?:COMMA|SIGN)? "
            r"(?:PITCH|LETTERS|LETTER))*)"
        ),
        needs="PITCH LETTERS LOW_A",
    ),
    Saying(
        name="parts often",
        fact="order",
        pattern=(
            rf"{_OFTEN.format('x')} (?:.){{0,4}}? {_OFTEN.format('y')}"
            rf"(?:(?:.){{0,4}}? {_OFTEN.format('z')})?"
        ),
        needs=f"{_OFTEN_NEEDS} & {_OFTEN_NEEDS}",
    ),
    Saying(
        name="part often",
        fact="repeat",
        pattern=_OFTEN.format("x"),
        needs=_OFTEN_NEEDS,
    ),
    Saying(
        name="often: part",
        fact="repeat",
        pattern=(rf"PLAY (?:GAP)* {_PART.format('x')} (?:GAP|PLAY)* {_TIMES.format('x')}"),
        needs=f"PLAY & {_OFTEN_NEEDS}",
    ),
    Saying(
        name="part=n",
        fact="repeat",
        pattern=(
            rf"PLAY EQUALS {_PART.format('x')} EQUALS (?P<xn>NUM) (?:COMMA "
            rf"{_PART.format('y')} EQUALS (?P<yn>NUM))?"
        ),
        needs="PLAY & EQUALS & LOW HIGH PART PART_NAME CODA ORD PITCH & EQUALS & NUM",
    ),
    Saying(
        name="all often",
        fact="repeat",
        pattern=(rf"(?P<all>ALL) (?:GAP)* THING? (?:GAP|OCCASION)* {_TIMES.format('x')}"),
        needs="ALL & TIME OCCASION TIMES",
    ),
    # Jumps --------------------------------------------------------------------------------------
    Saying(
        name="back to the start",
        fact="jump",
        pattern=(
            r"(?P<back>BACK|START(?=BACK)|FROM(?=GAP*START)) (?:GAP|FROM|AND|PLAY|NUM){0,4} "
            r"(?P<start>START|TOP)"
            r"(?:BACK|GAP)*"
        ),
        needs="BACK START FROM & TOP START",
    ),
    Saying(
        name="from the start",
        fact="jump",
        pattern=(r"(?P<from>FROM) GAP* (?:START|TOP) (?:BACK|GAP)* STOP* $"),
        needs="FROM & TOP START",
    ),
    Saying(
        name="start over",
        fact="jump",
        pattern=(r"(?P<over>START) BACK"),
        needs="START & BACK",
    ),
    Saying(
        name="d.c.",
        fact="jump",
        pattern=(
            r"(?P<letter>PITCH|LETTER) STOP? (?P<to>PITCH|LETTER) STOP? "
            r"(?:FROM|FILL|CODA){0,3}"
            r"|(?P<da>FROM|FILL|OTHER) (?P<capo>CAPO|CODA) (?:FROM|FILL) "
            r"(?P<al>CODA)|(?P<da2>FROM|FILL|OTHER) (?P<capo2>CAPO|CODA)"
        ),
        needs="CAPO CODA PITCH LETTER",
    ),
    # Endings ------------------------------------------------------------------------------------
    Saying(
        name="nth ending",
        fact="ending",
        pattern=(
            r"(?P<n>NUMBER|LAST) (?:STOP|SIGN)? BAR? ENDING|ENDING "
            r"(?:EQUALS|SIGN|FILL|NO|THING|STOP){0,3} (?P<n2>NUM)"
        ),
        needs="ENDING",
    ),
    Saying(
        name="nth time",
        fact="ending",
        pattern=(
            r"^ (?:GAP|AND|EQUALS|OTHER)? (?:GAP|AND|EQUALS)* (?P<n>NUMBER|LAST) "
            r"(?:STOP|SIGN)? (?P<t>TIMES_OF|PLAY)"
            r"(?:OCCASION|BAR|STOP|SIGN|FILL)* (?P<colon>EQUALS)? $"
        ),
        needs="LAST NUM ORD & TIME OCCASION PLAY",
    ),
    Saying(
        name="nth time, do this",
        fact="ending",
        pattern=(
            r"^ (?:GAP|AND|EQUALS|PLAY)* (?P<n>NUMBER|LAST) (?:STOP|SIGN)? "
            r"(?P<t>TIMES_OF|PLAY)"
        ),
        needs="LAST NUM ORD & TIME OCCASION PLAY",
    ),
    Saying(
        name="pass n",
        fact="ending",
        pattern=(
            r"^ (?:GAP)* (?:TIMES_OF|PLAY) (?P<n>NUM) (?:EQUALS|STOP)* $|^ "
            r"(?P<n2>TIMES|ORD) EQUALS* $"
        ),
        needs="NUM ORD TIMES",
    ),
    Saying(
        name="to finish",
        fact="ending",
        pattern=(
            r"^ (?:GAP|AND)* (?P<finish>FINISH|ENDING) (?:GAP|HERE|OTHER|THEN){0,5} "
            r"(?P<colon>EQUALS) $"
        ),
        needs="ENDING FINISH & EQUALS",
    ),
    Saying(
        name="nth time somewhere",
        fact="ending",
        pattern=(r"(?P<n>NUMBER|LAST) (?:STOP|SIGN)? (?P<t>TIMES_OF|PLAY)"),
        needs="LAST NUM ORD & TIME OCCASION PLAY",
    ),
    # Parts --------------------------------------------------------------------------------------
    Saying(
        name="part alone",
        fact="section",
        pattern=(
            r"^ (?:GAP|EQUALS)* (?P<name>(?:ORD|PITCH|LOW|HIGH|LAST|LETTER) SIGN? PART|PART "
            r"EQUALS? (?:PITCH|NUM|LETTER|LOW_A)|OTHER? SIGN? PART_NAME OTHER?|PART_NAME "
            r"PART_NAME|CODA)"
            r"(?P<rest>(?:SIGN|COMMA|EQUALS) .{0,6})? (?:STOP|EQUALS|SIGN)* $"
        ),
        needs="PART PART_NAME CODA",
    ),
    Saying(
        name="here is the part",
        fact="section",
        pattern=(
            r"^ (?:AND|GAP)* (?:HERE|THEN) (?:OTHER|GAP|IS|AND){0,4}"
            r"(?P<name>(?:ORD|PITCH|LOW|HIGH|LAST|LETTER) SIGN? PART|PART EQUALS? "
            r"(?:PITCH|NUM|LETTER|LOW_A)|OTHER? SIGN? PART_NAME OTHER?|PART_NAME "
            r"PART_NAME|CODA)"
        ),
        needs="THEN HERE & PART PART_NAME CODA",
    ),
    # Which line is which string -----------------------------------------------------------------
    Saying(
        name="top line is",
        fact="string_order",
        pattern=(
            r"(?P<side>TOP|BOTTOM) LINE? "
            r"(?:GAP|MEANS|EQUALS|FROM|FILL|PITCH|STRING|TOP){0,7}? (?:(?P<n>NUMBER|SHORT) "
            r"STOP? STRING|STRING (?P<n2>NUM))"
        ),
        needs="TOP BOTTOM & STRING",
    ),
    Saying(
        name="string is on top",
        fact="string_order",
        pattern=(
            r"(?:(?P<n>NUMBER|SHORT|HAND) STRING|STRING (?P<n2>NUM)) (?:GAP|MEANS|AND){0,5} "
            r"(?P<side>TOP|BOTTOM) (?!STRING)"
        ),
        needs="STRING & TOP BOTTOM",
    ),
    Saying(
        name="string is the line",
        fact="string_order",
        pattern=(
            r"(?:(?P<n>NUMBER|SHORT|HIGH|LOW) (?:FILL|LETTER|PITCH)? STRING|STRING "
            r"(?P<n2>NUM)) (?:GAP|MEANS)* (?P<side>TOP|BOTTOM) LINE"
        ),
        needs="STRING & TOP BOTTOM & LINE",
    ),
    Saying(
        name="strings from the top",
        fact="string_order",
        pattern=(
            r"(?P<n>NUM) COMMA? NUM COMMA? NUM COMMA? NUM (?:COMMA? NUM)* (?:GAP|FROM)* "
            r"(?P<side>TOP)"
        ),
        needs="NUM & NUM & NUM & NUM & TOP",
    ),
    # Tuning ---
    Saying(
        name="name of a tuning",
        fact="tuning",
        pattern=(
            r"(?P<name>(?:TUNED|DOWN|TIMES)+ (?:PITCH|LETTER) "
            r"(?:MODE)?|SAWMILL|(?:PITCH|LETTER)(?=TUNING))"
        ),
        needs="SAWMILL PITCH LETTER",
    ),
    Saying(
        name="tuning: name",
        fact="tuning",
        pattern=(
            r"TUNING (?:GAP|MEANS|EQUALS|FROM|THEN|STOP|INSTRUMENT)* "
            r"(?P<name>(?:TUNED|DOWN|TIMES)* (?:(?:PITCH|LETTER) "
            r"(?!HYPHEN?(?:PITCH|LETTER))|SAWMILL))"
        ),
        needs="TUNING & SAWMILL PITCH LETTER",
    ),
    Saying(
        name="compact letters",
        fact="tuning",
        pattern=(r"(?P<compact>COMPACT)"),
        needs="COMPACT",
    ),
    Saying(
        name="letters of strings",
        fact="tuning",
        pattern=(
            r"(?P<letters>(?:PITCH|LETTER|FILL) (?:(?:HYPHEN|COMMA)? "
            r"(?:PITCH|LETTER)){3,5})"
        ),
        needs="PITCH LETTER & PITCH LETTER",
    ),
    Saying(
        name="string to pitch",
        fact="retuned",
        pattern=(
            r"(?P<n>NUMBER|INSTRUMENT|BOTTOM|LOW) STOP? STRING "
            r"(?:GAP|DOWN|UP|IS|FROM|TUNING)*?"
            r"(?:DOWN|UP) (?:GAP|FROM|PITCH FILL)* (?P<p>PITCH) (?P<f>FLAT)?"
        ),
        needs="BOTTOM LOW INSTRUMENT NUM ORD & STRING & UP DOWN & PITCH",
    ),
    Saying(
        name="lower string to pitch",
        fact="retuned",
        pattern=(
            r"(?:DOWN|UP|TUNING) GAP* (?P<n>NUMBER|INSTRUMENT|BOTTOM) STRING "
            r"(?:GAP|DOWN|UP|FROM|PITCH FILL)*"
            r"(?P<p>PITCH) (?P<f>FLAT)?"
        ),
        needs="TUNING UP DOWN & BOTTOM INSTRUMENT NUM ORD & STRING & PITCH",
    ),
    Saying(
        name="string changes",
        fact="retuned",
        pattern=(
            r"(?P<n>NUMBER) STRING OTHER EQUALS PITCH (?:UP|DOWN) GAP* (?P<p>PITCH) "
            r"(?P<f>FLAT)?"
        ),
        needs="NUM ORD & STRING & UNKNOWN NAME & EQUALS & PITCH & UP DOWN & PITCH",
    ),
    Saying(
        name="nth up to pitch",
        fact="retuned",
        pattern=(
            r"(?P<n>ORD) (?:DOWN|UP) GAP* (?P<p>PITCH|LETTER|FILL) (?P<f>FLAT)? "
            r"(?=COMMA|STOP|$)"
        ),
        needs="ORD & UP DOWN",
    ),
)
