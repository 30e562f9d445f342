"""What the person who makes a report says of each examination, beyond what was signed."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from crewlog.errors import RuleBroken
from gear.failures.telling import ToldOf, authority_copy_of
from gear.models import Inspection

NOW, COULD, NONE = "now", "could", "none"
DANGERS = (
    (NOW, "It is a danger to persons"),
    (COULD, "It could become a danger"),
    (NONE, "Neither: no danger to persons"),
)
WITH_DEFECT = ("remark", "out_of_use", "retire")
REPORTED_KINDS = ("thorough", "after_event")


class ReportRefused(RuleBroken):
    """The report cannot be made as asked."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Defect:
    """A defect as paragraph 8 asks for it."""

    danger: str = NONE
    part: str = ""
    could_by: dt.date | None = None
    remedy: str = ""
    risk_of_serious_injury: bool = False
    authority_copy: str = ""
    told: str = ""  # when and how the employer was told, where the examination does not say


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportRequest:
    """What a report says of one examination beyond its record: defect, first in a new place or not, tests."""

    defect: Defect = Defect()
    is_first_in_place: bool = False
    is_installed_correctly: bool = False
    tests: str = ""


def check_said(inspection: Inspection, said: ReportRequest, told: ToldOf | None) -> None:
    """Refuse a report that leaves out what the schedule asks for. `told` is on record; `field` names the box."""
    key, defect = inspection.pk, said.defect
    if inspection.verdict in ("out_of_use", "retire") and defect.danger == NONE:
        raise ReportRefused(
            "It failed, so its defect is a danger or could become one. Say which.",
            code="defect-without-danger",
            field=f"danger_{key}",
        )
    if defect.danger == NONE:
        return
    if not defect.part.strip():
        raise ReportRefused("Name the part.", code="defect-without-part", field=f"part_{key}")
    if not defect.remedy.strip():
        raise ReportRefused(
            "Say what repair, renewal or alteration it needs.", code="defect-without-remedy", field=f"remedy_{key}"
        )
    if defect.danger == COULD and defect.could_by is None:
        raise ReportRefused(
            "Give the day by which it could become a danger.", code="defect-without-day", field=f"could_by_{key}"
        )
    if defect.could_by is not None and defect.could_by < inspection.examined_on:
        raise ReportRefused(
            "The day cannot come before the examination.", code="defect-day-too-early", field=f"could_by_{key}"
        )
    if told is None and not defect.told.strip():
        raise ReportRefused(
            "The employer must be told at once of a defect that is or could become a danger. Say when and how.",
            code="employer-not-told",
            field=f"told_{key}",
        )
    if defect.risk_of_serious_injury and not (defect.authority_copy or authority_copy_of(inspection, told)).strip():
        raise ReportRefused(
            "Say when and to which authority the copy goes.", code="copy-without-authority", field=f"copy_{key}"
        )
