"""The trials of many writers. Each returns its figures, and in `wrong` every sentence that should not be true."""

import copy
import datetime as dt
import random
import time
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from crewlog.errors import RuleBroken
from crewlog.evidence import canonical_json, verify
from crewlog.models import Company, Role, Skill
from crewlog.stale import Opened, StaleEdit
from gear.events.services import take_out_of_use
from gear.fitness.facts import item_fitness
from gear.models import GearItem
from jobs.errors import SheetRefused
from jobs.models import Assignment, Duty, IssuedSheet, PlanRevision, PullPlan, Sheet, SheetWithdrawal, Stem
from jobs.models.shown_values import PLAN_NAMES, plan_values
from jobs.plans.calculation import calculate
from jobs.plans.data import load_plan_data
from jobs.plans.forms import shown_beside
from jobs.plans.request_json import request_json
from jobs.plans.services import save_and_keep, save_plan
from jobs.sheets.assign import assign_item, clear_position
from jobs.sheets.bookings import competing_assignments
from jobs.sheets.dependents import assignments_in_force
from jobs.sheets.emergency import EVERYTHING
from jobs.sheets.services import issue_sheet, withdraw_sheet
from tests.factories.crewlog import CompanyFactory, CompetenceFactory, MembershipFactory
from tests.factories.gear import ItemFactory
from tests.factories.jobs import (
    GEAR,
    HOSTS,
    PEOPLE,
    AnchorFactory,
    JobFactory,
    PlanFactory,
    SheetFactory,
    give_duty,
    hang,
)
from tests.given import Given
from tests.trials.at_once import Outcome, at_once

PLACE = "moving_block"
FIRST_DAY = dt.date(2026, 12, 1)
PATIENCE_S = 120
KEPT = 12
Figures = dict[str, Any]


def company_for(trial: str) -> Company:
    company: Company = CompanyFactory(name=f"Trial of {trial}")
    return company


def member_of(company: Company, role: Role, name: str) -> Any:
    return MembershipFactory(company=company, role=role, person__name=name, person__company=company)


def own_sheet(company: Company, number: int, *, day: dt.date) -> tuple[Sheet, Any]:
    """A draft that nothing refuses, with gear, people and a lead of its own."""
    lead = member_of(company, Role.CREW_LEAD, f"Lead {number}")
    job = JobFactory(company=company, lead=lead.person, reference=f"T{number}", first_day=day, last_day=day)
    plan = PlanFactory(complete=True, stem__job=job, stem__label=str(number))
    sheet = SheetFactory(stem=plan.stem, day=day)
    for role, (fields, _) in GEAR.items():
        hang(sheet, role, tag=f"{fields.get('tag', role)}.{number}")
    for role in ("anchor", "bollard_anchor"):
        Assignment.objects.create(sheet=sheet, role=role, anchor=AnchorFactory(job=job))
    for name, duty, skill in PEOPLE:
        give_duty(sheet, f"{name} {number}", duty, skill)
    aider = Duty.objects.get(sheet=sheet, duty="lookout").person
    CompetenceFactory(person=aider, skill=Skill.FIRST_AID)
    Duty.objects.create(sheet=sheet, duty="first_aider", person=aider)
    return sheet, lead


def errors_in(outcomes: list[Outcome]) -> list[str]:
    return [
        f"writer {outcome.writer} broke: {outcome.error.strip().splitlines()[-1]}"
        for outcome in outcomes
        if outcome.error
    ]


def chain_faults(company: Company) -> list[str]:
    verdict = verify(company)
    return [] if verdict.holds else [f"the chain is broken: {verdict.fault}"]


# booking


