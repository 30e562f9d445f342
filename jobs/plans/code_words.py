"""A refusal's codes in words."""

from jobs.mechanics.findings.codes import find_code
from jobs.mechanics.roles import find_role, role_title
from jobs.wording.felling import felling


def codes_words(codes: str) -> str:
    """Codes as people say them: "unfit:fixed_block, hinge-thin" is "fixed block unfit; hinge is thin"."""
    return "; ".join(code_words(code) for code in codes.split(", ") if code)


def reasons_words(codes: str, path: str) -> str:
    """Why a change was asked for: of the codes of a refusal those about the changed position, else all of them."""
    role = path.removeprefix("gear.") if path.startswith("gear.") else ""
    about = [code.partition(":")[0] for code in codes.split(", ") if role and code.partition(":")[2] == role]
    return codes_words(", ".join(about) or codes)


def code_words(full_code: str) -> str:
    """One code in words, after the position, place, person or item it is about."""
    name, _, subject = full_code.partition(":")
    code = find_code(full_code)
    title = felling(f"{code.title[:1].lower()}{code.title[1:]}") if code is not None else name.replace("-", " ")
    if not subject:
        return title
    if find_role(subject) is not None:
        subject = role_title(subject)
        subject = f"{subject[:1].lower()}{subject[1:]}"
    return f"{subject.replace('_', ' ')}: {title}"
