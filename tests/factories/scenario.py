"""Shorthands around the passing sheet: read it afresh, change one thing in it, look at what refuses it."""

from gear.models import GearItem
from gear.register.editable import EDITABLE
from jobs.models import CrownPart, Place, PullPlan, Sheet, Stem, StemSection
from jobs.plans.data import PlanData
from jobs.sheets.check import check_sheet
from tests.factories.gear import on_record
from tests.factories.jobs import PLACES, SECTIONS, PlanFactory

REDIRECT = {"line": "pull", "number": 1, "distance_m": 20.0, "azimuth_deg": 90.0, "slope_deg": 0.0, "height_m": 0.5}


def unsaved_plan_data(*, crown=True, sections=SECTIONS, redirects=(), hazards=(), **changes):
    """A complete plan as a form holds it while typing; `stem__NAME` and plan fields change it. No row is saved."""
    plan = PlanFactory.build(complete=True, **changes)
    places = [Place(plan=plan, place=name, distance_m=d, azimuth_deg=a) for name, d, a in PLACES]
    cutter = Place(plan=plan, place="cutter", distance_m=1.2, azimuth_deg=240.0, escape_route="back and right")
    return PlanData(
        job=plan.stem.job,
        stem=plan.stem,
        plan=plan,
        sections=tuple(StemSection(stem=plan.stem, height_m=h, diameter_m=d) for h, d in sections),
        crown_parts=(CrownPart(stem=plan.stem, mass_kg=40.0, height_m=11.0, frontal_area_m2=2.0),) if crown else (),
        places=(*places, cutter),
        redirects=tuple(redirects),
        hazards=tuple(hazards),
    )


def fresh(sheet):
    """The sheet as a request reads it."""
    return Sheet.objects.with_stem().get(pk=sheet.pk)


def checked(sheet):
    return check_sheet(fresh(sheet))


def codes(sheet):
    """Whole codes of everything that refuses a sheet."""
    return {finding.full_code for finding in checked(sheet).refusals}


def refusal(sheet, full_code):
    """The one refusal with this code."""
    (found,) = [f for f in checked(sheet).refusals if f.full_code == full_code]
    return found


def item_in(sheet, role):
    return GearItem.objects.get(assignments__sheet=sheet, assignments__role=role, assignments__rank=0)


def edit_item(sheet, role, **values):
    item = item_in(sheet, role)
    facts = {name: value for name, value in values.items() if name in EDITABLE}
    if facts:
        on_record([item], **facts)
    if values.keys() - facts.keys():
        GearItem.objects.filter(pk=item.pk).update(**{n: v for n, v in values.items() if n not in facts})


def edit_plan(sheet, **values):
    PullPlan.objects.filter(stem=sheet.stem_id).update(**values)


def edit_stem(sheet, **values):
    Stem.objects.filter(pk=sheet.stem_id).update(**values)
