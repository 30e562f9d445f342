"""What an item's page says of it, worded for its reader."""

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass

import segno
from django.utils.safestring import SafeString, mark_safe

from crewlog.quantities.display import factor_text, limit_text, percent_text, printed_quantity, quantity_text
from crewlog.quantities.typed import NBSP
from crewlog.web.ui_rows import Figure
from gear.catalogue.classes import BY_CODE, TERMINATIONS, USES
from gear.fitness.reasons import day_words
from gear.fitness.set_parts import stays_by_part
from gear.models import GearItem
from gear.register.address import item_address

STAYS_SHOWN = 3


@dataclass(frozen=True, slots=True)
class Fact:
    """A label, its value, and where the value comes from."""

    label: str
    value: str
    hint: str = ""


def item_figures(item: GearItem, units: str) -> list[Figure]:
    """At most four numbers: what it is rated for."""
    shown = [
        ("Breaks at", item.breaking_strength_n, "minimum, as marked"),
        ("Working load limit", item.working_load_limit_n, "as marked"),
        ("Straight", item.vertical_rating_n, "printed on the tag"),
        ("Choker", item.choker_rating_n, "printed on the tag"),
        ("Basket", item.basket_rating_n, "printed on the tag, legs upright"),
        ("Across", item.minor_axis_strength_n, "minor axis"),
    ]
    figures = [figure(label, value, units, note) for label, value, note in shown if value is not None]
    if item.breaking_strength_n is not None:
        note = f"design factor {factor_text(item.design_factor)}, before knots and bends"
        figures.insert(1, figure("May carry", item.working_limit_n, units, note))
    return figures[:4]


def figure(label: str, value_n: float | None, units: str, note: str) -> Figure:
    printed = printed_quantity(value_n, "force", units, direction="down")
    return Figure(label, printed.number, printed.unit, note)


def on_record(item: GearItem, units: str) -> list[Fact]:
    """Everything known of an item, in the order an examiner asks for it; what is unknown is left out."""
    return [fact for fact in (*dates(item), *identity(item), *measures(item, units), *whereabouts(item)) if fact.value]


def dates(item: GearItem) -> Iterator[Fact]:
    yield Fact("Next due", day_or_nothing(item.next_due_on) or "Not set", item.next_due_basis)
    yield Fact("Last examined", day_or_nothing(item.last_examined_on) or "Never")
    yield Fact("Mend by", day_or_nothing(item.remark_due_on), item.remark)
    yield Fact("Life ends", life_end_words(item), life_basis(item))
    if item.uses_end_at is not None:
        whose = "" if item.uses_end_at == item.permitted_uses else "The company's limit for its class"
        yield Fact("Uses", f"{item.uses_made} of {item.uses_end_at}", whose)
    yield Fact("Made", day_or_nothing(item.manufactured_on))
    yield Fact("First used", "Not used yet" if item.is_unused else day_or_nothing(item.first_used_on))


def identity(item: GearItem) -> Iterator[Fact]:
    uses = [words for _, column, words in USES if getattr(item, column)]
    yield Fact("Used for", ", ".join(uses))
    yield Fact("Maker", ", ".join(part for part in (item.maker, item.maker_model) if part))
    yield Fact("Batch", item.batch)
    yield Fact("Serial", item.serial)
    yield Fact("Standard", item.standard_marked or "None marked on it")
    yield Fact("Construction", item.construction_words)
    yield Fact("Material", item.get_material_display() if item.material else "")
    yield Fact("Colour", item.colour_tracer)
    yield Fact("Gate", item.get_gate_display() if item.gate else "")
    names = dict(TERMINATIONS)
    yield Fact("Ends", ", ".join(names.get(code, code) for code in item.terminations))


