"""Counts in words, and the first letter of a sentence."""

NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


def number_word(count: int) -> str:
    """A count in words up to ten, in figures above."""
    return NUMBERS[count] if count < len(NUMBERS) else str(count)


def counted(count: int, one: str, many: str = "") -> str:
    """ "One person", "three people"; words up to ten, figures above."""
    return f"{number_word(count)} {one if count == 1 else many or one + 's'}"


def sentence(text: str) -> str:
    """First letter a capital, the rest untouched."""
    return text[:1].upper() + text[1:]
