"""The strict reader of typed quantities: a number, an optional unit from a given list, feet and inches.

Nothing typed by a person ever reaches a units library. Numbers have a decimal point; where the company writes a comma,
`crewlog.quantities.decimal_comma` says first what stands for what.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction

from crewlog.quantities.decimal_comma import CommaTextError, with_point

LONGEST_TEXT = 40
DENOMINATORS = {2, 3, 4, 8, 16, 32, 64}
SUPERSCRIPTS = "²³"
VULGAR_FRACTIONS = {"¼": "1/4", "½": "1/2", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}

NUMBER = r"(?:\d+(?:\.\d+)?|\.\d+)"
FRACTION = r"\d+/\d+"
MIXED = rf"\d+[ -]{FRACTION}"
AMOUNT = rf"(?:{MIXED}|{FRACTION}|{NUMBER})"
FEET_AND_INCHES = re.compile(
    rf"(?P<feet>{NUMBER}) ?(?:ft|feet|foot|') ?(?P<inches>{AMOUNT}) ?(?:inches|inch|in|\")", re.ASCII | re.IGNORECASE
)
FEET_THEN_NUMBER = re.compile(rf"({NUMBER}) ?(?:ft|feet|foot|') ?({AMOUNT})", re.ASCII | re.IGNORECASE)
AMOUNT_FIRST = re.compile(rf"(?P<amount>{AMOUNT})(?P<rest>.*)", re.ASCII | re.DOTALL)
GROUPS_OF_THREE = re.compile(r"[1-9]\d{0,2}([, '])\d{3}(?:\1\d{3})*(?:\.\d+)?", re.ASCII)
EXPONENT = re.compile(rf"({NUMBER})[eE]([+-]?\d+)", re.ASCII)
NOT_A_NUMBER = re.compile(r"[+-]?(nan|inf|infinity)\b", re.IGNORECASE)


class QuantityTextError(ValueError):
    """Text that is no quantity of the kind asked for; the message says what would be right."""

    def __init__(self, code: str, message: str) -> None:
        super().__init__(message)
        self.code = code
        self.message = message


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """What one box understands.

    `spellings` maps each accepted spelling to the unit's symbol; `default` is the unit of a bare number ("" where
    the kind has no unit); `asked_back` maps a spelling that is never guessed to the question it raises.
    """

    spellings: Mapping[str, str]
    default: str
    example: str
    fractions: bool = False
    feet_and_inches: bool = False
    asked_back: Mapping[str, str] = field(default_factory=dict)

    def unit(self, text: str) -> str | None:
        """Symbol of the unit spelled `text`, the exact spelling first, then without regard to case; else None."""
        if text in self.spellings:
            return self.spellings[text]
        folded = {symbol for spelling, symbol in self.spellings.items() if spelling.casefold() == text.casefold()}
        return folded.pop() if len(folded) == 1 else None

    def symbols(self) -> str:
        return ", ".join(dict.fromkeys(symbol for symbol in self.spellings.values() if symbol))


@dataclass(frozen=True, slots=True)
class Term:
    amount: Fraction
    unit: str


@dataclass(frozen=True, slots=True)
class TypedQuantity:
    """The text as typed and what it says: a sign and one term, or feet and inches as two."""

    text: str
    negative: bool
    terms: tuple[Term, ...]
    bare: bool


def parse_quantity_text(text: str, vocabulary: Vocabulary, *, comma: bool = False) -> TypedQuantity:
    """Read one typed quantity, with a decimal comma where `comma` is true.

    Raises QuantityTextError for anything it does not understand completely.
    """
    if comma:
        vocabulary = replace(vocabulary, example=vocabulary.example.replace(".", ","))
    if len(text) > LONGEST_TEXT:
        raise QuantityTextError("too-long", f"Write at most {LONGEST_TEXT} characters, such as {vocabulary.example}.")
    clean = _normalised(text)
    if not clean:
        raise QuantityTextError("empty", f"Write a number, such as {vocabulary.example}.")
    _refuse_foreign_characters(clean, vocabulary)
    if comma:
        clean = _without_comma_style(clean)
    _refuse_other_notations(clean, vocabulary)
    negative, body = _split_sign(clean)
    terms, bare = _terms(body, vocabulary)
    return TypedQuantity(text=text.strip(), negative=negative, terms=terms, bare=bare)


def _without_comma_style(clean: str) -> str:
    try:
        return with_point(clean)
    except CommaTextError as error:
        raise QuantityTextError(error.code, error.message) from None


def is_bare_number(text: str, *, comma: bool = False) -> bool:
    """Whether the text is a plain decimal number with no unit, so that its unit is the one shown beside the box."""
    plain = _normalised(text)
    if comma:
        plain = plain.replace(",", ".", 1)
    return re.fullmatch(rf"-?{NUMBER}", plain, re.ASCII) is not None


def _normalised(text: str) -> str:
    """One kind of space, quote and minus; no spaces about a slash."""
    spaced = re.sub(r"[ \t\r\n\u00a0\u2009\u202f]+", " ", text).strip(" ")
    for found, plain in (("−", "-"), ("′", "'"), ("’", "'"), ("″", '"'), ("”", '"')):
        spaced = spaced.replace(found, plain)
    spaced = spaced.replace("''", '"')
    return re.sub(r" ?/ ?", "/", spaced)


def _refuse_foreign_characters(clean: str, vocabulary: Vocabulary) -> None:
    for character in clean:
        if character in VULGAR_FRACTIONS:
            raise QuantityTextError("foreign-digits", f"Write {VULGAR_FRACTIONS[character]} for {character}.")
        if character.isnumeric() and not character.isascii() and character not in SUPERSCRIPTS:
            raise QuantityTextError("foreign-digits", f"Write the digits as 0 to 9, such as {vocabulary.example}.")
        if not character.isprintable():
            raise QuantityTextError("not-a-number", f"Write a plain number, such as {vocabulary.example}.")


def _refuse_other_notations(clean: str, vocabulary: Vocabulary) -> None:
    """Separators, decimal commas and programmers' notations, each with the reading that would be right."""
    unsigned = clean.lstrip("+-")
    if NOT_A_NUMBER.match(clean):
        raise QuantityTextError("not-a-number", f"Write a number, such as {vocabulary.example}.")
    if re.match(r"0[xob]", unsigned, re.IGNORECASE):
        raise QuantityTextError("not-decimal", f"Write a decimal number, such as {vocabulary.example}.")
    if "_" in clean:
        plain = re.match(r"\d[\d_]*", unsigned, re.ASCII)
        cure = f"Write {plain.group().replace('_', '')} without the underscore." if plain else "Write no underscore."
        raise QuantityTextError("underscore", cure)
    if exponent := EXPONENT.match(unsigned):
        raise QuantityTextError("exponent", _without_exponent(exponent.group(1), int(exponent.group(2)), vocabulary))
    if "," in clean:
        raise QuantityTextError("comma", _without_comma(unsigned, vocabulary))
    if grouped := GROUPS_OF_THREE.match(unsigned):
        plain_number = grouped.group().replace(grouped.group(1), "")
        raise QuantityTextError("separator", f"Write {plain_number} without the separator.")


