"""Which way a change of a fact goes: to the stricter or to the more favourable side.

A column says what makes its fact more favourable and why; those judged by more than themselves stand in `JUDGED`. A
change to the favourable side counts only when somebody else has read the marking; to the stricter side it counts at
once.
"""

import math
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from crewlog.quantities.columns import Favourable
from gear.catalogue.classes import BY_CODE, CLASSES, LOCKING_GATES, USES
from gear.catalogue.gear_class import ANY_STRENGTH, GearClass
from gear.models import ITEM_COLUMNS, OTHER_HEADINGS
from gear.register.editable import EDITABLE, PLAIN

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
    """One fact: how a change is judged, and what the judgement rests on."""

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

BY_FAVOURABLE: Mapping[Favourable, Judge] = {"higher": MORE, "lower": LESS, "source": EITHER, "": unread}

# What is judged by its class, by another fact, or by what an unknown one leaves.
JUDGED: dict[str, FactRule] = {
    "breaking_strength_n": FactRule(rating, "higher: it may carry more"),
    "working_load_limit_n": FactRule(rating, "higher: it may carry more"),
    "vertical_rating_n": FactRule(rating, "higher: it may carry more"),
    "choker_rating_n": FactRule(rating, "higher: it may carry more"),
    "basket_rating_n": FactRule(rating, "higher: it may carry more"),
    "gate": FactRule(gate, "only a locking gate may carry"),
    "terminations": FactRule(KNOWN, "each end leaves another share of the strength"),
    "sheave_diameter_mm": FactRule(MORE_OR_NONE, "larger: ropes bend less; unknown: no bend is judged"),
    "sheave_count": FactRule(
        by_figure(more_is_looser=True, unknown=1.0), "more: it takes tackles of more parts; unknown is one"
    ),
    "reference_elongation_ratio": FactRule(KNOWN, "more resets on one side, a higher peak on the other"),
    "reference_load_ratio": FactRule(KNOWN, "goes with the stretch"),
    "manufactured_on": FactRule(by_day, "later: its life ends later"),
    "is_unused": FactRule(first_use, "unused: its life has not begun"),
    "first_used_on": FactRule(first_use, "later: its life ends later"),
    "life_from_maker": FactRule(life, "more years, or no end: its life ends later"),
    "life_years_from_manufacture": FactRule(life, "more years, or no end"),
    "life_years_from_first_use": FactRule(life, "more years, or no end"),
    "permitted_uses": FactRule(MORE_OR_NONE, "more, or no limit: it serves longer"),
    "maker_interval_months": FactRule(MORE_OR_NONE, "longer, or none: due later"),
    **{column: FactRule(uses, "the strictest use sets the interval") for _, column, _ in USES},
    "spliced_by": FactRule(splicer, "who spliced it may not examine it"),
}


def rule_of(name: str) -> FactRule:
    if name in JUDGED:
        return JUDGED[name]
    column = ITEM_COLUMNS[name]
    return FactRule(BY_FAVOURABLE[column.favourable], column.why)


# Every fact that is changed as an event; which item it was cut from never changes.
FACTS: Mapping[str, FactRule] = {name: rule_of(name) for name in EDITABLE if name not in {*PLAIN, "parent"}}

OF_SOME = frozenset(column for declared in CLASSES for column in (*declared.ratings, *declared.facts))


@dataclass(frozen=True, slots=True)
class Subject:
    """Facts that are changed together on one page."""

    code: str
    title: str
    columns: tuple[str, ...]

    @property
    def of_some(self) -> bool:
        """Whether only the classes that declare one of its facts have it."""
        return not OF_SOME.isdisjoint(self.columns)

    def is_of(self, declared: GearClass) -> bool:
        """Whether items of a class have it."""
        return not self.of_some or not {*declared.ratings, *declared.facts}.isdisjoint(self.columns)


# Facts that go together, and those called otherwise than their column.
NAMED = (
    Subject("identity", "Maker, model, serial, batch", ("maker", "maker_model", "serial", "batch")),
    Subject("standard", "Standard marked on it", ("standard_marked",)),
    Subject("uses", "What it is used for", tuple(column for _, column, _ in USES)),
    Subject("working_load_limit", "Working load limit, as marked", ("working_load_limit_n",)),
    Subject("breaking_strength", "Minimum breaking strength", ("breaking_strength_n",)),
    Subject("vertical_rating", "Sling: straight", ("vertical_rating_n",)),
    Subject("choker_rating", "Sling: choker", ("choker_rating_n",)),
    Subject("basket_rating", "Sling: basket", ("basket_rating_n",)),
    Subject("minor_axis", "Strength across", ("minor_axis_strength_n",)),
    Subject("proven_hold", "Proven hold of the hitch", ("proven_hold_n", "proven_hold_basis")),
    Subject("ends", OTHER_HEADINGS["terminations"], ("terminations",)),
    Subject("length", "Length", ("length_m",)),
    Subject("mass", "Mass", ("mass_kg",)),
    Subject("diameter", "Diameter", ("diameter_mm",)),
    Subject("rope_range", "Ropes it takes", ("rope_diameter_min_mm", "rope_diameter_max_mm")),
    Subject("sheave", "Sheaves or drum", ("sheave_diameter_mm", "sheave_count")),
    Subject("efficiency", "Efficiency of a sheave", ("sheave_efficiency", "sheave_efficiency_origin")),
    Subject("set_lengths", "Lengths of the set", ("extended_length_m", "two_blocked_length_m")),
    Subject("stretch", "Stretch", ("reference_elongation_ratio", "reference_load_ratio")),
    Subject("made_on", "Made on", ("manufactured_on",)),
    Subject("first_use", "First used on", ("is_unused", "first_used_on")),
    Subject("life", "Life", ("life_from_maker", "life_years_from_manufacture", "life_years_from_first_use")),
    Subject("maker_interval", "Maker's inspection interval", ("maker_interval_months",)),
    Subject("parts", "Tagged parts of the set", ("parts_expected",)),
    Subject("splice", OTHER_HEADINGS["spliced_by"], ("spliced_by",)),
)


def subjects() -> Iterator[Subject]:
    """Every subject in the order of the register; a fact named in none is one of its own, called like its column."""
    named = {column: subject for subject in NAMED for column in subject.columns}
    for name in FACTS:
        if name not in named:
            yield Subject(name, ITEM_COLUMNS[name].label, (name,))
        elif named[name].columns[0] == name:
            yield named[name]


SUBJECTS: tuple[Subject, ...] = tuple(subjects())
BY_SUBJECT: dict[str, Subject] = {subject.code: subject for subject in SUBJECTS}
SUBJECT_OF: dict[str, str] = {column: subject.code for subject in SUBJECTS for column in subject.columns}


def ways_of(changed: Iterable[str], before: Values, after: Values, about: About) -> dict[str, Way]:
    """Which way each changed fact goes."""
    return {name: FACTS[name].judge(name, before, after, about) for name in changed}


def is_mixed_life(before: Values, after: Values, about: About) -> bool:
    """Whether one of the two lives gets longer and the other shorter: they cannot be told apart by column."""
    was, now = lives(before, about), lives(after, about)
    return any(n > w for w, n in zip(was, now, strict=True)) and any(n < w for w, n in zip(was, now, strict=True))
