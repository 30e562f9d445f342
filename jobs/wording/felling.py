"""The words of felling: the program writes the North American ones, and a British company reads its own.

Only the program's own words go through here, never what a person typed: a site called Notch Farm keeps its name.
"""

import re

from crewlog.felling_words import BRITISH, felling_words

# North American word to British word, in small letters; a capital at the front stays one.
BRITISH_WORDS = {"back cut": "felling cut", "notches": "sinks", "notch": "sink"}
_NORTH_AMERICAN = re.compile(rf"(?<![\w-])({'|'.join(BRITISH_WORDS)})(?![\w-])", re.IGNORECASE)


def felling(text: str) -> str:
    """The text in the words of felling in force; names of fields (notch_depth_ratio) and codes (notch-depth) stay."""
    return _NORTH_AMERICAN.sub(_british, text) if felling_words() == BRITISH else text


def _british(found: re.Match[str]) -> str:
    word = found.group()
    british = BRITISH_WORDS[word.lower()]
    return british[:1].upper() + british[1:] if word[:1].isupper() else british
