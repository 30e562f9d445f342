"""What a column of a stem or a plan is called in a sentence, and a refusal's codes in words."""

from django.db.models import Model

from jobs.mechanics.codes import find_code
from jobs.mechanics.roles import find_role, role_title

UNIT_ENDINGS = ("_m_s", "_deg", "_m", "_n", "_ratio", "_kg")


def without_unit(name: str) -> str:
    """A field's name without its unit: "gust_m_s" is gust."""
    for ending in UNIT_ENDINGS:
        if name.endswith(ending):
            return name.removesuffix(ending)
    return name


def field_words(row: Model, name: str) -> str:
    """A column's own words; one that was given none is called by its name, without its unit."""
    said = str(row._meta.get_field(name).verbose_name)  # type: ignore[union-attr]
    return without_unit(name).replace("_", " ") if said == name.replace("_", " ") else said


def codes_words(codes: str) -> str:
    """Codes as people say them: "unfit:fixed_block, hinge-thin" is "fixed block unfit; hinge is thin"."""
    return "; ".join(code_words(code) for code in codes.split(", ") if code)


def code_words(full_code: str) -> str:
    """One code in words, after the position, place, person or item it is about."""
    name, _, subject = full_code.partition(":")
    code = find_code(full_code)
    title = f"{code.title[:1].lower()}{code.title[1:]}" if code is not None else name.replace("-", " ")
    if not subject:
        return title
    if find_role(subject) is not None:
        subject = role_title(subject)
        subject = f"{subject[:1].lower()}{subject[1:]}"
    return f"{subject.replace('_', ' ')}: {title}"