def _without_exponent(digits: str, power: int, vocabulary: Vocabulary) -> str:
    if abs(power) > 6:
        return f"Write the number in full, such as {vocabulary.example}."
    return f"Write {_decimal_text(Fraction(digits) * Fraction(10) ** power)} in full, without an exponent."


def _without_comma(unsigned: str, vocabulary: Vocabulary) -> str:
    """What to write for a number with commas: three digits after one could be either, so both readings are given."""
    found = re.match(r"[\d.,]+", unsigned, re.ASCII)
    number = found.group().strip(".,") if found else ""
    if GROUPS_OF_THREE.fullmatch(number):
        plain = number.replace(",", "")
        if number.count(",") == 1 and "." not in number:
            return f"Write {plain} without the separator, or {number.replace(',', '.')} with a point."
        return f"Write {plain} without the separator."
    if re.fullmatch(r"\d+,\d+", number, re.ASCII):
        return f"Write {number.replace(',', '.')} with a point."
    if re.fullmatch(r"\d{1,3}(?:\.\d{3})+,\d+", number, re.ASCII):
        return f"Write {number.replace('.', '').replace(',', '.')} with a point and no separator."
    return f"Write the number with a point and no comma, such as {vocabulary.example}."


def _decimal_text(value: Fraction) -> str:
    """A terminating decimal without an exponent."""
    text = f"{float(value):.12f}".rstrip("0").rstrip(".")
    return text or "0"


