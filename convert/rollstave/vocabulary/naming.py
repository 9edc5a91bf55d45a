"""Words of lines that stand over a tune and do not name it, and words around its name.

Patterns are regular expressions without regard to case. Common practice, no source.
"""

from __future__ import annotations

# What is told of an occasion, a group, a publication.
OCCASIONS = (
    r"\b(?:week|weekly|month|monthly|newsletter|bulletin|digest|issue|vol(?:ume)?|concert|session"
    r"|meeting|rehearsal|evening|festival|homework|practice|assignment|term|grade|course"
    r"|band|orchestra|choir|members?|library|archive|programme|program|list|item|contents"
    r"|index|chapter|book|lessons?|class|club|society|exercises?|page|handout)\b"
)
DAYS = (
    r"\b(?:(?:mon|tues?|wed(?:nes)?|thu(?:rs)?|fri|sat(?:ur)?|sun)(?:day)?s?"
    r"|jan(?:uary)?|feb(?:ruary)?|march|apr(?:il)?|may|june?|july?|aug(?:ust)?"
    r"|sept?(?:ember)?|oct(?:ober)?|nov(?:ember)?|dec(?:ember)?)\b[.,]?\s*\d"
    r"|\b\d+(?:st|nd|rd|th)\b|\b(?:mon|tues|wednes|thurs|fri|satur|sun)days?\b"
)
# Directly before a name: "song no. 2: ", "it is called ", "tab for ".
THINGS = (
    r"\b(?:tune|song|title|name|piece|number|reel|jig|waltz|air|march|polka|hornpipe|rag|sheet"
    r"(?:\s\d+)?)\W*$"
)
CALLED = r"\b(?:called|titled|entitled|known\s+as|(?:tune|song|it)\s+is|that\s+was)\W*$"
LEADS = r"\b(?:for|of|from|to|is|play|learn(?:ing)?)\W*$"
SHOWS = (
    r"\b(?:here(?:'s|\s+is|\s+it\s+is|\s+she\s+is|\s+are|\s+comes)|this(?:\s+one)?(?:\s+is|'s)"
    r"|that(?:'s|'ll\s+be)|it(?:'s|\s+is)|want(?:ed|s)?|asked\s+(?:for|about|after)|promised"
    r"|learn(?:ed|t|s)?|got\s+down\s+of|tab\s+(?:of|for)|(?:way|how)\s+(?:i|we|he|she|they)\s+play"
    r"|after|about|subject|topic|re)\W*$"
)
# In words that hold a name: "walking line for ".
PARTS_OF = (
    r"\b(?:line|part|tab|tablature|chords?|melody|backup|solo|break|lick|riff|arrangement|version"
    r"|harmony|intro|rest|start)\s+(?:for|of|to|from)\b"
)
GREETED = (
    r"\b(?:hi|hello|hey|hullo|dear|yo|from|to|love|cheers|thanks|regards|mr|mrs|aunt|uncle"
    r"|with)\W*$"
)
# Directly behind a name, or under it: who made it, what it is.
MADE_BY = (
    r"\W*(?:by|from\s+the\s+playing|arr(?:anged)?\.?|trad\w*|composed|comp\.|an?\s+(?:\w+\s+)?"
    r"(?:reel|jig|waltz|march|tune|song|air|polka|hornpipe))\b"
)
SUBJECTS = r"\s*(?:>\s*)*(?:subject|re|aw|fwd?|betreff|objet|asunto|thread|topic)\s*:"

# Words of which the name of a tune has others besides.
COMMON_WORDS = (
    "a an and at by for from in it's my no nr of on or our the this that to with your new old "
    "tune tunes song songs tab tabs tablature title name part parts piece pieces music notes note "
    "chords chord melody solo duet lead rhythm backing backup arrangement version practice "
    "homework lesson lessons exercise exercises page sheet handout class club group week weekly "
    "month monthly day today monday tuesday wednesday thursday friday saturday sunday evening "
    "session meeting members member newsletter number item first second third one two three four "
    "five six banjo guitar ukulele uke mandolin fiddle violin bass tenor dulcimer string strings "
    "beginner beginners players player easy high low end top bottom school teacher pupil"
)