def try_booking(writers: int) -> Figures:
    """The same item on sheets of different leads of one day: one is issued, the rest are double-booked."""
    company = company_for("booking")
    sheets = [own_sheet(company, number, day=FIRST_DAY) for number in range(writers)]
    wanted = ItemFactory(company=company, **{**GEAR[PLACE][0], **HOSTS.get(PLACE, {}), "tag": "WANTED"})
    outcomes = at_once(writers, lambda number: book(*sheets[number], wanted))
    answers = [outcome.words for outcome in outcomes if not outcome.error]
    won = [answer for answer in answers if answer["issued"]]
    standing = Assignment.objects.filter(item=wanted, sheet__in=Sheet.objects.standing(), rank=0).count()
    wrong = errors_in(outcomes) + chain_faults(company)
    if (len(won), standing) != (1, 1):
        wrong.append(f"{len(won)} were told that their sheet is issued, {standing} stand")
    others = {code for answer in answers for code in answer["codes"]} - {f"double-booked:{PLACE}", "changed-meanwhile"}
    if others:
        wrong.append(f"refused for something else: {sorted(others)}")
    last = [answer["codes"][-1] for answer in answers if not answer["issued"]]
    if any(code != f"double-booked:{PLACE}" for code in last):
        wrong.append("somebody gave up without being double-booked")
    refusals = sum(len(answer["codes"]) for answer in answers)
    return {"issued": len(won), "double_booked": len(last), "refusals": refusals, "wrong": wrong}


def book(sheet: Sheet, lead: Any, wanted: GearItem) -> dict[str, Any]:
    """Hang the item and issue; give way to an earlier sheet that plans with it, until one of all is issued."""
    actor, codes, until = lead, [], time.monotonic() + PATIENCE_S
    own = GearItem.objects.get(assignments__sheet=sheet, assignments__role=PLACE)
    while time.monotonic() < until:
        is_taken = any(hasattr(other.sheet, "issue") for other in competing_assignments(sheet, [wanted.pk]))
        assign_item(actor=actor, sheet=sheet, role=PLACE, item=wanted)
        try:
            issue_sheet(actor=actor, sheet=sheet, looked_at=EVERYTHING)
            return {"issued": True, "codes": codes}
        except SheetRefused as refused:
            codes += [finding.full_code for finding in refused.findings]
        if is_taken:
            return {"issued": False, "codes": codes}
        if any(other.sheet_id < sheet.pk for other in competing_assignments(sheet, [wanted.pk])):
            clear_position(actor=actor, sheet=sheet, role=PLACE)
            assign_item(actor=actor, sheet=sheet, role=PLACE, item=own)
            wait_for_an_issue(sheet, wanted, until)
        else:
            time.sleep(random.uniform(0.1, 0.5))
    return {"issued": False, "codes": [*codes, "nobody could issue"]}


def wait_for_an_issue(sheet: Sheet, wanted: GearItem, until: float) -> None:
    while time.monotonic() < until:
        others = competing_assignments(sheet, [wanted.pk])
        if any(hasattr(other.sheet, "issue") for other in others) or not others:
            return
        time.sleep(random.uniform(0.2, 0.6))


# withdrawal against issue


def try_withdrawal(writers: int) -> Figures:
    """An item goes out of use while sheets of different days that list it are issued: none of them stands after."""
    company = company_for("withdrawal")
    owner = member_of(company, Role.OWNER, "Owner")
    item = ItemFactory(company=company, **{**GEAR[PLACE][0], **HOSTS.get(PLACE, {}), "tag": "SHARED"})
    sheets = [own_sheet(company, number, day=FIRST_DAY + dt.timedelta(days=number)) for number in range(writers)]
    for sheet, lead in sheets:
        assign_item(actor=lead, sheet=sheet, role=PLACE, item=item)

    def work(number: int) -> str:
        if number == writers:
            return withdraw_one(owner, item, 1)
        return issue_one(*sheets[number], item, waits=number % 2 == 1)

    outcomes = at_once(writers + 1, work)
    answers = [outcome.words for outcome in outcomes if not outcome.error]
    wrong = errors_in(outcomes) + chain_faults(company)
    item.refresh_from_db()
    in_force = assignments_in_force(company).filter(item=item).count()
    if not item_fitness(item, FIRST_DAY):
        wrong.append("the item is still fit")
    if in_force:
        wrong.append(f"{in_force} sheets in force list an item that is out of use")
    issued = answers.count("issued")
    stored = IssuedSheet.objects.filter(sheet__in=[sheet.pk for sheet, _ in sheets]).count()
    withdrawn = Sheet.objects.filter(withdrawals__item=item).count()
    if not issued == stored == withdrawn:
        wrong.append(f"{issued} were told issued, {stored} are stored, {withdrawn} are withdrawn")
    others = {
        answer for answer in answers if answer not in ("issued", "out of use", f"unfit:{PLACE}", "changed-meanwhile")
    }
    if others:
        wrong.append(f"refused for something else: {sorted(others)}")
    return {"issued_then_withdrawn": issued, "refused": writers - issued, "in_force": in_force, "wrong": wrong}