def _split_sign(clean: str) -> tuple[bool, str]:
    if clean.startswith("+"):
        raise QuantityTextError("plus-sign", "Write the number without a plus sign.")
    negative = clean.startswith("-")
    return negative, clean[1:].lstrip(" ") if negative else clean


def _terms(body: str, vocabulary: Vocabulary) -> tuple[tuple[Term, ...], bool]:
    if vocabulary.feet_and_inches:
        if pair := FEET_AND_INCHES.fullmatch(body):
            return _feet_and_inches(pair.group("feet"), pair.group("inches")), False
        if pair := FEET_THEN_NUMBER.fullmatch(body):
            raise QuantityTextError("inches-mark", f"Write the inches with their mark: {pair[1]} ft {pair[2]} in.")
    found = AMOUNT_FIRST.fullmatch(body)
    if not found:
        raise QuantityTextError("not-a-number", f"Write the number first, such as {vocabulary.example}.")
    amount, rest = found.group("amount"), found.group("rest").strip(" ")
    unit = _unit(rest, vocabulary)
    if "/" in amount:
        _check_fraction_allowed(unit, vocabulary, bare=not rest)
    return (Term(_amount(amount), unit),), not rest


def _unit(rest: str, vocabulary: Vocabulary) -> str:
    if not rest:
        return vocabulary.default
    for spelling, question in vocabulary.asked_back.items():
        # an upper-case T is asked back while t is not, so single letters keep their case
        if rest == spelling or (len(spelling) > 1 and rest.casefold() == spelling):
            raise QuantityTextError("which-ton", question)
    if (unit := vocabulary.unit(rest)) is not None:
        return unit
    if re.fullmatch(r"\.", rest):
        raise QuantityTextError("not-a-number", "Write a digit after the point, or no point.")
    words = re.findall(r"[^\s\d.]+", rest)
    if re.search(r"[ .]\d|^\d", rest) or (len(words) > 1 and all(vocabulary.unit(word) for word in words)):
        raise QuantityTextError("two-quantities", f"Write one number and one unit, such as {vocabulary.example}.")
    known = vocabulary.symbols()
    cure = f"Write the unit as {known}." if known else f"Write the number alone, such as {vocabulary.example}."
    raise QuantityTextError("unknown-unit", f"“{rest}” is no unit here. {cure}")


def _check_fraction_allowed(unit: str, vocabulary: Vocabulary, *, bare: bool) -> None:
    if not vocabulary.fractions:
        raise QuantityTextError("fraction", f"Write it as a decimal number, such as {vocabulary.example}.")
    if bare and unit != "in":
        raise QuantityTextError("fraction", "Write the unit after a fraction, such as 5/8 in.")


def _feet_and_inches(feet: str, inches: str) -> tuple[Term, ...]:
    whole_feet, some_inches = _amount(feet), _amount(inches)
    if whole_feet.denominator != 1:
        raise QuantityTextError("feet-and-inches", "Write whole feet before inches, such as 12 ft 6 in.")
    if some_inches >= 12:
        raise QuantityTextError("feet-and-inches", "Write fewer than 12 inches after feet, such as 12 ft 6 in.")
    return Term(whole_feet, "ft"), Term(some_inches, "in")


def _amount(text: str) -> Fraction:
    """Exact value of a number, a proper fraction or a whole number with one ("1 1/2", "1-1/2")."""
    if "/" not in text:
        return Fraction(text)
    *whole, fraction = re.split(r"[ -]", text)
    numerator, denominator = (int(part) for part in fraction.split("/"))
    if denominator not in DENOMINATORS:
        raise QuantityTextError("fraction", "Write halves, thirds, quarters, 8ths, 16ths, 32nds or 64ths.")
    if not 0 < numerator < denominator:
        raise QuantityTextError("fraction", "Write a fraction smaller than one, such as 1 1/2 for 3/2.")
    return (int(whole[0]) if whole else 0) + Fraction(numerator, denominator)
