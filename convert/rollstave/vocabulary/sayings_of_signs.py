"""How sentences say how fast a tune goes and what a column lasts, who it is from and for what, and
what its signs mean: more rows of :mod:`rollstave.vocabulary.sayings`.
"""

from __future__ import annotations

from rollstave.vocabulary.saying import Saying

OF_PACE: tuple[Saying, ...] = (
    # Tempo ------------------------------------------------------------------------------------
    Saying(
        name="tempo n",
        fact="tempo",
        pattern=(r"TEMPOS (?:GAP|IS|EQUALS|NOTE|STOP|FROM|TEMPOS|OCCASION){0,20} (?P<n>NUM)"),
        needs="TEMPO TEMPO_KEY & NUM",
    ),
    Saying(
        name="n bpm",
        fact="tempo",
        pattern=(r"(?P<n>NUM) BPM|BPM EQUALS* (?P<n2>NUM)"),
        needs="BPM",
    ),
    Saying(
        name="quarter = n",
        fact="tempo",
        pattern=(
            r"(?P<dot>DOTTED)? (?P<note>NOTE|FRACTION) (?:GAP)? (?:EQUALS|IS) GAP* (?P<n>NUM)"
        ),
        needs="FRACTION NOTE & IS EQUALS & NUM",
    ),
    Saying(
        name="about n",
        fact="tempo",
        pattern=(
            r"(?:COMMA|STOP|^) (?P<about>FILL|SIGN|SIGN SIGN|AND SIGN SIGN) (?P<n>NUM) "
            r"STOP* $"
        ),
        needs="NUM",
    ),
    Saying(
        name="n on the metronome",
        fact="tempo",
        pattern=(
            r"(?P<n>NUM) (?:BEAT? (?:GAP|EACH|FROM){1,3} (?:TEMPOS|STORY)|(?:GAP){1,2} "
            r"TEMPOS)"
        ),
        needs="NUM & TEMPO TEMPO_KEY STORY",
    ),
    Saying(
        name="n among facts",
        fact="tempo",
        pattern=(r"(?:COMMA|SIGN) SIGN? (?P<about>FILL)? (?P<n>NUM) (?=COMMA|SIGN|STOP|$)"),
        needs="NUM",
    ),
    Saying(
        name="n behind a time",
        fact="tempo",
        pattern=(
            r"FRACTION (?:METERS|COMMA|SIGN|STOP){0,2} (?P<about>FILL)? (?P<n>NUM) "
            r"(?=COMMA|SIGN|STOP|$)"
        ),
        needs="FRACTION & NUM",
    ),
    Saying(
        name="n beats alone",
        fact="tempo",
        pattern=(r"(?:COMMA|STOP|SIGN|^) (?P<about>FILL)? (?P<n>NUM) BEAT (?=COMMA|STOP|SIGN|$)"),
        needs="NUM & BEAT",
    ),
    Saying(
        name="n to the quarter",
        fact="tempo",
        pattern=(r"(?P<n>NUM) (?:GAP){1,3} (?P<dot>DOTTED)? (?P<note>NOTE)"),
        needs="NUM & NOTE",
    ),
    Saying(
        name="play at n",
        fact="tempo",
        pattern=(
            r"(?:PLAY|START|HERE|OCCASION) (?:GAP|OCCASION|IS){1,4} (?P<n>NUM) "
            r"(?!FRET|STRING|BAR|TIMES_OF|SIGN)"
        ),
        needs="OCCASION PLAY START HERE & NUM",
    ),
    Saying(
        name="at n",
        fact="tempo",
        pattern=(
            r"(?P<about>FILL|OCCASION|RATHER) (?P<n>NUM) "
            r"(?!FRET|STRING|BAR|TIMES_OF|STORY|OTHER|PERSON)"
        ),
        needs="NUM",
    ),
    Saying(
        name="only about n",
        fact="tempo",
        pattern=(r"^ (?:FILL|OCCASION) (?P<n>NUM) STOP* $"),
        needs="NUM",
    ),
    Saying(
        name="tempo: words",
        fact="pace",
        pattern=(
            r"TEMPO_KEY EQUALS+ (?P<w>(?:PACE|RATHER|FILL|OTHER|AND|SIGN){1,4}) "
            r"(?=COMMA|STOP|$)"
        ),
        needs="TEMPO_KEY & EQUALS",
    ),
    Saying(
        name="tempo lento",
        fact="pace",
        pattern=(r"TEMPO_KEY (?P<w>PACE) (?=COMMA|STOP|$)"),
        needs="TEMPO_KEY & PACE",
    ),
    Saying(
        name="only pace",
        fact="pace",
        pattern=(
            r"^ (?P<w>(?:RATHER|FILL|AND|NO|LETTER|OTHER)* PACE "
            r"(?:AND|PACE|LETTER|RATHER|COMMA)*)"
            r"(?:PLAY|FILL)* STOP* $"
        ),
        needs="PACE",
    ),
    Saying(
        name="pace first",
        fact="pace",
        pattern=(
            r"(?:^|STOP|COMMA) (?:START|PLAY|HERE|FILL|OTHER|TOP){0,4} "
            r"(?P<w>(?:RATHER|NO|FILL)*? PACE (?:(?:AND|COMMA|LETTER) PACE)*)"
            r"(?=COMMA|STOP|$|FILL)"
        ),
        needs="PACE",
    ),
    Saying(
        name="pace among facts",
        fact="pace",
        pattern=(
            r"(?:COMMA|SIGN|STOP|FRACTION|TUNING|PITCH|COMPACT|INSTRUMENT|METERS|NUM|MODE|^) SIGN* "
            r"(?P<w>(?:RATHER|FILL|NO|AND|OTHER|FROM){0,3} PACE "
            r"(?:(?:COMMA|AND|LETTER)? (?:RATHER|FILL|NO)* (?:PACE|OTHER)){0,2} (?:TEMPO|THEN)?) "
            r"(?=COMMA|SIGN|STOP|$)"
        ),
        needs="PACE",
    ),
    Saying(
        name="play it so",
        fact="pace",
        pattern=(
            r"(?:PLAY|START|HERE) (?:HERE|FILL|THING|ALL){1,3} "
            r"(?P<w>(?:RATHER|NO|FROM)* PACE (?:(?:COMMA|AND|OR|LETTER|FILL) "
            r"(?:RATHER|NO|FILL)* (?:PACE|OTHER))*) (?=COMMA|STOP|AND|SIGN|$)"
        ),
        needs="PLAY START HERE & PACE",
    ),
    Saying(
        name="and pace",
        fact="pace",
        pattern=(r"COMMA AND (?P<w>(?:RATHER|NO)* PACE (?:AND (?:PACE|OTHER))?) (?=COMMA|STOP|$)"),
        needs="COMMA & AND & PACE",
    ),
    Saying(
        name="at the pace of",
        fact="pace",
        pattern=(
            r"(?:PLAY|START|HERE) HERE? (?P<w>FILL FILL? TEMPO FROM?(?:GAP|OTHER|PERSON|STORY|"
            r"THING|PLAY){1,8}) (?=COMMA|STOP|$)"
        ),
        needs="PLAY START HERE & TEMPO",
    ),
    Saying(
        name="speed: words",
        fact="pace",
        pattern=(
            r"TEMPOS (?:SIGN|OTHER)* EQUALS "
            r"(?P<w>(?:PACE|RATHER|FILL|OTHER|AND|NO|COMMA|TEMPOS){1,6}) STOP* $"
        ),
        needs="TEMPO TEMPO_KEY & EQUALS",
    ),
    Saying(
        name="at a pace",
        fact="pace",
        pattern=(
            r"^ (?P<w>(?:FILL|PLAY|HERE|RATHER|OTHER|PACE|COMMA|NO|TIMES_OF)* TEMPOS "
            r"(?:FILL|RATHER|OTHER|PACE|PLAY|COMMA)*) STOP* $"
        ),
        needs="TEMPO TEMPO_KEY",
    ),
    Saying(
        name="as fast as",
        fact="pace",
        pattern=(r"PLAY (?:GAP)* (?P<w>FILL PACE FILL (?:GAP|OTHER|PERSON|STORY|THING|PLAY)*)"),
        needs="PLAY & PACE",
    ),
    # What a column lasts ------------------------------------------------------------------------
    Saying(
        name="dash = note",
        fact="unit",
        pattern=(
            r"(?P<c>NUM|EACH|FILL)? (?:GAP|EACH|FROM|SHORT|BOTTOM|OTHER){0,3} "
            r"(?:DASH|FRET|LETTER)"
            r"(?:GAP|IS|EACH|STORY|PERSON|OTHER){0,4} (?:MEANS|GAP|EACH|LETTER) "
            r"(?:GAP|EACH|MEANS){0,2} (?P<u>NUM)? (?:OTHER|NUM)? "
            r"(?P<note>NOTE|FRACTION|BEAT)"
        ),
        needs="DASH FRET LETTER & BEAT FRACTION NOTE",
    ),
    Saying(
        name="each - is a note",
        fact="unit",
        pattern=(
            r"(?P<c>NUM|EACH) (?P<sign>SIGN) (?:GAP|MEANS){1,4} (?P<u>NUM)? "
            r"(?P<note>NOTE|FRACTION)"
        ),
        needs="EACH NUM & RAW_SIGN HYPHEN PAREN & FRACTION NOTE",
    ),
    Saying(
        name="dashes to the beat",
        fact="unit",
        pattern=(r"(?P<c>NUM) DASH (?:GAP|EACH|IS){1,4} (?P<note>NOTE|FRACTION|BEAT)"),
        needs="NUM & DASH & BEAT FRACTION NOTE",
    ),
    Saying(
        name="dashes, each a note",
        fact="unit",
        pattern=(r"DASH (?:GAP|BEAT|BARS)* (?P<c>EACH) (?:GAP|NUM)* (?P<note>NOTE|FRACTION)"),
        needs="DASH & EACH & FRACTION NOTE",
    ),
    Saying(
        name="beat takes dashes",
        fact="unit",
        pattern=(r"(?:BEAT|(?P<note>NOTE)) (?:GAP|MEANS|EACH|PLAY|OTHER){1,4} (?P<c>NUM) DASH"),
        needs="BEAT NOTE & NUM & DASH",
    ),
)
OF_SIGNS: tuple[Saying, ...] = (
    # Who it is from -----------------------------------------------------------------------------
    Saying(
        name="learnt from",
        fact="source",
        pattern=(r"LEARNT (?:GAP|HERE|THING){0,3} FROM (?:GAP|OTHER(?=GAP)){0,3} (?P<name>.+)"),
        needs="LEARNT & FROM",
    ),
    Saying(
        name="from at first",
        fact="source",
        pattern=(r"^ FROM (?:FILL)* (?P<name>(?!CAPO|START|TOP).+)"),
        needs="FROM",
    ),
    Saying(
        name="by whom",
        fact="source",
        pattern=(r"(?:SOURCE|PLAY|LEARNT) (?:GAP|SOURCE|AND)* BY (?:GAP|EQUALS)* (?P<name>.+)"),
        needs="PLAY LEARNT SOURCE & BY",
    ),
    Saying(
        name="name taught me",
        fact="source",
        pattern=(
            r"(?P<name>NAME (?:NAME|HYPHEN)* ) (?:FILL)? (?:LEARNT|OTHER(?=FILL)) FILL "
            r"(?:HERE|FILL|THING|$)"
        ),
        needs="NAME & LEARNT UNKNOWN NAME",
    ),
    Saying(
        name="after name",
        fact="source",
        pattern=(
            r"^ (?:OTHER|GAP)? (?:FILL|THEN|OTHER)? (?P<after>OTHER|FILL) (?P<name>NAME "
            r"NAME+) STOP* $"
        ),
        needs="NAME & NAME",
    ),
    Saying(
        name="source: name",
        fact="source",
        pattern=(r"^ SOURCE (?:.){0,5}? EQUALS (?P<name>.+)"),
        needs="SOURCE & EQUALS",
    ),
    # Instrument ---------------------------------------------------------------------------------
    Saying(
        name="for instrument",
        fact="instrument",
        pattern=(
            r"^ (?:HERE|IS|GAP|LEARNT|THING|OTHER)* (?P<i>INSTRUMENT+) (?:OTHER)? "
            r"(?=SIGN|COMMA|STOP|EQUALS|TUNING|GAP|NO|$)"
        ),
        needs="INSTRUMENT",
    ),
    Saying(
        name="for the instrument",
        fact="instrument",
        pattern=(r"(?:FILL|FROM) (?:GAP|OTHER|NUM|STRING|SIGN){0,3} (?P<i>INSTRUMENT+)"),
        needs="INSTRUMENT",
    ),
    Saying(
        name="instrument last",
        fact="instrument",
        pattern=(r"(?:SIGN|COMMA) (?P<i>INSTRUMENT+) STOP* $"),
        needs="COMMA RAW_SIGN HYPHEN PAREN & INSTRUMENT",
    ),
    # Legends ------------------------------------------------------------------------------------
    Saying(
        name="sign = technique",
        fact="legend",
        pattern=(
            r"(?P<s>MARK) "
            r"(?:FILL|HERE|THEN|COMMA|RATHER|HYPHEN|PAREN|MEANS|DOWN|UP|OTHER(?=TECHNIQUE)"
            r"|NUM(?=TECHNIQUE|HAND)|HIGH|SOURCE|PERSON){1,6}? "
            r"(?P<t>TECHNIQUE|HAND)"
        ),
        needs="PITCH MINOR LETTER RAW_SIGN & TECHNIQUE HAND",
    ),
    Saying(
        name="sign technique",
        fact="legend",
        pattern=(
            r"(?:^|COMMA|STOP|SIGN|EQUALS|TECHNIQUE) (?P<s>MARK) OTHER? "
            r"(?P<t>TECHNIQUE|HAND)"
        ),
        needs="PITCH MINOR LETTER RAW_SIGN & TECHNIQUE HAND",
    ),
    Saying(
        name="word = technique",
        fact="legend",
        pattern=(
            r"(?:^|COMMA|STOP|AND) (?P<s>OTHER) (?:SIGN|STOP)* MEANS? GAP? OTHER? "
            r"(?P<t>TECHNIQUE)"
        ),
        needs="UNKNOWN NAME & TECHNIQUE",
    ),
    Saying(
        name="number in brackets",
        fact="legend",
        pattern=(
            r"(?:^|COMMA) (?P<open>SIGN) (?:NUM|LETTER)? (?P<close>SIGN) (?:GAP|MEANS)* "
            r"OTHER? (?P<t>TECHNIQUE)"
        ),
        needs="RAW_SIGN HYPHEN PAREN & RAW_SIGN HYPHEN PAREN & TECHNIQUE",
    ),
    Saying(
        name="brackets",
        fact="legend",
        pattern=(r"(?P<brackets>OTHER) (?:GAP|MEANS|OTHER){0,3} (?P<t>TECHNIQUE)"),
        needs="UNKNOWN NAME & TECHNIQUE",
    ),
    Saying(
        name="letters in turn",
        fact="legend",
        pattern=(
            r"(?P<signs>(?:LETTER|PITCH|FILL) COMMA? (?:LETTER|PITCH|FILL|OTHER|AND) "
            r"(?:(?:COMMA|AND)* (?:LETTER|PITCH|FILL))*)"
            r"(?:MEANS|GAP)+ (?P<hands>HAND COMMA? (?:AND)? HAND COMMA? (?:AND? HAND)?)"
        ),
        needs="HAND & HAND",
    ),
)
