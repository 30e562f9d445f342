"""How a PDF prints the head of the chain at its foot, so that verification finds it there again."""

import re

LABEL = "Latest record code"
# "Record chain" is what PDFs kept from before print.
PRINTED = re.compile(r"(?:Recordchain|Latestrecordcode)([0-9a-f]{64})")


def head_line(head: str) -> str:
    """The line of the foot: label and the 64 hex digits of a head; empty digits where there is none."""
    return f"{LABEL} {head[:64]}"


def head_in(text: str) -> str:
    """The head that the text of a page prints, white space anywhere; empty where it prints none."""
    found = PRINTED.search("".join(text.split()))
    return found[1] if found else ""
