"""Which way a change of a fact goes: to the stricter or to the more favourable side. Standard library only.

Every fact of an item stands in one table with what makes it more favourable and why. A change to the favourable side
counts only when somebody else has read the marking; to the stricter side it counts at once.
"""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from gear.classes import BY_CODE, LOCKING_GATES, USES
from gear.gear_class import ANY_STRENGTH, GearClass

Way = Literal["same", "stricter", "looser"]
Values = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class About:
    """What of an item decides which way a change goes: its class, and whether an inspection interval covers it."""

    gear_class: str
    has_interval: bool = True


Judge = Callable[[str, Values, Values, About], Way]


@dataclass(frozen=True, slots=True)
class FactRule:
    """One fact: its words, how a change is judged, and what the judgement rests on."""

    label: str
    judge: Judge
    why: str


def by_figure(*, more_is_looser: bool, unknown: float) -> Judge:
    """A figure with a direction; `unknown` is where no figure stands: -inf below every one, inf above."""

    def judge(name: str, before: Values, after: Values, about: About) -> Way:
        was, now = (unknown if said[name] is None else float(said[name]) for said in (before, after))
        return way(was, now) if more_is_looser else way(now, was)

    return judge


def way(was: Any, now: Any) -> Way:
    if was == now:
        return "same"
    return "looser" if now > was else "stricter"


def rating(name: str, before: Values, after: Values, about: About) -> Way:
    """Higher is looser. One that comes or goes is judged by what the others leave."""
    was, now = before[name], after[name]
    if was is not None and now is not None:
        return way(was, now)
    ratings = BY_CODE[about.gear_class].ratings
    others = [other for other in ratings if other != name and before.get(other) is not None]
    if now is None:
        return "looser" if others else "stricter"  # without it the others count alone; with none it carries nothing
    is_lesser = name == "working_load_limit_n" and "breaking_strength_n" in others
    return "stricter" if is_lesser and ratings == ANY_STRENGTH else "looser"


def by_day(name: str, before: Values, after: Values, about: About) -> Way:
    """A later day of manufacture is looser: the life ends later. A day that was unknown lifts a refusal."""
    return way(before[name] or "", after[name] or "")


def without_direction(*, empty_is_refused: bool) -> Judge:
    """A fact that can loosen a rule either way; an empty one is stricter only where the rules refuse the unknown."""

    def judge(name: str, before: Values, after: Values, about: About) -> Way:
        if before[name] == after[name]:
            return "same"
        is_empty = after[name] in (None, "", [])
        return "stricter" if is_empty and empty_is_refused else "looser"

    return judge


def gate(name: str, before: Values, after: Values, about: About) -> Way:
    """Only a locking gate may carry: any other is refused."""
    if before[name] == after[name]:
        return "same"
    return "looser" if after[name] in LOCKING_GATES else "stricter"


def splicer(name: str, before: Values, after: Values, about: About) -> Way:
    """Who spliced it may not examine it: naming somebody shuts out, another name or none lets in."""
    if before[name] == after[name]:
        return "same"
    return "stricter" if before[name] is None else "looser"


def first_use(name: str, before: Values, after: Values, about: About) -> Way:
    """Unused is the most favourable, then a later day, then an earlier one, then unknown."""

    def rank(said: Values) -> str:
        return "9999" if said["is_unused"] else said["first_used_on"] or ""

    return way(rank(before), rank(after))


def life(name: str, before: Values, after: Values, about: About) -> Way:
    """More years, or no end by age, is looser; the maker's own years stand in place of the class's."""
    was, now = lives(before, about), lives(after, about)
    if was == now:
        return "same"
    return "looser" if any(n > w for w, n in zip(was, now, strict=True)) else "stricter"


def lives(said: Values, about: About) -> tuple[float, float]:
    """Years from manufacture and from first use that count; without an end, infinite."""
    rule = BY_CODE[about.gear_class].life
    years = (
        (said["life_years_from_manufacture"], said["life_years_from_first_use"])
        if said["life_from_maker"]
        else (rule.years_from_manufacture, rule.years_from_first_use)
    )
    made, used = (math.inf if each is None else float(each) for each in years)
    return made, used


def uses(name: str, before: Values, after: Values, about: About) -> Way:
    """The strictest use sets the interval: one less is looser, one more is not, unless no interval covered it yet."""
    was, now = (frozenset(column for _, column, _ in USES if said[column]) for said in (before, after))
    if was == now:
        return "same"
    return "looser" if was - now or not about.has_interval else "stricter"


