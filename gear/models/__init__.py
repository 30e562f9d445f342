"""Gear, its examinations, events and end."""

from gear.models.assembly import PartChange
from gear.models.event import GearEvent, Recall
from gear.models.inspection import Inspection
from gear.models.item import GearItem
from gear.models.retirement import Disposal, Retirement
from gear.models.scheme import InspectionScheme, SchemeRule

__all__ = [
    "Disposal",
    "GearEvent",
    "GearItem",
    "Inspection",
    "InspectionScheme",
    "PartChange",
    "Recall",
    "Retirement",
    "SchemeRule",
]
