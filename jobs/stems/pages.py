"""A stem in a few lines, for the pages that rest on it."""

from jobs.models import CrownState
from jobs.plans.data import PlanData
from jobs.plans.page_rows import Fact, species_word
from jobs.wording.counted import sentence
from jobs.wording.date_words import moment_words
from jobs.wording.figure import AREA
from jobs.wording.unit_formatter import UnitFormatter


def stem_words(plan_data: PlanData) -> str:
    """ "Alder, 12.0 m, leans 3.0°", or an empty string while nothing is measured."""
    stem, write = plan_data.stem, UnitFormatter(plan_data.job.company.unit_system)
    parts = [
        species_word(stem),
        write.length(stem.tree_height_m) if stem.tree_height_m is not None else "",
        f"leans {write.angle(stem.lean_deg)}" if stem.lean_deg is not None else "",
    ]
    return sentence(", ".join(part for part in parts if part))


def stem_facts(plan_data: PlanData) -> tuple[Fact, ...]:
    """What was measured on a stem, with its method; an open answer says so."""
    stem, company = plan_data.stem, plan_data.job.company
    write = UnitFormatter(company.unit_system)
    lean = "not answered"
    if stem.lean_deg is not None:
        towards = f" towards {stem.lean_azimuth_deg:03.0f}°" if stem.lean_azimuth_deg is not None else ""
        lean = f"{write.angle(stem.lean_deg)}{towards}{method(stem.get_lean_method_display())}"
    height = "not answered"
    if stem.tree_height_m is not None:
        height = f"{write.length(stem.tree_height_m)}{method(stem.get_height_method_display())}"
    sizes = ", ".join(f"{write.diameter(s.diameter_m)} at {write.length(s.height_m)}" for s in plan_data.sections)
    facts = [
        Fact("Species", sentence(species_word(stem)) or "not answered"),
        Fact("Height", height),
        Fact("Diameters", sizes or "not answered"),
        Fact("Lean", lean),
        Fact("Crown", crown_words(plan_data, write)),
        Fact("Wood at the hinge", stem.get_hinge_soundness_display() or "not answered"),
        Fact("Wood at the line", stem.get_attachment_soundness_display() or "not answered"),
    ]
    if stem.measured_by is not None:
        when = f", {moment_words(stem.measured_at, company)}" if stem.measured_at else ""
        facts.append(Fact("Measured by", f"{stem.measured_by}{when}"))
    return tuple(facts)


def method(words: str) -> str:
    return f" ({words.lower()})" if words else ""


def crown_words(plan_data: PlanData, write: UnitFormatter) -> str:
    if plan_data.stem.crown == CrownState.CROWN and plan_data.crown_parts:
        mass = sum(part.mass_kg for part in plan_data.crown_parts)
        area = sum(part.frontal_area_m2 for part in plan_data.crown_parts)
        sail = write.quantity(area, AREA)
        return f"{write.mass(mass)} in {len(plan_data.crown_parts)}, {sail} facing the wind"
    return str(plan_data.stem.get_crown_display()) or "not answered"
