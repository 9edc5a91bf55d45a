"""What words of a sentence mean, in the languages of those who type tab: a class for each.

Words stand in small letters without accents. A class is one letter in a coded sentence
(:mod:`rollstave.reading.saying.tokens`), so that a pattern of classes is a regular expression.
"""

from __future__ import annotations

from rollstave.vocabulary import spoken_values

# By class: its letter in a coded sentence, and its words.
CLASSES: dict[str, tuple[str, str]] = {
    "DASH": (
        "d",
        "trattino trattini colonna spazio traco tracos streck strek streg kreska kreski mark "
        "marks tick ticks blank blanks slot slots box boxes posto pos dot dots place places "
        "stroke strokes keystroke keystrokes dash dashes hyphen hyphens column columns col "
        "cols char chars character characters space spaces minus minuses strich striche "
        "bindestrich zeichen spalte tiret tirets caractere colonne streepje streepjes teken "
        "tekens kolom guion guiones caracter columna letterspace",
    ),
    "TUNING": (
        "T",
        "accordatura accordato accordata accordare afinacao afinado stamning stamd stemning "
        "stemt stroj nastroj tuneing tunin tuning tunings tuned tune retune retuned stimmung "
        "gestimmt stimme stimmen stemming gestemd stem accordage accorde accordee accorder "
        "afinacion afinada afinar",
    ),
    "CAPO": (
        "C",
        "capotasto capotraste kapotaster kapon capoing capod capo capoed capo'd kapo "
        "kapodaster capodaster capodastre cejilla clamp capos capot cp kapon kapoa",
    ),
    "FRET": (
        "F",
        "tasto tasti band bandet bånd bandene prog progu nauha nauhalle frett fret frets "
        "bund bunde bunden "
        "case cases traste trastes fretje vakje positie position",
    ),
    "STRING": (
        "S",
        "corda strang strangen streng strengen struna struny strg strgs string strings str "
        "saite saiten corde cordes snaar snaren cuerda cuerdas",
    ),
    "LINE": (
        "L",
        "riga righe rad raden linje linjen linia linii linie line lines row rows linien zeile "
        "zeilen ligne lignes lijn lijnen regel linea lineas renglon reihe",
    ),
    "TOP": (
        "U",
        "sopra alto superiore ovre overst overste gorna gorze topmost uppermost ovan top "
        "upper oben oberste obersten haut bovenste boven arriba superior",
    ),
    "BOTTOM": (
        "W",
        "sotto inferiore nedre nederst nederste dolna dole bottommost nedan bottom lower "
        "lowest lowermost unten unterste untersten bas onderste onder abajo inferior",
    ),
    "LOW": (
        "l",
        "lag lav bassa niska low grave tiefe tiefer coarse",
    ),
    "HIGH": (
        "H",
        "hog hoj alta wysoka high higher hoher fine aigu agudo hoge",
    ),
    "KEY": (
        "K",
        "savellaji tonalita tonalidade tonaart tonacja toneart chiave tom keysig ky keyed key "
        "tonart "
        "tonalite toonsoort tonalidad tonality tono",
    ),
    "MODE": (
        "M",
        " ".join(spoken_values.MODE_WORDS),
    ),
    "TEMPO": (
        "Y",
        "mm metro metronomo hastighet clip gait clicks click speed metronome metronom pace "
        "vitesse velocidad snelheid",
    ),
    "TEMPO_KEY": (
        "9",
        "tempo",
    ),
    "BPM": (
        "0",
        "bpm b.p.m",
    ),
    "PACE": (
        "w",
        "veloce svelto piano vivo largo devagar rapidamente sakta langsomt langsamt fort "
        "raskt hurtigt lugnt wolno szybko stately jaunty lazy swift swiftly sprightly breezy "
        "medium uptempo laidback calm calmly mournful peaceful briskish stomping rolling "
        "swinging walking quickish slowish smartly sedate lekker allegramente scherzando slow "
        "slowly fast lively moderate moderately moderato andante allegro allegretto adagio "
        "presto vivace lento langsam schnell zugig lebhaft massig gemutlich rapide vif vive "
        "tranquille lent lentement rapido despacio tranquilo rustig langzaam snel levendig "
        "vlot steady steadily brisk briskly quick quickly relaxed easy gentle gently bright "
        "brightly bouncy peppy sad unhurried mellow leisurely driving relaxt ruhig getragen "
        "flott animado doucement modere allant vite calme calma calmo swing stilla stilte "
        "heavy trot "
        "trotting gallop galloping vivace mosso largo maestoso unhurriedly lazily gemachlich "
        "rapidito tempranito tranquila tranquillo lugn lagom-fort stadigt raskt kvikt roligt "
        "nopeasti hitaasti reippaasti rauhallisesti spokojnie zywo pomalu rychle zwinnie "
        "brisker slower faster steadier rolig kjapt munter munterly muntert frisch hurtig",
    ),
    "RATHER": (
        "m",
        "dead way gey ever nowt lagom ziemlich recht etwas allzu melko aika un-peu pas assai "
        "molto poco troppo abbastanza piuttosto muito bastante ganska meget mycket litt noget "
        "bardzo real kinda sorta sort kind plenty awful awfully bit little moderately nearly "
        "mighty very too so quite rather fairly pretty super really nice aan muy mas muss "
        "bien assez tres trop plutot zu sehr recht heel erg vrij tamelijk medium medio",
    ),
    "METER": (
        "I",
        "metrum compasso taktarten taktart timing metrica meter metre signature sig timesig "
        "maatsoort",
    ),
    "TIME": (
        "i",
        "time times",
    ),
    "METER_BAR": (
        "J",
        "battuta misura takten takter maat takt mesure compas takte mesures",
    ),
    "CUT": (
        "X",
        "cut",
    ),
    "COMMON": (
        "Z",
        "common",
    ),
    "DOTTED": (
        "¶",
        "dotted dot'd punktiert punktierte punktierten pointee puntillo puntata puntato "
        "gepunteerde punkterad punkteret kropka",
    ),
    "BEAT": (
        "E",
        "battiti battito movimenti slag taktslag tiempo tempos uderzenia clicks taps beat "
        "beats count counts pulse pulses temps schlage tellen tiempos counted",
    ),
    "BAR": (
        "B",
        "battute misure takter compassos bar bars measure measures",
    ),
    "PART": (
        "A",
        "sezione sezioni parti sezioner delen dele secao czesc pt pts turn phrase phrases "
        "sect part parts strain strains section sections half teil teile partie parte partes "
        "deel stuk gedeelte halves",
    ),
    "PART_NAME": (
        "Q",
        "ritornello strofa refrang omkved mellanspel mellomspill intermezzo coro introduzione "
        "refrao introducao ponte zwrotka leadin interludio outtro prelude postlude doubler "
        "intro introduction verse verses chorus bridge outro solo tag refrain interlude "
        "kickoff prechorus vamp turnaround break riff strophe vers zwischenspiel vorspiel "
        "nachspiel einleitung couplet estribillo estrofa copla puente introduccion refrein "
        "brug tussenstuk voorspel naspel pont entree finale cierre schluss einde",
    ),
    "CODA": (
        "1",
        "coda fine segno",
    ),
    "ENDING": (
        "e",
        "endg casella kasten slut endin ending endings volta",
    ),
    "LAST": (
        "z",
        "ultime ultimo sista siste sidste ostatni finally last final letzte letzten letztes "
        "derniere dernier laatste ultima lastly",
    ),
    "OCCASION": (
        "t",
        "volta volte gang gangen ganger gange gång gangar raz razy vezes x tid passes passa "
        "vuelta vueltas trip playing tour tours mal male fois keer vez veces pass go round "
        "around through thru",
    ),
    "PLAY": (
        "G",
        "suona suonare ripeti ripetere tocar toque repita spela spill spil spille repetera "
        "gjenta gentag graj powtorz run rpt repeats repeating playthrough perform strum play "
        "plays played playing do sing go goes repeat repeated spiele spielen spiel jouer "
        "jouez jeu speel spelen toca take wiederholen wiederholung herhaal repite repetir "
        "twang done gets",
    ),
    "BACK": (
        "k",
        "ancora daccapo novo novamente igen igjen tilbage tillbaka tilbake jeszcze ponownie "
        "restart anew afresh back return terug zuruck reprise repris retour volver vuelve "
        "again wieder weer nochmal otra over noch",
    ),
    "START": (
        "h",
        "inizio comeco borjan starten poczatek poczatku begynnelsen begyndelsen opening "
        "beginnin startof beginning start begin anfang vorne debut principio inicio "
        "commencement head comienzo",
    ),
    "FROM": (
        "f",
        "dal dalla dall' do fran fra vom out from off von ab desde du van vanaf de des da "
        "depuis al frm",
    ),
    "BY": (
        "y",
        "by",
    ),
    "LEARNT": (
        "r",
        "imparato imparata imparai aprendi lart lard laert nauczony learning learn taken "
        "lifted borrowed pinched adapted copied received inherited transcribed taught learned "
        "learnt got had gelernt appris apprise geleerd aprendido comes came collected",
    ),
    "SOURCE": (
        "8",
        "fonte kalla kilde zrodlo melodia autor author composed composer compositore music "
        "tab tabbed arr arranger bron source melody words quelle fuente musique musica musik "
        "arranged",
    ),
    "INSTRUMENT": (
        "n",
        " ".join(spoken_values.INSTRUMENT_WORDS),
    ),
    "VERSION": (
        "v",
        "versione versao versjon wersja setting edition draft rev revision variante "
        "version versions fassung versie variant arrangement variation",
    ),
    "SHORT": (
        "5",
        "kort krotka octave short drone kurze kurzen kleine korte chanterelle corta",
    ),
    "PEG": (
        "g",
        "pirolo piolino tarraxa stamskruv skrue kolek tuner pegs peg wirbel stemknop cheville "
        "clavija",
    ),
    "NUT": (
        "u",
        "sadel pestana siodelko nuts nut sattel topkam sillet cejuela",
    ),
    "SPIKE": (
        "V",
        "chiodo chiodino prego spik soem gwozdz rr spikes nails staple hooks spike spiked "
        "nail hook hooked railroad haakje haken clou clavo tack",
    ),
    "NO": (
        "x",
        "aldrig ei koskaan nigdy nikdy "
        "non nessun nessuna senza sem nao nenhum ingen inte uten ikke bez nie zip nope zero "
        "nought no not without none ohne kein keine keinen nicht sans pas zonder geen niet "
        "sin ningun never don't doesn't isn't ain't nor n't jamais nunca aucun nothing nobody",
    ),
    "IS": (
        "q",
        "significa uguale equivale rappresenta vale vuol betyr betyder ar er jest znaczy "
        "oznacza represent representing equalling equaling meaning meant denoting called "
        "gives indicates shows symbolizes symbolises is are means mean equals equal stands "
        "represents lasts takes worth makes make denotes denote signifies signify ist sind "
        "heisst bedeutet est sont signifie vaut betekent zijn es son 's tells marks was "
        "bleibt",
    ),
    "AND": (
        "P",
        "e och og i n' and und et en y n then dann puis dan luego plus",
    ),
    "OR": (
        "j",
        "eller oppure lub o or oder ou either whether",
    ),
    "UP": (
        "b",
        "su alza alzare sube upp opp op podniesc cranked crank hike hiked bump bumped up "
        "raise raised hoch rauf omhoog monte subir hochgestimmt hochstimmen retuned",
    ),
    "DOWN": (
        "c",
        "giu abbassa abbassare baixa ner ned nedat obnizyc slack slacked down lower lowered "
        "drop dropped let herunter runter tiefer omlaag baisse baja bajar abaisser lowering "
        "slacken",
    ),
    "STEP": (
        "D",
        "step steps semitone semitones ton tone tones",
    ),
    "EACH": (
        "a",
        "ogni ciascun ciascuno varje hver hvert kazdy kazda any single each every cada jeder "
        "jede jedes chaque elke ieder",
    ),
    "ALL": (
        "O",
        "tutto tutta tutti todo hela hele alt allt caly cala entirely full whole entire all "
        "everything complete tout toute ganze ganzes alles heel",
    ),
    "FLAT": (
        "R",
        "flat sharp bemol diese",
    ),
    "THING": (
        "N",
        "brano canzone pezzo musica lat laten melodi utwor number one thing tune piece song "
        "lot lied stuck morceau cancion liedje tab",
    ),
    "TITLE": (
        "3",
        "titolo tytul navn nom nombre naam title titel titre titulo called named name "
        "entitled titled",
    ),
    "THEN": (
        "p",
        "poi adesso ora sedan nu teraz afterwards afterward next finally now nun maintenant "
        "ahora today",
    ),
    "WALTZ": (
        "{",
        "waltz walzer valse valzer wals vals waltzes",
    ),
    "JIG": (
        "}",
        "jig jigs gigue giga",
    ),
    "TUNED": (
        "*",
        "open double dbl doppel doble standard regular normal estandar",
    ),
    "SAWMILL": (
        "+",
        "sawmill",
    ),
    "HERE": (
        "4",
        "ecco qui har her oto tutaj questo here hier voici aqui heres here's follows next "
        "comes this it it's its",
    ),
    "FINISH": (
        ":",
        "finish finishing close closing conclude beenden terminer eindigen terminar cerrar "
        "finire sluta",
    ),
    "SHARPS": (
        "]",
        "sharps flats kreuze dieses bemols kruisen mollen sostenidos bemoles diesis bemolli",
    ),
    "DUPLE": (
        "[",
        "duple binary binaire binario",
    ),
    "TRIPLE": (
        "|",
        "triple ternary ternaire ternario",
    ),
    "PERSON": (
        "o",
        "lui lei loro nonno zio zia ona moja gran grandma grandpa granddad nana boss mate lad "
        "fellow teacher neighbour neighbor doctor landlord bandmate bandmates singer he she "
        "they him her his their wife brother sister mother father mom dad uncle aunt cousin "
        "papa friend buddy guy folks people somebody someone everybody anybody nobody drummer "
        "fiddlers fiddler pupils students kids class man woman er sie seine il elle hij zij "
        "who whoever wer qui quien wie",
    ),
    "STORY": (
        "s",
        "ieri oggi anni ora ore settimana igar wczoraj bought lent borrowed broken stolen "
        "wrote remember remembered recall tried trying looking look ask asks wonder hope "
        "bring brought ate drank slept lunch dinner tea beer coffee bus train car cat dog "
        "wife husband house door kitchen weather rain went were ago yesterday since asked "
        "told said says broke lost sold forgot fell heard page pages size found know knows "
        "think thought perdu vergessen war waren hatte habe gehabt etait avait rompio "
        "perdi tenia vergeten kapot gisteren tomorrow weeks years year hours week evenings "
        "minutes o'clock monday tuesday june price dollar dollars",
    ),
}

# Words that join others and mean nothing by themselves.
_FILLING = (
    "a about abuot again al all also am an approx approximately aprox around as at au "
    "auch auf aux avec bc be because behind bei beneath beside bij bitte but c'est ca can "
    "circa comes comme con could dans das dat del dem den der des die dit dus een ein "
    "eine einem einen el environ for fur had has have here het i i'll i'm ich if ik im in "
    "into it je just la las le les lies like little lo los ma means mes met mi mit mon my "
    "naar needed nog nur of ok okay on one's ongeveer only ook op our own para per please "
    "por pour put que roughly rund se set shall should sits so stands stay stays su sur "
    "te that the then there these this those to today todays tune's un una und under une "
    "ungefahr unos use voor want way we we'll we're well what when where which wie will "
    "wir with worth would you you'll your zu zum zur "
)
FILLING = frozenset(_FILLING.split())