def issues_of(item: GearItem) -> int:
    return Assignment.objects.filter(item=item, sheet__issue__isnull=False).count()


def withdraw_one(owner: Any, item: GearItem, after: int) -> str:
    """Take the item out of use once some of the sheets are issued."""
    until = time.monotonic() + PATIENCE_S
    while issues_of(item) < after and time.monotonic() < until:
        time.sleep(0.02)
    take_out_of_use(actor=owner, item=GearItem.objects.get(pk=item.pk), because="Gate does not close")
    return "out of use"


def issue_one(sheet: Sheet, lead: Any, item: GearItem, *, waits: bool) -> str:
    """Issue a sheet; half of them begin once the first is issued, so that the withdrawal comes in between."""
    until = time.monotonic() + PATIENCE_S
    while waits and not issues_of(item) and time.monotonic() < until:
        time.sleep(0.05)
    try:
        issue_sheet(actor=lead, sheet=sheet, looked_at=EVERYTHING)
    except SheetRefused as refused:
        return sorted(finding.full_code for finding in refused.findings)[-1]
    return "issued"


# withdrawing


def try_withdrawing(writers: int) -> Figures:
    """All withdraw one sheet while an item on it goes out of use: it is withdrawn once, who comes later is told."""
    company = company_for("withdrawing")
    owner = member_of(company, Role.OWNER, "Owner")
    sheet, lead = own_sheet(company, 0, day=FIRST_DAY)
    issue_sheet(actor=lead, sheet=sheet, looked_at=EVERYTHING)
    item = GearItem.objects.get(assignments__sheet=sheet, assignments__role=PLACE)

    def work(number: int) -> str:
        return withdraw_one(owner, item, 1) if number == writers else withdraw_as(owner if number else lead, sheet)

    outcomes = at_once(writers + 1, work)
    answers = [outcome.words for outcome in outcomes if not outcome.error]
    wrong = errors_in(outcomes) + chain_faults(company)
    stored = list(SheetWithdrawal.objects.filter(sheet=sheet))
    chosen = [row for row in stored if row.item_id is None]
    if len(stored) != 1 or answers.count("withdrawn") != len(chosen):
        wrong.append(f"{answers.count('withdrawn')} were told that they withdrew it, {len(stored)} are stored")
    told = answers.count("withdrawn-already")
    if told + len(chosen) != writers:
        wrong.append(f"somebody was told something else: {sorted(answers)}")
    return {"withdrawals": len(stored), "chosen": len(chosen), "told_of_another": told, "wrong": wrong}


def withdraw_as(actor: Any, sheet: Sheet) -> str:
    try:
        withdraw_sheet(actor=actor, sheet=Sheet.objects.with_stem().get(pk=sheet.pk), reason="Wind got up")
    except RuleBroken as fault:
        return fault.code
    return "withdrawn"


# one plan


FIELDS = (
    "hinge_height_m",
    "notch_depth_ratio",
    "notch_opening_deg",
    "hinge_thickness_m",
    "attach_height_m",
    "anchor_distance_m",
    "anchor_azimuth_deg",
    "anchor_slope_deg",
    "anchor_height_m",
    "gust_m_s",
    "extended_length_m",
    "setback_m",
    "slack_m",
    "attach_tolerance_m",
    "anchor_tolerance_m",
    "gust_tolerance_m_s",
)


