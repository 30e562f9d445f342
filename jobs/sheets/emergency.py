"""The four answers for an emergency, each as the sheet will print it, and what stands against an issue without them."""

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass

from crewlog.errors import RuleBroken
from crewlog.stale import Opened, StaleEdit
from jobs.models import Job
from jobs.wording.finding import Finding


@dataclass(frozen=True, slots=True)
class Look:
    """One answer: its code, how it is called, what stands on record, and the box where it is changed."""

    code: str
    label: str
    value: str
    field: str


NAMES = {
    "department": "Nearest emergency department",
    "number": "Emergency number",
    "rescue": "Rescue plan",
    "signals": "Signals, the stop signal among them",
}
EVERYTHING = frozenset(NAMES)


class NotLookedAt(RuleBroken):
    """A sheet is not issued before somebody has looked at the four answers again."""

    code = "not-looked-at-again"

    def __init__(self, missing: Collection[str]) -> None:
        self.missing = tuple(code for code in NAMES if code in missing)
        names = "; ".join(NAMES[code] for code in self.missing)
        super().__init__(f"Still to look at again: {names}.", field="looked_at")


def looks_of(job: Job) -> tuple[Look, ...]:
    """The four answers of a job. Its company must be at hand."""
    return (
        Look("department", NAMES["department"], job.emergency_department.strip(), "emergency_department"),
        Look("number", NAMES["number"], job.company.emergency_number.strip(), "emergency_number"),
        Look("rescue", NAMES["rescue"], job.rescue_plan.strip(), "rescue_plan"),
        Look("signals", NAMES["signals"], job.communication.strip(), "communication"),
    )


def answers_of(looks: Iterable[Look]) -> dict[str, str]:
    return {look.code: look.value for look in looks}


def must_be_looked_at(looked_at: Collection[str], job: Job, opened: Opened | None) -> None:
    """Raise NotLookedAt unless each of the four was looked at again, StaleEdit where what was shown is not what stands.

    `opened` None is a caller that showed them to nobody, such as a command.
    """
    missing = EVERYTHING - set(looked_at)
    if missing:
        raise NotLookedAt(missing)
    stored = answers_of(looks_of(job))
    if opened is not None and opened.values != stored:
        raise StaleEdit(opened=Opened.now(opened.about, stored))


def emergency_findings(job: Job) -> Iterator[Finding]:
    """unknown: an answer that is not there refuses, whatever is ticked."""
    for look in looks_of(job):
        if not look.value:
            yield Finding(
                code="unknown",
                subject=look.field,
                severity="refusal",
                area="site",
                title=f"Not answered: {look.label[:1].lower()}{look.label[1:]}",
                text="The sheet prints it for whoever calls for help.",
                cure="Enter it with the job." if look.code != "number" else "Enter it with the company.",
                field=look.field,
                danger=1,
            )