def measures(item: GearItem, units: str) -> Iterator[Fact]:
    yield Fact("Length", shown(item.length_m, "length", units))
    yield Fact("Diameter", shown(item.diameter_mm, "diameter_gear", units))
    if item.rope_diameter_min_mm is not None or item.rope_diameter_max_mm is not None:
        low = quantity_text(item.rope_diameter_min_mm, "diameter_gear", units, direction="up")
        high = quantity_text(item.rope_diameter_max_mm, "diameter_gear", units, direction="down")
        yield Fact("Takes rope", f"{low} to {high}")
    yield Fact("Sheave or drum", shown(item.sheave_diameter_mm, "diameter_gear", units))
    if item.sheave_efficiency is not None:
        origin = item.get_sheave_efficiency_origin_display().lower()
        yield Fact("Sheave efficiency", percent_text(item.sheave_efficiency, direction="down"), origin)
    yield Fact("Extended", shown(item.extended_length_m, "length", units))
    yield Fact("Two-blocked", shown(item.two_blocked_length_m, "length", units))
    if item.reference_elongation_ratio is not None and item.reference_load_ratio is not None:
        stretch = f"{item.reference_elongation_ratio * 100:.1f}{NBSP}%"
        yield Fact("Stretch", f"{stretch} at {item.reference_load_ratio * 100:.0f}{NBSP}% of break")
    yield Fact("Mass", shown(item.mass_kg, "mass", units))
    if item.residual_strength_ratio is not None:
        yield Fact(
            "Remaining strength", percent_text(item.residual_strength_ratio, direction="down"), "set by the inspector"
        )
    yield Fact(
        "Proven hold", limit_text(item.proven_hold_n, units) if item.proven_hold_n else "", item.proven_hold_basis
    )


def whereabouts(item: GearItem) -> Iterator[Fact]:
    yield Fact("Kept at", item.storage_place)
    yield from sets_of(item)
    yield Fact("Cut from", item.parent.tag if item.parent else "")
    yield Fact(
        "Borrowed from", item.borrowed_from, f"due back {day_words(item.due_back_on)}" if item.due_back_on else ""
    )
    yield Fact("Papers", item.documents)
    yield Fact("Notes", item.notes)


def sets_of(item: GearItem) -> Iterator[Fact]:
    """The set it is in and since when; those it was in before. Two queries, none for a set."""
    stays = [] if item.is_assembly else stays_by_part([item])[item.pk]
    if not stays:
        return
    tags = dict(GearItem.objects.filter(pk__in={stay.assembly for stay in stays}).values_list("pk", "tag"))
    earlier = [
        f"{tags[stay.assembly]} until {day_words(stay.until)}" for stay in reversed(stays) if stay.until is not None
    ]
    now = next((stay for stay in stays if stay.until is None), None)
    if now is not None:
        yield Fact("Part of", tags[now.assembly], f"since {day_words(now.since)}")
    if earlier:
        yield Fact("Was part of", "\n".join(earlier[:STAYS_SHOWN]))


def life_end_words(item: GearItem) -> str:
    if item.life_date_missing:
        return "Not known: a date is missing"
    return day_or_nothing(item.life_ends_on) or "By condition"


def life_basis(item: GearItem) -> str:
    """Which rule sets the life, and where it comes from."""
    if not item.life_from_maker:
        return BY_CODE[item.gear_class].life.source
    said = []
    if item.life_years_from_manufacture is not None:
        said.append(f"{item.life_years_from_manufacture} years from manufacture")
    if item.life_years_from_first_use is not None:
        said.append(f"{item.life_years_from_first_use} years from first use")
    return f"maker's instructions: {', '.join(said) or 'no end by age'}"


def shown(value: float | None, kind: str, units: str) -> str:
    return "" if value is None else quantity_text(value, kind, units)


def day_or_nothing(day: dt.date | None) -> str:
    return day_words(day) if day is not None else ""


def item_code(item: GearItem) -> SafeString:
    """The item's address as a QR code: plain SVG without style attributes, made from the tag's own characters."""
    code = segno.make_qr(item_address(item), error="m")
    svg: str = code.svg_inline(
        border=2, dark="#000", light="#fff", svgclass="qr", lineclass=None, omitsize=True, title=item.tag
    )
    return mark_safe(svg)  # noqa: S308 - segno escapes the title, the rest is numbers