def unread(name: str, before: Values, after: Values, about: About) -> Way:
    """No rule reads it."""
    return "same" if before[name] == after[name] else "stricter"


MORE = by_figure(more_is_looser=True, unknown=-math.inf)
MORE_OR_NONE = by_figure(more_is_looser=True, unknown=math.inf)
LESS = by_figure(more_is_looser=False, unknown=math.inf)
EITHER = without_direction(empty_is_refused=False)
KNOWN = without_direction(empty_is_refused=True)

# Every fact that is changed as an event.
FACTS: dict[str, FactRule] = {
    "breaking_strength_n": FactRule("Minimum breaking strength", rating, "higher: it may carry more"),
    "working_load_limit_n": FactRule("Working load limit", rating, "higher: it may carry more"),
    "vertical_rating_n": FactRule("Sling: straight", rating, "higher: it may carry more"),
    "choker_rating_n": FactRule("Sling: choker", rating, "higher: it may carry more"),
    "basket_rating_n": FactRule("Sling: basket", rating, "higher: it may carry more"),
    "minor_axis_strength_n": FactRule("Strength across", MORE, "higher, or known at all: it may be loaded across"),
    "design_factor": FactRule("Design factor", LESS, "lower: it may carry more of its strength"),
    "proven_hold_n": FactRule("Proven hold of the hitch", MORE, "higher, or known at all: the hitch may hold more"),
    "proven_hold_basis": FactRule("How the hold was proven", unread, "no rule reads the words"),
    "gate": FactRule("Gate", gate, "only a locking gate may carry"),
    "material": FactRule("Material", EITHER, "heat, wet strength and stretch turn on it, in no one order"),
    "construction": FactRule("Construction", EITHER, "what it is used for turns on it, in no one order"),
    "terminations": FactRule("Ends it has for good", KNOWN, "each end leaves another share of the strength"),
    "length_m": FactRule("Length now", MORE, "longer: it may span a longer path"),
    "diameter_mm": FactRule("Diameter", EITHER, "thinner bends better and fits other sheaves, thicker fits others"),
    "rope_diameter_min_mm": FactRule("Thinnest rope", LESS, "thinner: it takes more ropes"),
    "rope_diameter_max_mm": FactRule("Thickest rope", MORE, "thicker: it takes more ropes"),
    "sheave_diameter_mm": FactRule(
        "Sheave or drum diameter", MORE_OR_NONE, "larger: ropes bend less; unknown: no bend is judged"
    ),
    "sheave_count": FactRule(
        "Sheaves", by_figure(more_is_looser=True, unknown=1.0), "more: it takes tackles of more parts; unknown is one"
    ),
    "sheave_efficiency": FactRule("Efficiency of a sheave", EITHER, "more pull on one side, less on the other"),
    "sheave_efficiency_origin": FactRule("Efficiency comes from", EITHER, "goes with the efficiency"),
    "extended_length_m": FactRule("Extended length of the set", MORE, "longer: one haul gives more"),
    "two_blocked_length_m": FactRule("Two-blocked length of the set", LESS, "shorter: one haul gives more"),
    "reference_elongation_ratio": FactRule("Stretch", KNOWN, "more resets on one side, a higher peak on the other"),
    "reference_load_ratio": FactRule("Stretch was measured at", KNOWN, "goes with the stretch"),
    "mass_kg": FactRule("Mass", unread, "no rule reads it"),
    "manufactured_on": FactRule("Made on", by_day, "later: its life ends later"),
    "is_unused": FactRule("Not used yet", first_use, "unused: its life has not begun"),
    "first_used_on": FactRule("First used on", first_use, "later: its life ends later"),
    "life_from_maker": FactRule("The maker sets its life", life, "more years, or no end: its life ends later"),
    "life_years_from_manufacture": FactRule("Years from manufacture", life, "more years, or no end"),
    "life_years_from_first_use": FactRule("Years from first use", life, "more years, or no end"),
    "permitted_uses": FactRule("Uses permitted", MORE_OR_NONE, "more, or no limit: it serves longer"),
    "maker_interval_months": FactRule("Maker's inspection interval", MORE_OR_NONE, "longer, or none: due later"),
    **{column: FactRule(words, uses, "the strictest use sets the interval") for _, column, words in USES},
    "maker": FactRule("Maker", EITHER, "recalls are found by it"),
    "maker_model": FactRule("Model", EITHER, "recalls are found by it"),
    "serial": FactRule("Serial number", EITHER, "recalls are found by it"),
    "batch": FactRule("Batch", EITHER, "recalls are found by it"),
    "standard_marked": FactRule("Standard marked on it", unread, "no rule reads it"),
    "parts_expected": FactRule("Tagged parts of the set", LESS, "fewer: none is missed"),
    "spliced_by": FactRule("Spliced by", splicer, "who spliced it may not examine it"),
}


