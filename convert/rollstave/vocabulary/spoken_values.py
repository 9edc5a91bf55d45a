"""Words for numbers, note values, tones, fingers and techniques, in the languages of those who type
tab: what each is worth. Words stand in small letters without accents.
"""

from __future__ import annotations

_UNITS = (
    "one|ett|jeden|eins|ein|un|een|uno two|due|dois|duas|tva|dwa|zwei|deux|twee|dos "
    "three|tre|tres|trzy|drei|trois|drie|tres "
    "four|quattro|quatro|fyra|fire|cztery|vier|quatre|cuatro "
    "five|cinque|fem|piec|funf|cinq|vijf|cinco six|sei|seis|seks|sex|szesc|sechs|zes|seis "
    "seven|sette|sete|sju|syv|siedem|sieben|sept|zeven|siete "
    "eight|otto|oito|atta|otte|osiem|acht|huit|ocho nine|nove|nio|ni|neun|neuf|negen|nueve "
    "ten|dieci|dez|tio|zehn|dix|tien|diez eleven|elf|onze|once-es "
    "twelve|dodici|doze|tolv|zwolf|douze|twaalf|doce "
)
NUMBERS: dict[str, int] = {
    word: number
    for number, words in enumerate(_UNITS.split(), start=1)
    for word in words.split("|")
}
NUMBERS |= {"eine": 1, "une": 1, "una": 1, "sixteen": 16, "thirty-two": 32}
TENS = {"twenty": 20, "thirty": 30, "forty": 40, "fifty": 50, "sixty": 60, "seventy": 70}
TENS |= {"eighty": 80, "ninety": 90, "hundred": 100}
_ORDINALS = (
    "first|primo|prima|primeira|primeiro|forsta|forste|pierwszy|pierwsza|1st|frist|erste|"
    "ersten|erster|erstes|premier|premiere|eerste|primer|primera|primero "
    "second|secondo|seconda|segunda|andra|anden|andre|drugi|druga|secnd|zweite|zweiten|"
    "zweiter|zweites|deuxieme|seconde|tweede|segundo|segunda "
    "third|terzo|terza|terceira|tredje|trzeci|thrid|dritte|dritten|dritter|troisieme|derde|"
    "tercer|tercera|tercero "
    "fourth|quarto|quarta|fjarde|fjerde|czwarta|vierte|vierten|vierter|quatrieme|vierde|"
    "cuarto|cuarta "
    "fifth|quinto|quinta|femte|piata|funfte|funften|funfter|cinquieme|vijfde|quinto|quinta "
    "sixth|sechste|sechsten|sixieme|zesde|sexta "
    "seventh|settimo|sjunde|syvende|siodmy|siebte|siebten|siebter|septieme|zevende "
    "eighth-fret|achten|huitieme|octavo ninth|neunten|neuvieme|negende "
    "tenth|zehnten|dixieme|tiende "
)
ORDINALS: dict[str, int] = {
    word: number
    for number, words in enumerate(_ORDINALS.split(), start=1)
    for word in words.split("|")
}
TIMES_WORDS: dict[str, int] = {
    **{
        "once": 1,
        "einmal": 1,
        "twicet": 2,
        "doppio": 2,
        "dwukrotnie": 2,
        "twice": 2,
        "zweimal": 2,
        "bis": 2,
        "tweemaal": 2,
        "thrice": 3,
    },
    **{"dreimal": 3, "driemaal": 3, "viermal": 4, "viermaal": 4, "eenmaal": 1},
}
# Note values in sixteenths of a quarter note's quarter: how many make a whole note.
NOTE_WORDS: dict[str, int] = {
    word: parts
    for parts, words in (
        (1, "whole semibreve ronde semibrevis helnote"),
        (2, "half minim minims minima halvnot halvnote halbe halben blanche blanca halve"),
        (4, "quarter quarters qtr 4th semiminima seminima fjardedel fjerdedel"),
        (4, "cwiercnuta crotchet crotchets viertel quarti cuartos quartos kwarts"),
        (4, "noire kwart negra vierde-noot"),
        (8, "eighth eighths eights eigth croma crome colcheia attondel ottedel"),
        (8, "ottendedel osemka 8ths quaver quavers achtel achteln ottavi octavos"),
        (8, "oitavos croche croches achtste corchea"),
        (16, "sixteenth sixteenths semicroma semicrome semicolcheia sextondel"),
        (16, "sekstendel sekstendedel szesnastka 16ths semiquaver semiquavers"),
        (16, "sechzehntel zestiende semicorchea"),
    )
    for word in words.split()
}
_NUMBERED_TAKT = ("zweivierteltakt", "dreivierteltakt", "viervierteltakt", "sechsachteltakt")
METER_WORDS: dict[str, str] = {
    **dict(zip(_NUMBERED_TAKT, ("2/4", "3/4", "4/4", "6/8"), strict=True)),
    **{"tweekwartsmaat": "2/4", "driekwartsmaat": "3/4", "vierkwartsmaat": "4/4"},
    **{"zesachtstemaat": "6/8", "walzertakt": "3/4", "neunachteltakt": "9/8"},
}
SOLFEGE: dict[str, str] = {
    **{"gee": "G", "dee": "D", "cee": "C", "eff": "F", "ay": "A"},
    **{"fis": "F#", "cis": "C#", "bes": "Bb", "es": "Eb", "as": "Ab"},
    **{"do": "C", "ut": "C", "re": "D", "mi": "E", "fa": "F", "sol": "G", "la": "A", "si": "B"},
}
# What a legend says that a sign is: a technique of the table of techniques, by the beginnings of
# words in the languages of those who type tab.
TECHNIQUE_WORDS: tuple[tuple[str, str], ...] = (
    ("hammer-on", "martellato hamra hamre hammering-on ham hammer hammers hammered"),
    ("hammer-on", "hameren hammering aufschlag aufschlagen martele marteau"),
    ("pull-off", "strappato pull-offs dra-av pul pull pulled pulls abzug abziehen"),
    ("pull-off", "trekken trekt tire tire-off ligado-descendente"),
    ("slide", "scivolato glissato glid gli slur-slide desliza scivola slide slides"),
    ("slide", "slid sliding rutsch rutschen glisse glisser glissando glijden glij"),
    ("slide", "desliz"),
    ("bend", "piegato bender bend bends bent choke chokes choked push-up ziehen-hoch"),
    ("bend", "estirar bending"),
    ("vibrato", "vibrato shake wobble vibrer"),
    ("harmonic", "armonici flageolett flagolett harmonic harmonics chime chimes"),
    ("harmonic", "harmonique flageolet armonico armonicos"),
    ("ghost", "ghost ghosted ghosts optional"),
    ("let ring", "ring-on klingen-lassen"),
    ("tie", "legato legata bunden tie tied ties held sustained sustain gebunden"),
    ("tie", "liee overgebonden ligada haltebogen"),
    ("muted", "stoppato smorzato dampad damped-out choked-off dampet mute muted mutes"),
    ("muted", "muting dead deaden deadened damp damped muffled etouffe etouffee"),
    ("muted", "gedampft"),
    ("muted", "gedempt demp abgedampft apagado apagada tapado scratch"),
    ("brush", "pennata rasgueo sweep sweeps brush brushed strum strummed strumming"),
    ("brush", "streichen rasgueado balaye"),
    ("grace", "acciaccatura forslag grace vorschlag appoggiature voorslag apoyatura"),
    ("tap", "tamburo tap taps tapped tapping tippen"),
    ("rest", "rests silence silent pause stilte silencio soupir pausa tauko pauza"),
)
# Tunings in small letters, which could be words otherwise.
_SPELLED = (
    "gdgbd gcgbd gcgcd gdgcd gcgce gdgbbd adade aeade cgda cgbd dgbd gdae gcea eadg eadgbe dadgbe"
    " dadgad dgdgbd daad adad dgbe"
)
SPELLED = frozenset(_SPELLED.split())
HAND_WORDS: dict[str, str] = {
    **{
        "thumb": "T",
        "daumen": "T",
        "pollice": "T",
        "polegar": "T",
        "tumme": "T",
        "tommel": "T",
        "thm": "T",
        "duim": "T",
        "pouce": "T",
        "pulgar": "T",
    },
    **{"index": "I", "zeigefinger": "I", "wijsvinger": "I", "indice": "I", "pointer": "I"},
    **{
        "middle": "M",
        "indicador": "I",
        "pekfinger": "I",
        "pegefinger": "I",
        "langfinger": "M",
        "mittelfinger": "M",
        "middelvinger": "M",
        "majeur-doigt": "M",
        "medio": "M",
    },
    **{"forefinger": "I", "medius": "M", "corazon": "M"},
}
# Modes of keys; nothing for the major one, and for words that leave it open.
MODE_WORDS: dict[str, str] = {
    word: means
    for means, words in (
        ("aeolian", "aeolian aeol"),
        ("dorian", "dor dorico dorian modal dorisch"),
        ("lydian", "lydian"),
        ("minor", "minore mol minor min moll mineur menor klein"),
        ("mixolydian", "mix mixo mixolyd mixolydian mixolydisch misolidio"),
        ("phrygian", "phrygian"),
        ("", "maggiore magg maior dur maj7 major maj majeur mayor groot kleine ionian"),
    )
    for word in words.split()
}
# Instruments, by their names in their tables; nothing for what may be another word.
INSTRUMENT_WORDS: dict[str, str] = {
    word: means
    for means, words in (
        ("bass", "basso kontrabass bass bajo basse bassgitarre basgitaar"),
        ("fiddle", "violino violin violins violon viool fiddle geige fiol violine"),
        ("five-string banjo", "banjos banjo"),
        ("guitar", "chitarra violao gitara gitarr gtr guitar guitars gitarre gitaar"),
        ("guitar", "guitare guitarra"),
        ("mandolin", "bandolim mandolino mando mandolin mandolins mandoline mandolina"),
        ("mountain dulcimer", "dulcimer"),
        ("plectrum banjo", "plectrum"),
        ("tenor banjo", "tenor tenorbanjo"),
        ("ukulele", "uke's ukelele uke ukulele ukuleles"),
        ("", "bas mandola"),
    )
    for word in words.split()
}
