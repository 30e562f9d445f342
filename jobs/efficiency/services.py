"""Recording pairs of readings on a tackle, and putting a measured efficiency into a plan."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from typing import Literal

from django.db import transaction

from crewlog.errors import RuleBroken
from crewlog.evidence import append_row
from crewlog.models import Membership, Role
from crewlog.people.rights import must_be_ours, require_role
from crewlog.stale import Opened
from crewlog.web.access import PLANNERS
from gear.catalogue.classes import BY_CODE, TACKLE_SET
from gear.fitness.entries import entry_for, lock, must_be_in_service
from gear.models import GearItem
from jobs.mechanics import MECHANICS_VERSION
from jobs.mechanics.defaults import CONFIDENCE
from jobs.mechanics.errors import OutOfRange, Refused
from jobs.mechanics.measured import MIN_READINGS, MeasuredResult, measured_efficiency
from jobs.mechanics.tackle import Rove
from jobs.models import EfficiencyMeasurement, PullPlan, Stem
from jobs.models.plan import EfficiencyOrigin
from jobs.models.values import Facts
from jobs.plans.services import save_plan

MEASURERS = (Role.OWNER, Role.CREW_LEAD, Role.INSPECTOR)
REFUSAL_WORDS = {
    "too-few-pairs": f"At least {MIN_READINGS} pairs read while hauling are needed. "
    "What was read while holding does not count.",
    "ma-above-ideal": "These readings give more pull than a tackle without friction would. "
    "Look at the load cell, the parts and which reading is which.",
}


@dataclass(frozen=True, slots=True)
class Pair:
    """One pair of readings [N], taken while hauling (moving) or while the tackle was held."""

    hand_n: float
    load_n: float
    state: Literal["moving", "holding"] = "moving"


def can_be_measured(item: GearItem) -> bool:
    """Whether an item names a hauling system: a tackle set, or a block that can be the moving one."""
    return item.gear_class == TACKLE_SET or "moving_block" in BY_CODE[item.gear_class].roles


@transaction.atomic
def record_efficiency_pairs(
    *,
    actor: Membership,
    item: GearItem,
    measured_on: dt.date,
    parts: int,
    rove: Rove,
    pairs: Sequence[Pair],
    load_cell: GearItem | None = None,
    load_cell_words: str = "",
    conditions: str = "",
    corrects: EfficiencyMeasurement | None = None,
    because: str = "",
    from_paper: bool = False,
) -> EfficiencyMeasurement:
    """Record a calibration as evidence. Raises RuleBroken for too few pairs, an impossible advantage, a wrong cell."""
    require_role(actor, *MEASURERS)
    lock(actor, item)
    must_be_in_service(item)
    if not can_be_measured(item):
        raise RuleBroken(f"{item.tag} is no tackle and has no efficiency.", code="not-a-tackle")
    check_load_cell(item, load_cell, load_cell_words, measured_on)
    check_correction(item, corrects, because)
    entry = replace(
        entry_for(actor, measured_on, from_paper=from_paper), corrects=corrects.record if corrects else None
    )
    row = EfficiencyMeasurement(
        item=item,
        measured_on=measured_on,
        parts=parts,
        rove=rove,
        load_cell=load_cell,
        load_cell_words=load_cell_words.strip(),
        conditions=conditions,
        because=because,
        pairs=[[pair.hand_n, pair.load_n, pair.state] for pair in pairs],
        readings_used=sum(pair.state == "moving" for pair in pairs),
        confidence=CONFIDENCE,
        mechanics_version=MECHANICS_VERSION,
        **asdict(work_out(parts, rove, pairs)),
    )
    row.validate_constraints(exclude=["record"])
    return append_row(item.company, entry, row, people=[actor.person])


def check_load_cell(item: GearItem, cell: GearItem | None, words: str, on: dt.date) -> None:
    """A cell of the store is one of this company's, in service and within its calibration on the day."""
    if cell is None:
        if not words.strip():
            raise RuleBroken("Say which load cell was read.", code="load-cell-missing", field="load_cell")
        return
    if cell.company_id != item.company_id or cell.kind != "gauge":
        raise RuleBroken("That is no load cell of this store.", code="not-a-load-cell", field="load_cell")
    if cell.retired_on is not None and cell.retired_on <= on:
        raise RuleBroken(f"{cell.tag} was retired by then.", code="load-cell-retired", field="load_cell")
    if cell.next_due_on is None or cell.next_due_on < on:
        raise RuleBroken(f"{cell.tag} was not in calibration on that day.", code="load-cell-overdue", field="load_cell")


def check_correction(item: GearItem, corrects: EfficiencyMeasurement | None, because: str) -> None:
    """A correction points at a measurement of the same item that still counts, and says what was wrong."""
    if corrects is None:
        return
    if corrects.item_id != item.pk:
        raise RuleBroken("That measurement is of another item.", code="corrects-another-item")
    if corrects.record.corrections.exists():
        raise RuleBroken("That measurement is corrected already.", code="already-corrected")
    if not because.strip():
        raise RuleBroken("Say what was wrong.", code="correction-without-reason", field="because")


def work_out(parts: int, rove: Rove, pairs: Sequence[Pair]) -> MeasuredResult:
    """Efficiency and interval from what was read while hauling, at the defaults' confidence."""
    if any(pair.hand_n <= 0 or pair.load_n <= 0 for pair in pairs):
        raise RuleBroken("A reading is more than nought.", code="reading-not-positive")
    used = [(pair.hand_n, pair.load_n) for pair in pairs if pair.state == "moving"]
    try:
        return measured_efficiency(parts, rove, used)
    except Refused as refusal:
        raise RuleBroken(REFUSAL_WORDS.get(refusal.code, refusal.message), code=refusal.code) from refusal
    except OutOfRange as error:
        raise RuleBroken(f"{error}.", code="reading-out-of-range") from error


@transaction.atomic
def take_measured_efficiency(
    *, actor: Membership, stem: Stem, measurement: EfficiencyMeasurement, opened: Opened | None = None
) -> PullPlan:
    """Put the low end of a measured interval into the plan: the crew must manage with what it surely gets.

    Raises RuleBroken where the measurement no longer counts or the plan's tackle is rove otherwise, StaleEdit where
    the plan was saved since `opened`.
    """
    require_role(actor, *PLANNERS)
    must_be_ours(actor, stem.job.company_id, "stem")
    must_be_ours(actor, measurement.record.company_id, "measurement")
    if measurement.record.corrections.exists():
        raise RuleBroken("That measurement no longer counts.", code="measurement-not-standing")
    plan = PullPlan.objects.filter(stem=stem).first()
    if plan is None or (plan.parts, plan.rove) != (measurement.parts, measurement.rove):
        raise RuleBroken("The plan's tackle is rove otherwise than the one measured.", code="rove-otherwise")
    facts: Facts = {
        "sheave_efficiency_ratio": measurement.sheave_efficiency_low,
        "sheave_efficiency_origin": EfficiencyOrigin.MEASURED,
    }
    return save_plan(actor=actor, stem=stem, facts=facts, opened=opened)
