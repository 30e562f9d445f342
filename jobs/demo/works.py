"""The demo's jobs, built with the services: measured, planned, rigged, issued, and one withdrawn."""

import datetime as dt

from crewlog.models import Membership
from gear.events.services import record_event
from jobs.demo.rigs import ALTERNATES, ANCHORED, DUTIES, GEAR, SLING_USE, WHEN
from jobs.demo.scenario import Cast
from jobs.demo.sites import (
    ANCHORS,
    COMMUNICATION,
    EMERGENCY_DEPARTMENT,
    HAZARDS,
    JOBS,
    PLANS,
    RESCUE,
    STEMS,
)
from jobs.models import Anchor, CrownPart, Place, Redirect, Sheet, Stem, StemSection
from jobs.plans.calculation import calculate
from jobs.plans.data import load_plan_data
from jobs.plans.services import keep_revision, save_plan, save_stem
from jobs.sheets.assign import assign_anchor, assign_duty, assign_item, open_draft, set_window
from jobs.sheets.emergency import EVERYTHING
from jobs.sheets.services import issue_sheet
from jobs.sites.services import change_job, create_job, save_anchor, save_hazard

MAIN = "cottage-3"
DECAYED = "cottage-5"
DROPPED = "B-04"


def add_works(cast: Cast) -> None:
    """Five jobs: past and closed, today, tomorrow, a withdrawn sheet, and one planned for later."""
    for key in JOBS:
        add_job(cast, key)
    for key in STEMS:
        add_stem(cast, key)
    anchors = {name: add_anchor(cast, name) for name in ANCHORS}
    for key in WHEN:
        draft_sheet(cast, key, anchors)
    close_past(cast)
    for key in ("bridge-1", "winding-1"):
        keep_plan(cast, key)
        issue_sheet(actor=lead_of(cast, key), sheet=fresh(cast.sheets[key]), looked_at=EVERYTHING)
    drop_block(cast)


def lead_of(cast: Cast, key: str) -> Membership:
    """Who leads the job of a stem."""
    return lead_of_job(cast, STEMS[key]["job"])


def lead_of_job(cast: Cast, key: str) -> Membership:
    return cast.members[JOBS[key]["lead"]]


def add_job(cast: Cast, key: str) -> None:
    lead = lead_of_job(cast, key)
    facts = JOBS[key] | {
        "lead": lead.person,
        "first_day": cast.day(JOBS[key]["first_day"]),
        "last_day": cast.day(JOBS[key]["last_day"]),
        "emergency_department": EMERGENCY_DEPARTMENT,
        "rescue_plan": RESCUE,
        "communication": COMMUNICATION,
    }
    crew = [member.person for name, member in cast.members.items() if name not in ("auditor", "owner")]
    cast.jobs[key] = create_job(actor=lead, facts=facts, crew=crew)


def add_stem(cast: Cast, key: str) -> None:
    said = STEMS[key]
    job = cast.jobs[said["job"]]
    facts = said["facts"] | {
        "label": said["label"],
        "position": int(said["label"]),
        "measured_by": job.lead,
        "measured_at": cast.moment(said["measured"], 15, 10),
        "felled_on": cast.day(said["felled"]) if "felled" in said else None,
    }
    lead = lead_of(cast, key)
    stem = save_stem(
        actor=lead,
        job=job,
        facts=facts,
        sections=[StemSection(height_m=h, diameter_m=d) for h, d in said["sections"]],
        crown_parts=[
            CrownPart(mass_kg=mass, height_m=h, forward_m=forward, left_m=left, frontal_area_m2=sail)
            for mass, h, forward, left, sail in said["crown"]
        ],
    )
    cast.stems[key] = stem
    for hazard in HAZARDS.get(key, ()):
        save_hazard(actor=lead, stem=stem, facts=dict(hazard))
    if key in PLANS:
        add_plan(cast, key, stem)


def add_plan(cast: Cast, key: str, stem: Stem) -> None:
    said = PLANS[key]
    save_plan(
        actor=lead_of(cast, key),
        stem=stem,
        facts=dict(said["facts"]),
        redirects=[
            Redirect(number=n, distance_m=d, azimuth_deg=a, slope_deg=slope, height_m=h, friction_ratio=0.92)
            for n, (d, a, slope, h) in enumerate(said["redirects"], start=1)
        ],
        places=[
            Place(place=place, distance_m=d, azimuth_deg=a, escape_route=way_out)
            for place, d, a, way_out in said["places"]
        ],
    )


def add_anchor(cast: Cast, name: str) -> Anchor:
    facts = dict(ANCHORS[name])
    lead, job = lead_of_job(cast, facts["job"]), cast.jobs[facts.pop("job")]
    facts |= {
        "name": name,
        "estimated_by": job.lead,
        "estimated_at": cast.moment(-1, 16, 20),
        "sling_height_m": 0.5,
        "root_plate_checked": True,
        "decay_checked": True,
        "ground_checked": True,
    }
    return save_anchor(actor=lead, job=job, facts=facts)


def draft_sheet(cast: Cast, key: str, anchors: dict[str, Anchor]) -> None:
    lead, stem = lead_of(cast, key), cast.stems[key]
    day, starts, ends = WHEN[key]
    sheet = open_draft(actor=lead, stem=stem, day=cast.day(day))
    set_window(actor=lead, sheet=sheet, day=cast.day(day), starts_at=dt.time(*starts), ends_at=dt.time(*ends))
    for role, tag in GEAR[key].items():
        assign_item(actor=lead, sheet=sheet, role=role, item=cast.items[tag], **SLING_USE.get(role, {}))
    for role, tag in ALTERNATES.get(key, {}).items():
        assign_item(actor=lead, sheet=sheet, role=role, item=cast.items[tag], rank=1)
    for role, name in ANCHORED.get(key, {}).items():
        assign_anchor(actor=lead, sheet=sheet, role=role, anchor=anchors[name])
    for duty, person, supervisor in DUTIES.get(key, ()):
        assign_duty(
            actor=lead,
            sheet=sheet,
            duty=duty,
            person=cast.members[person].person,
            supervisor=cast.members[supervisor].person if supervisor else None,
        )
    cast.sheets[key] = sheet


def fresh(sheet: Sheet) -> Sheet:
    """The sheet as a page would read it, with its stem, job and people."""
    found: Sheet = Sheet.objects.with_stem().get(pk=sheet.pk)
    return found


def keep_plan(cast: Cast, key: str) -> None:
    """Keep the plan of a sheet as a revision, as a lead does before asking for the sheet."""
    sheet = fresh(cast.sheets[key])
    plan_data = load_plan_data(sheet.stem, sheet)
    keep_revision(actor=lead_of(cast, key), plan_data=plan_data, outcome=calculate(plan_data))


def close_past(cast: Cast) -> None:
    job = cast.jobs["basin"]
    change_job(actor=lead_of_job(cast, "basin"), job=job, facts={"closed_on": job.last_day})


def drop_block(cast: Cast) -> None:
    """A block falls after a sheet that lists it was issued: out of use at once, and the sheet with it."""
    record_event(
        actor=cast.members["cutter"],
        item=cast.items[DROPPED],
        kind="drop",
        happened_on=cast.today,
        description="Fell 7 m from the stem onto the coping",
        gear_loaded=False,
    )
