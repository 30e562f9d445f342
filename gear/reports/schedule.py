"""What a report of thorough examination must say, as the regulation lists it. Standard library only.

Source: The Lifting Operations and Lifting Equipment Regulations 1998, SI 1998/2307, regulation 10 and Schedule 1.
Paragraphs are named in short words of our own, except where the report has to make the statement itself.
"""

from dataclasses import dataclass

TITLE = "Lifting Operations and Lifting Equipment Regulations 1998, Schedule 1"
READ = "read in a copy"
REPRINT = "read in a reprint"
MEMORY = "from memory"


@dataclass(frozen=True, slots=True)
class Particular:
    """One particular: its paragraph, what it asks for, and how its wording is known."""

    paragraph: str
    words: str
    how_obtained: str = READ
    of_report: bool = False  # said once for the whole report, not for each item


PARTICULARS: tuple[Particular, ...] = (
    Particular("1", "Employer for whom the examination was made", of_report=True),
    Particular("2", "Premises at which it was made", of_report=True),
    Particular("3", "Identification, with date of manufacture where known"),
    Particular("4", "Last thorough examination before this one"),
    Particular("5", "Working load limit (safe working load)"),
    Particular("6(a)", "First examination after installation or assembly in a new place"),
    Particular("6(b)", "Installed correctly and fit to operate"),
    Particular("7(a)", "Within which interval or for what occasion"),
    Particular("7(b)", "Whether it may be operated"),
    Particular("8(a)", "Part with a defect that is or could become a danger, and the defect"),
    Particular("8(b)", "Repair, renewal or alteration for a defect that is a danger"),
    Particular("8(c)(i)", "Time by which another defect could become a danger"),
    Particular("8(c)(ii)", "Repair, renewal or alteration for such a defect"),
    Particular("8(d)", "Next thorough examination at the latest"),
    Particular("8(e)", "Particulars of any test", REPRINT),
    Particular("8(f)", "Date of this thorough examination", MEMORY),
    Particular("9", "Person making the report: name, address, qualifications, employer", REPRINT, of_report=True),
    Particular("10", "Person authenticating it on the author's behalf: name and address", REPRINT, of_report=True),
    Particular("11", "Date of the report", MEMORY, of_report=True),
)
WORDS: dict[str, str] = {p.paragraph: p.words for p in PARTICULARS}
OF_ITEM: tuple[str, ...] = tuple(p.paragraph for p in PARTICULARS if not p.of_report)
OF_REPORT: tuple[str, ...] = tuple(p.paragraph for p in PARTICULARS if p.of_report)

# The statements that paragraphs 6(b) and 7(b) ask for.
WOULD_BE_SAFE = "It would be safe to operate."
WOULD_NOT_BE_SAFE = "It would not be safe to operate: not to be used before the defect is remedied and it is examined."
SAFE_UNTIL = "It would be safe to operate until {day}; not after that day before the defect is remedied."
INSTALLED_CORRECTLY = "It has been installed correctly and would be safe to operate."
NOT_INSTALLED_CORRECTLY = "That cannot be said."

SIX_MONTHS = "Within an interval of 6 months: regulation 9(3)(a)(i)"
TWELVE_MONTHS = "Within an interval of 12 months: regulation 9(3)(a)(ii)"
BY_SCHEME = "In accordance with an examination scheme: regulation 9(3)(a)(iii)"
EXCEPTIONAL = "After exceptional circumstances: regulation 9(3)(a)(iv)"

TOLD = "Regulation 10(1)(a): employer told of the defect"
AUTHORITY = "Regulation 10(1)(c): copy to the enforcing authority"
MAKERS_FIRST = (
    "The maker's instructions come first: where they are stricter than a limit or a point printed here, they hold."
)
