"""Gear, its examinations, events and end."""

from gear.models.assembly import PartChange
from gear.models.class_limit import ClassLimit
from gear.models.event import GearEvent, Recall
from gear.models.fact_change import (
    ChangeAnswer,
    ChangeReason,
    ChangeSource,
    FactChange,
    FactChangeAnswer,
    FactCheck,
    FactSetting,
)
from gear.models.files import PendingUpload, StoredFile
from gear.models.inspection import Inspection
from gear.models.item import ITEM_COLUMNS, OTHER_HEADINGS, GearItem
from gear.models.listing import ColumnMapping, ListUpload
from gear.models.load import LoadRecord, LoadSource
from gear.models.mistake import EnteredByMistake
from gear.models.report import ExaminationReport, ReportedInspection
from gear.models.retirement import Disposal, Retirement
from gear.models.round import Round, RoundDraft, RoundDraftAnswer, RoundDraftItem, RoundLine, RoundPhotograph
from gear.models.scheme import InspectionScheme, SchemeRule
from gear.models.search import SearchWord

# A package of its own, whose tables are the store's like the others.
from gear.models.failure import EmployerTold, FailureFound, FailureMistaken  # isort: skip

__all__ = [
    "ITEM_COLUMNS",
    "OTHER_HEADINGS",
    "ChangeAnswer",
    "ChangeReason",
    "ChangeSource",
    "ClassLimit",
    "ColumnMapping",
    "Disposal",
    "EmployerTold",
    "EnteredByMistake",
    "ExaminationReport",
    "FactChange",
    "FactChangeAnswer",
    "FactCheck",
    "FactSetting",
    "FailureFound",
    "FailureMistaken",
    "GearEvent",
    "GearItem",
    "Inspection",
    "InspectionScheme",
    "ListUpload",
    "LoadRecord",
    "LoadSource",
    "PartChange",
    "PendingUpload",
    "Recall",
    "ReportedInspection",
    "Retirement",
    "Round",
    "RoundDraft",
    "RoundDraftAnswer",
    "RoundDraftItem",
    "RoundLine",
    "RoundPhotograph",
    "SchemeRule",
    "SearchWord",
    "StoredFile",
]
