"""Text in a cell that a spreadsheet must not run as a formula, and back again. Standard library only.

A guarded text begins with an apostrophe. Only what needs it is guarded: a text that a spreadsheet would take for a
formula, one whose spaces at the ends would be lost, and one that reads as guarded itself.
"""

import re

# OWASP, CSV injection: these at the start make a spreadsheet compute; the last four are their wide forms.
STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
APOSTROPHE = "'"
# A workbook is XML 1.0: what that cannot hold is written _xHHHH_ (ECMA-376, ST_Xstring).
NOT_IN_XML = re.compile("[\x00-\x08\x0b-\x1f\ufffe\uffff]|_(?=x[0-9A-Fa-f]{4}_)")
ESCAPED = re.compile(r"_x([0-9A-Fa-f]{4})_")


def needs_guard(text: str) -> bool:
    """Whether a text has to be guarded to come back as it was."""
    while text.startswith(APOSTROPHE):
        text = text[1:]
        if text.startswith(STARTS) or text != text.strip():
            return True
    return text.startswith(STARTS) or text != text.strip()


def guarded(text: str) -> str:
    return APOSTROPHE + text if needs_guard(text) else text


def unguarded(text: str) -> str:
    """The text a cell stands for; spaces at the ends of a text that is not guarded are a slip of the hand."""
    if text.startswith(APOSTROPHE) and needs_guard(text[1:]):
        return text[1:]
    return text.strip()


def to_xml(text: str) -> str:
    return NOT_IN_XML.sub(lambda found: f"_x{ord(found[0]):04X}_", text)


def from_xml(text: str) -> str:
    return ESCAPED.sub(lambda found: chr(int(found[1], 16)), text) if "_x" in text else text
