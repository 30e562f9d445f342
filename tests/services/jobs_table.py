"""The services of jobs, plans and sheets."""

from django.utils import timezone

from crewlog.models import Role
from crewlog.web.access import COMPANY_PEOPLE, PLANNERS
from jobs.efficiency.services import MEASURERS, record_efficiency_pairs, take_measured_efficiency
from jobs.field.services import record_day, record_reading
from jobs.models import EfficiencyMeasurement
from jobs.plans.calculation import calculate
from jobs.plans.data import load_plan_data
from jobs.plans.services import keep_revision, save_and_keep, save_plan, save_stem
from jobs.sheets.assign import (
    assign_anchor,
    assign_duty,
    assign_item,
    clear_position,
    mark_not_used,
    note_source,
    open_draft,
    remove_duty,
    set_window,
)
from jobs.sheets.services import acknowledge_withdrawal, fill_from_store, issue_sheet, withdraw_sheet
from jobs.sites.services import change_job, create_job, save_anchor, save_hazard
from tests.services.tables import Service


def sheet(**more):
    return lambda w: {"sheet": w.sheet, **more}


def stem(**more):
    return lambda w: {"stem": w.sheet.stem, **more}


def job(**more):
    return lambda w: {"job": w.sheet.stem.job, **more}


def revision(w):
    plan_data = load_plan_data(w.sheet.stem, w.sheet)
    return {"plan_data": plan_data, "outcome": calculate(plan_data)}


def reading(w):
    said = {"kind": "line", "moment": "proof", "force_n": 900.0, "gauge": w.item, "read_at": timezone.now()}
    return sheet(**said)(w)


def new_job(w):
    facts = {"reference": "0900", "lead": w.members[Role.CREW_LEAD].person, "first_day": w.today, "last_day": w.today}
    return {"facts": facts}


SERVICES = (
    Service(open_draft, PLANNERS, stem()),
    Service(set_window, PLANNERS, lambda w: sheet(day=w.today, starts_at=None, ends_at=None)(w)),
    Service(assign_item, PLANNERS, lambda w: sheet(role="moving_block", item=w.item)(w)),
    Service(assign_anchor, PLANNERS, lambda w: sheet(role="anchor", anchor=w.anchor)(w)),
    Service(mark_not_used, PLANNERS, sheet(role="cleat", reason="part_of_block")),
    Service(clear_position, PLANNERS, sheet(role="cleat")),
    Service(assign_duty, PLANNERS, lambda w: sheet(duty="hauler", person=w.person)(w)),
    Service(remove_duty, PLANNERS, lambda w: {"duty": w.duty}),
    Service(note_source, PLANNERS, sheet(path="plan.gust_m_s", value="6", source="anemometer")),
    Service(
        record_efficiency_pairs,
        MEASURERS,
        lambda w: {"item": w.tackle, "measured_on": w.today, "parts": 5, "rove": "advantage", "pairs": []},
    ),
    Service(take_measured_efficiency, PLANNERS, stem(measurement=EfficiencyMeasurement())),
    Service(record_reading, COMPANY_PEOPLE, reading),
    Service(record_day, PLANNERS, sheet(result="fell", used=[])),
    Service(create_job, PLANNERS, new_job),
    Service(change_job, PLANNERS, job(facts={"notes": "x"})),
    Service(save_anchor, PLANNERS, lambda w: job(anchor=w.anchor, facts={"name": "Oak"})(w)),
    Service(save_hazard, PLANNERS, stem(facts={"description": "Towpath"})),
    Service(save_stem, PLANNERS, lambda w: job(stem=w.sheet.stem, facts={"lean_deg": 2.0})(w)),
    Service(save_plan, PLANNERS, stem(facts={"haulers": 4})),
    Service(save_and_keep, PLANNERS, stem(facts={"haulers": 4})),
    Service(keep_revision, PLANNERS, revision),
    Service(issue_sheet, PLANNERS, sheet(looked_at=())),
    Service(withdraw_sheet, PLANNERS, sheet(reason="Wind")),
    Service(acknowledge_withdrawal, COMPANY_PEOPLE, lambda w: {"withdrawal": w.withdrawal}),
    Service(fill_from_store, PLANNERS, sheet()),
)
