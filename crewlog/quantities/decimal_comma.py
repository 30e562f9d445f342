"""The strict reader's first step where the company writes a decimal comma: the same text with a decimal point.

A point that could set off thousands is asked back, never guessed; one that could not (12.5, 0.125) is a decimal point,
which is all that some keypads offer.
"""

import re

DIGITS = re.compile(r"\d[\d.,]*|[.,]\d[\d.,]*", re.ASCII)
THOUSANDS = re.compile(r"[1-9]\d{0,2}\.\d{3}", re.ASCII)
PLAIN = re.compile(r"\d*[.,]?\d+|\d+", re.ASCII)


class CommaTextError(ValueError):
    """Digits that could be read in two ways, or in none; the message says what would be right."""

    def __init__(self, code: str, message: str) -> None:
        super().__init__(message)
        self.code = code
        self.message = message


def with_point(text: str) -> str:
    """The text with each decimal comma as a point. Raises CommaTextError for what is not plain."""
    return DIGITS.sub(lambda found: _number(found.group()), text)


def _number(digits: str) -> str:
    if THOUSANDS.fullmatch(digits):
        plain = digits.replace(".", "")
        raise CommaTextError(
            "separator", f"Write {plain} without the separator, or {digits.replace('.', ',')} with a comma."
        )
    if PLAIN.fullmatch(digits):
        return digits.replace(",", ".")
    if digits[-1] in ".,":
        raise CommaTextError("not-a-number", "Write a digit after the comma, or no comma.")
    raise CommaTextError("separator", f"Write {_plain(digits)} without a separator.")


def _plain(digits: str) -> str:
    """What was most likely meant: the last mark is the decimal one where it stands alone of its kind."""
    marks = re.sub(r"\d", "", digits, flags=re.ASCII)
    if marks.count(marks[-1]) > 1:
        return re.sub(r"[.,]", "", digits)
    whole, _, rest = digits.rpartition(marks[-1])
    return f"{re.sub(r'[.,]', '', whole)},{rest}"
