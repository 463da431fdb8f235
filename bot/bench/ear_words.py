"""Words in which a sentence for the ear may vary, and typed lines as they are said aloud.

Names of people and of lures (our own), of which the ear hears as many as can be, and the short forms of
those who type. Knows nothing of the grammar.
"""

import re
from random import Random

from num2words import num2words

NAMES = (
    "dave mick sally tom jenny pete steve kate bob luke ben jack sam nick joe anna mark paul john mike"
    " chris maria ana leo finn rosa ollie jess harry grace theo mia ahmed akira alan alana aldo alex ali"
    " alice amara amina andre andrea angus anita anton april arjun arlo arthur astrid audrey bella"
    " bernie bert beth bianca billy bobby bonnie boris brad brett brian bruno bryce callum carl carla"
    " carlos carmen carol casey cathy cecil charlie chloe claire clara clay clint cody colin connie"
    " craig curtis daisy dale damian dan dana daniel danny daphne darren daryl dean deb denise derek"
    " diana diego dimitri dominic donna doug duncan dylan earl eddie eduardo edwin elena eli elias ella"
    " ellen elsa emil emily emma enrique eric erin ernie esther ethan eva evan faith fatima felix fergus"
    " fernando fiona flora frank fred gail garth gary gavin gemma george gina glen gloria gordon graham"
    " greg greta gus guy hamish hana hank hannah harold hassan hazel heath hector heidi helen henry hiro"
    " holly howard hugh hugo ian imran ines ingrid irene isaac isabel ivan ivy jake james jamie jane"
    " janet jared jasmine jason javier jay jean jeff jerry jill jim joan jody joel jorge jose josh joy"
    " juan judy julia julian june justin kai karen karl katie keith kelly ken kenji kenny kevin kim"
    " kirsty kofi kurt kyle lance lani lars laura lauren lee lena lenny leon leroy lewis liam lily linda"
    " lisa liz lloyd logan lola lorenzo louis louise lucas lucia lucy lydia lyn maggie mal malik marco"
    " margaret marge mario marlon martha martin marty mary mateo matt maud max meg mei mel melissa"
    " miguel miles milo miriam mitch molly monica murray nadia nancy naomi nat nathan ned nell nelson"
    " nia nicole nigel nina noah noel nora norman olga oliver olivia omar oscar otto owen pablo paddy"
    " pam pat patrick paula pedro penny percy petra phil phoebe pilar polly priya quentin rachel rafael"
    " ralph ramon ravi ray rex rhys ricardo rick rita rob robin rod roger roman ron rory rosie ross roy"
    " ruby rudy russ ruth ryan sandy sara scott sean seth shane sharon shaun sheila sid silvia simon"
    " sofia sonia stan stella stuart sue susan tanya tara tariq ted teresa terry tess tim tina toby todd"
    " tony tracy trent trevor troy ty tyler val vera vic victor vince viola wade wally walt wanda warren"
    " wayne wendy wes will winston yara yuki yusuf zac zane zoe uncle auntie dad mum grandad nana cousin"
    " captain skip boss"
).split()
_FIRST = (
    "church rusty screen pickle sunday broom paper copper broken velvet hollow lazy crooked iron wooden"
    " plastic midnight morning monday friday winter summer double single little big tall long short wet"
    " dry salty sour sweet bitter burnt frozen golden leather cotton silk canvas brass stone glass mud"
    " river garden kitchen attic cellar market station highway country village city border lonely angry"
    " happy sleepy hungry thirsty noisy quiet secret famous ugly pretty dirty clean old new lost found"
    " flying running jumping dancing singing crying laughing spinning falling barking ginger lemon"
    " pepper butter sugar honey coffee tobacco whisky candle lantern ladder barrel bucket button pocket"
    " blanket pillow hammer shovel saddle tractor railway"
).split()
_SECOND = (
    "hat nail door jar suit handle bell boot broom bucket button cap car cart chair clock coat cup desk"
    " dog drum duck engine fence fiddle fork gate goat goose hammer horse house jacket jug kettle key"
    " kite knife ladder lamp letter lid lock monkey mirror mule oven parade pan paper pencil penny piano"
    " pie pipe plate pony preacher queen king radio ring road rocket rooster saddle sailor sandal saw"
    " shed shoe shovel skillet soldier spoon stove table teapot ticket tractor train trumpet umbrella"
    " uncle wagon wallet wheel whistle widow window wrench banjo biscuit bonnet bottle bracket bridge"
    " butcher candle carpet cousin curtain"
).split()
BOX = ("church hat", "rusty nail", "screen door", "pickle jar", "sunday suit", "broom handle")
"""The lures of the boat of the corpora."""
SHORT = {
    "kg": "kilos", "kgs": "kilos", "lb": "pounds", "lbs": "pounds", "kn": "knots", "kt": "knots",
    "kts": "knots", "knt": "knots", "cm": "centimetres", "ft": "feet", "m": "metres", "mtrs": "metres",
    "mins": "minutes", "min": "minutes", "hr": "hour", "hrs": "hours", "deg": "degrees",
    "degs": "degrees", "stbd": "starboard", "prt": "port", "blk": "black", "grn": "green",
    "yft": "yellowfin", "temp": "temperature", "tmrw": "tomorrow", "pls": "please", "plz": "please",
    "thx": "thanks", "rdy": "ready", "u": "you", "ur": "your", "r": "are", "n": "and", "w": "with",
    "sc": "short corner", "lc": "long corner", "sr": "short rigger", "lr": "long rigger",
    "sg": "shotgun", "skip": "skip", "yr": "your", "abt": "about", "dont": "don't", "cant": "can't",
    "thats": "that's", "hes": "he's", "shes": "she's", "im": "i'm", "ive": "i've", "weve": "we've",
    "theyre": "they're", "youre": "you're", "didnt": "didn't", "wont": "won't", "isnt": "isn't",
    "doesnt": "doesn't", "wasnt": "wasn't", "theres": "there's", "whats": "what's", "wheres": "where's",
    "whos": "who's", "gonna": "gonna", "fm": "fathoms", "fth": "fathoms", "mph": "miles an hour",
    "nm": "miles", "tho": "though", "thru": "through",
}  # fmt: skip
"""What is typed short, and how it is said."""
_CLOCK = re.compile(r"\b([01]?\d|2[0-3])[:.h]([0-5]\d)\b(?!\.)")
_GLUED = re.compile(r"(\d)(?=[a-z])(?!(st|nd|rd|th)\b)")