def try_plan(writers: int) -> Figures:
    """Each saver opened the same plan and changes a field of their own: every loser is told, no change is lost."""
    company = company_for("one plan")
    plan = PlanFactory(complete=True, stem__job=JobFactory(company=company))
    savers = [member_of(company, Role.CREW_LEAD, f"Saver {number}") for number in range(writers)]
    shown = plan_values(PullPlan.objects.get(pk=plan.pk))
    wanted = {FIELDS[number % len(FIELDS)]: 0.01 * (number + 1) for number in range(writers)}
    outcomes = at_once(
        writers, lambda number: save_one(plan.stem_id, savers[number], shown, *list(wanted.items())[number])
    )
    answers = [outcome.words for outcome in outcomes if not outcome.error]
    wrong = errors_in(outcomes) + chain_faults(company)
    stored = plan_values(PullPlan.objects.get(pk=plan.pk))
    expected = {name: figure(shown, name) + step for name, step in wanted.items()}
    lost = [name for name, value in expected.items() if stored[name] != value]
    if lost:
        wrong.append(f"saved and lost: {lost}")
    moved = [name for name in shown if name not in expected and stored[name] != shown[name]]
    if moved:
        wrong.append(f"changed by nobody: {moved}")
    first = sum(1 for told in answers if not told)
    if first != 1:
        wrong.append(f"{first} saved without being told of another")
    return {"saved": len(answers), "told_of_another": sum(answers), "at_the_first_try": first, "wrong": wrong}


def figure(shown: Mapping[str, object], name: str) -> float:
    """A figure of a plan; nought where it is not answered."""
    value = shown[name] or 0.0
    assert isinstance(value, float), name
    return value


def save_one(stem_id: int, saver: Any, shown: Given, name: str, step: float) -> int:
    """Save the whole form with one field changed; how often another's save had to be looked at first."""
    mine = {**shown, name: figure(shown, name) + step}
    opened, told = Opened.now(f"plan:{stem_id}", shown), 0
    while True:
        facts = {key: value for key, value in mine.items() if key not in ("redirects", "places")}
        try:
            save_plan(actor=saver, stem=Stem.objects.get(pk=stem_id), facts=facts, opened=opened)
        except StaleEdit as stale:
            told += 1
            chosen = {row.name: "mine" if row.name == name else "theirs" for row in stale.differences}
            again = stale.opened
            mine = {**mine, **{row.name: row.theirs for row in stale.differences if row.name != name}}
            opened = Opened(about=again.about, values=again.values, at=again.at, asked=again.asked, choices=chosen)
        else:
            return told


# keeping a revision


def try_keeping(writers: int) -> Figures:
    """One keeps revisions while the others save: each revision holds what its keeper had before them."""
    company = company_for("keeping")
    plan = PlanFactory(complete=True, stem__job=JobFactory(company=company))
    people = [member_of(company, Role.CREW_LEAD, f"Keeper {number}") for number in range(writers)]

    def work(number: int) -> tuple[int, int, int]:
        return keep_all(plan.stem_id, people[0]) if number == 0 else save_some(plan.stem_id, people[number])

    outcomes = at_once(writers, work)
    wrong = errors_in(outcomes) + chain_faults(company)
    kept, told, others = outcomes[0].words or (0, 0, 0)
    if others:
        wrong.append(f"{others} revisions hold what somebody else saved")
    if PlanRevision.objects.filter(stem=plan.stem_id).count() != kept + others:
        wrong.append("a revision was kept of which nobody was told")
    return {"kept": kept, "told_of_another": told, "of_another": others, "wrong": wrong}


def keep_all(stem_id: int, keeper: Any) -> tuple[int, int, int]:
    """Keep KEPT revisions: how many hold what was shown, how often another came between, how many hold theirs."""
    kept = told = others = 0
    for number in range(KEPT):
        plan_data = load_plan_data(Stem.objects.with_plan().get(pk=stem_id))
        opened = Opened.now(f"plan:{stem_id}", shown_beside(plan_data))
        typed = replace(plan_data, plan=copy.copy(plan_data.plan))
        typed.plan.gust_m_s = 5.0 + number / 10
        facts = {name: getattr(typed.plan, name) for name in PLAN_NAMES}
        expected = canonical_json(request_json(calculate(typed).plan_input))
        try:
            row = save_and_keep(actor=keeper, stem=plan_data.stem, facts=facts, opened=opened)
        except StaleEdit:
            told += 1
        else:
            kept, others = (kept + 1, others) if row is not None and row.inputs == expected else (kept, others + 1)
    return kept, told, others


def save_some(stem_id: int, saver: Any) -> tuple[int, int, int]:
    for _ in range(KEPT):
        save_plan(actor=saver, stem=Stem.objects.get(pk=stem_id), facts={"haulers": random.randint(3, 6)})
        time.sleep(random.uniform(0.0, 0.4))
    return 0, 0, 0
