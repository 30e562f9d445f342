"""What a plan and its sheet rest on, as JSON values by path, and what changed of it in words."""

import json
from collections.abc import Mapping

from jobs.models.values import Json
from jobs.plans.data import PlanData
from jobs.plans.labels import path_words, shown
from jobs.stems.species import find_species
from jobs.wording.unit_formatter import UnitFormatter

# Inputs by path, such as "plan.gust_m_s", as JSON has them.
Inputs = Mapping[str, Json]

RATINGS = (
    "working_load_limit_n",
    "breaking_strength_n",
    "vertical_rating_n",
    "choker_rating_n",
    "basket_rating_n",
    "minor_axis_strength_n",
    "residual_strength_ratio",
    "design_factor",
    "diameter_mm",
    "length_m",
)


LEFT_OUT = {"id", "stem", "job", "measured_by", "measured_at", "felled_on", "position", "label"}


def watched_inputs(plan_data: PlanData) -> dict[str, Json]:
    """Everything a refusal can be cured by, as JSON values by path."""
    watched: dict[str, Json] = {}
    for prefix, row in (("stem", plan_data.stem), ("plan", plan_data.plan)):
        for field in row._meta.concrete_fields:
            if field.name not in LEFT_OUT:
                watched[f"{prefix}.{field.name}"] = getattr(row, field.attname)
    watched["stem.green_density_kg_m3"] = density_used(plan_data)
    watched["sections"] = [[s.height_m, s.diameter_m] for s in plan_data.sections]
    watched["crown parts"] = [
        [p.height_m, p.mass_kg, p.frontal_area_m2, p.forward_m, p.left_m] for p in plan_data.crown_parts
    ]
    for place in plan_data.places:
        watched[f"place.{place.place}"] = [place.distance_m, place.azimuth_deg, place.escape_route]
    for redirect in plan_data.redirects:
        path = f"redirect.{redirect.line}.{redirect.number}"
        watched[path] = [redirect.distance_m, redirect.azimuth_deg, redirect.slope_deg, redirect.height_m]
    for hazard in plan_data.hazards:
        watched[f"hazard.{hazard.pk}"] = [hazard.kind, hazard.distance_m, hazard.bearing_deg]
        watched[f"hazard control.{hazard.pk}"] = [hazard.power_line_control, hazard.control]
    return watched | watched_positions(plan_data)


def inputs_beside(plan_data: PlanData) -> dict[str, Json]:
    """What a plan's figures rest on besides the plan itself, as JSON values by path."""
    own = ("plan.", "place.", "redirect.")
    return as_json({path: value for path, value in watched_inputs(plan_data).items() if not path.startswith(own)})


def beside_words(before: Inputs, after: Inputs, plan_data: PlanData) -> tuple[str, ...]:
    """Each input that changed, as a sentence: "Lean: 2.0° when you opened the page, now 4.0°."."""
    write = UnitFormatter(plan_data.job.company.unit_system)
    return tuple(
        f"{path_words(path, plan_data)}: {shown(path, before.get(path), write)} when you opened the page, "
        f"now {shown(path, after.get(path), write)}."
        for path in sorted({*before, *after})
        if before.get(path) != after.get(path)
    )


def density_used(plan_data: PlanData) -> float | None:
    """The density that counts: a weighed piece's, else the species table's."""
    species = find_species(plan_data.stem.species) if plan_data.stem.species else None
    return plan_data.stem.green_density_kg_m3 or (species.green_density_kg_m3 if species else None)


def watched_positions(plan_data: PlanData) -> dict[str, Json]:
    """What hangs in each position, and the strength on record of each item and anchor."""
    watched: dict[str, Json] = {}
    for role, assignment in plan_data.in_place().items():
        item, anchor = assignment.item, assignment.anchor
        if anchor is not None:
            watched[f"anchor.{role}"] = anchor.estimate_n
            watched[f"anchor basis.{role}"] = anchor.basis
        if item is not None:
            on_record = {name: getattr(item, name) for name in RATINGS}
            watched[f"rating.{item.tag}"] = {name: value for name, value in on_record.items() if value is not None}
        watched[f"gear.{role}"] = str(item or anchor or assignment.not_used)
    return watched


def as_json(values: Inputs) -> dict[str, Json]:
    """Values as they come back from the record, so that equal inputs compare equal."""
    loaded = json.loads(json.dumps(values))
    return dict(loaded)
