"""Jobs, stems, pull plans and sheets."""

from jobs.models.anchor import Anchor, AnchorKind
from jobs.models.efficiency import EfficiencyMeasurement
from jobs.models.field import DayRecord, DayResult, Reading, ReadingKind, ReadingMoment
from jobs.models.job import Hazard, HazardKind, Job, PowerLineControl
from jobs.models.plan import Place, PlanRevision, PullPlan, Redirect
from jobs.models.sheet import (
    Assignment,
    Duty,
    DutyKind,
    IssuedSheet,
    Sheet,
    SheetRefusal,
    SheetWithdrawal,
    SourceNote,
    WithdrawalSeen,
)
from jobs.models.stem import Answer, CrownPart, CrownState, Stem, StemSection

__all__ = [
    "Anchor",
    "AnchorKind",
    "Answer",
    "Assignment",
    "CrownPart",
    "CrownState",
    "DayRecord",
    "DayResult",
    "Duty",
    "DutyKind",
    "EfficiencyMeasurement",
    "Hazard",
    "HazardKind",
    "IssuedSheet",
    "Job",
    "Place",
    "PlanRevision",
    "PowerLineControl",
    "PullPlan",
    "Reading",
    "ReadingKind",
    "ReadingMoment",
    "Redirect",
    "Sheet",
    "SheetRefusal",
    "SheetWithdrawal",
    "SourceNote",
    "Stem",
    "StemSection",
    "WithdrawalSeen",
]