def lure(rng: Random) -> str:
    """Return the name of a lure: now and then one of the boat's, mostly one nobody has heard."""
    if rng.random() < 0.2:
        return rng.choice(BOX)
    return f"{rng.choice(_FIRST)} {rng.choice(_SECOND)}"


def aloud(text: str, rng: Random) -> str:
    """Return a typed or spoken line in words as it is said: lower case, no marks but apostrophes."""
    line = text.lower().replace("\u2019", "'").replace("&", " and ").replace("+", " and ")
    line = line.replace("%", " percent ").replace("°c", " degrees ").replace("°", " degrees ")
    line = (
        _CLOCK.sub(lambda m: f" {number_words(m[1])} {_minutes(m[2])} ", line)
        if ":" in line
        else line
    )
    line = re.sub(r"(?<=\d),(?=\d{3}\b)", "", line)
    line = _GLUED.sub(r"\1 ", line).replace("/", " ").replace("-", " ")
    line = re.sub(
        r"(\d+)\.(\d+)", lambda m: f" {number_words(m[1])} point {_figures(m[2], rng)} ", line
    )
    line = re.sub(r"\b(\d+)(st|nd|rd|th)\b", lambda m: number_words(m[1], "ordinal"), line)
    line = re.sub(r"\d+", lambda m: f" {_number(m[0], rng)} ", line)
    line = re.sub(r"(^|\s)'+|'+(\s|$)", " ", re.sub(r"[^a-z' ]", " ", _plain_letters(line)))
    return " ".join(SHORT.get(word, word) for word in line.split())


def number_words(figures: str, to: str = "cardinal") -> str:
    """Return a whole number in words."""
    return str(num2words(int(figures), to=to)).replace(",", "").replace("-", " ")


def _number(figures: str, rng: Random) -> str:
    if len(figures) > 4 or (len(figures) == 4 and rng.random() < 0.4):
        return _figures(figures, rng)
    words = number_words(figures)
    return words.replace(" and ", " ") if rng.random() < 0.4 else words


def _figures(figures: str, rng: Random) -> str:
    zero = rng.choice(("zero", "oh"))
    return " ".join(zero if figure == "0" else number_words(figure) for figure in figures)


def _minutes(figures: str) -> str:
    return (
        "o'clock"
        if figures == "00"
        else f"oh {figures[1]}"
        if figures[0] == "0"
        else number_words(figures)
    )


def _plain_letters(text: str) -> str:
    import unicodedata

    parted = unicodedata.normalize("NFKD", text.replace("ø", "o").replace("ß", "ss"))
    return "".join(c for c in parted if not unicodedata.combining(c))