@dataclass(frozen=True, slots=True)
class Subject:
    """Facts that are changed together on one page; `of_some`: only classes that declare one of them have it."""

    code: str
    title: str
    columns: tuple[str, ...]
    of_some: bool = False

    def is_of(self, declared: GearClass) -> bool:
        """Whether items of a class have it."""
        return not self.of_some or not {*declared.ratings, *declared.facts}.isdisjoint(self.columns)


SUBJECTS: tuple[Subject, ...] = (
    Subject("breaking_strength", "Minimum breaking strength", ("breaking_strength_n",), of_some=True),
    Subject("working_load_limit", "Working load limit, as marked", ("working_load_limit_n",), of_some=True),
    Subject("vertical_rating", "Sling: straight", ("vertical_rating_n",), of_some=True),
    Subject("choker_rating", "Sling: choker", ("choker_rating_n",), of_some=True),
    Subject("basket_rating", "Sling: basket", ("basket_rating_n",), of_some=True),
    Subject("minor_axis", "Strength across", ("minor_axis_strength_n",), of_some=True),
    Subject("design_factor", "Design factor", ("design_factor",)),
    Subject("proven_hold", "Proven hold of the hitch", ("proven_hold_n", "proven_hold_basis"), of_some=True),
    Subject("gate", "Gate", ("gate",), of_some=True),
    Subject("length", "Length", ("length_m",), of_some=True),
    Subject("diameter", "Diameter", ("diameter_mm",), of_some=True),
    Subject("rope_range", "Ropes it takes", ("rope_diameter_min_mm", "rope_diameter_max_mm"), of_some=True),
    Subject("sheave", "Sheaves or drum", ("sheave_diameter_mm", "sheave_count"), of_some=True),
    Subject("efficiency", "Efficiency of a sheave", ("sheave_efficiency", "sheave_efficiency_origin"), of_some=True),
    Subject("material", "Material", ("material",)),
    Subject("construction", "Construction", ("construction",)),
    Subject("ends", "Ends it has for good", ("terminations",), of_some=True),
    Subject("stretch", "Stretch", ("reference_elongation_ratio", "reference_load_ratio"), of_some=True),
    Subject("set_lengths", "Lengths of the set", ("extended_length_m", "two_blocked_length_m"), of_some=True),
    Subject("mass", "Mass", ("mass_kg",)),
    Subject("made_on", "Made on", ("manufactured_on",)),
    Subject("first_use", "First used on", ("is_unused", "first_used_on")),
    Subject(
        "life", "Life", ("life_from_maker", "life_years_from_manufacture", "life_years_from_first_use")
    ),
    Subject("permitted_uses", "Uses permitted", ("permitted_uses",)),
    Subject("maker_interval", "Maker's inspection interval", ("maker_interval_months",)),
    Subject("uses", "What it is used for", tuple(column for _, column, _ in USES)),
    Subject("identity", "Maker, model, serial, batch", ("maker", "maker_model", "serial", "batch")),
    Subject("standard", "Standard marked on it", ("standard_marked",)),
    Subject("parts", "Tagged parts of the set", ("parts_expected",), of_some=True),
    Subject("splice", "Spliced by", ("spliced_by",), of_some=True),
)  # fmt: skip
BY_SUBJECT: dict[str, Subject] = {subject.code: subject for subject in SUBJECTS}
SUBJECT_OF: dict[str, str] = {column: subject.code for subject in SUBJECTS for column in subject.columns}


def ways_of(changed: Mapping[str, Any], before: Values, after: Values, about: About) -> dict[str, Way]:
    """Which way each changed fact goes."""
    return {name: FACTS[name].judge(name, before, after, about) for name in changed}


def is_mixed_life(before: Values, after: Values, about: About) -> bool:
    """Whether one of the two lives gets longer and the other shorter: they cannot be told apart by column."""
    was, now = lives(before, about), lives(after, about)
    return any(n > w for w, n in zip(was, now, strict=True)) and any(n < w for w, n in zip(was, now, strict=True))
