"""What must never be false of an item beside the bounds of its columns, as constraints of the database.

A CHECK that comes out as NULL passes: where a nullable column must be known, the condition says so.
"""

from collections.abc import Iterable

from django.db.models import BaseConstraint, CheckConstraint, F, Q

from gear.catalogue.classes import EFFICIENCY_ORIGINS, GATES, MATERIALS, TACKLE_SET, USES


def _check(name: str, condition: Q, message: str) -> CheckConstraint:
    return CheckConstraint(name=f"gear_item_{name}", condition=condition, violation_error_message=message)


def order_constraints() -> list[BaseConstraint]:
    """Of two figures or dates the lesser comes first."""
    return [
        _check(
            "rope_range_ordered",
            Q(rope_diameter_min_mm__isnull=True)
            | Q(rope_diameter_max_mm__isnull=True)
            | Q(rope_diameter_min_mm__lte=F("rope_diameter_max_mm")),
            "The thinnest rope must not be thicker than the thickest.",
        ),
        _check(
            "two_blocked_shorter",
            Q(extended_length_m__isnull=True)
            | Q(two_blocked_length_m__isnull=True)
            | Q(two_blocked_length_m__lt=F("extended_length_m")),
            "The two-blocked length must be shorter than the extended length.",
        ),
        _check(
            "limit_within_strength",
            Q(breaking_strength_n__isnull=True)
            | Q(working_load_limit_n__isnull=True)
            | Q(working_load_limit_n__lt=F("breaking_strength_n")),
            "The working load limit must be below the breaking strength.",
        ),
        _check(
            "made_before_used",
            Q(manufactured_on__isnull=True)
            | Q(first_used_on__isnull=True)
            | Q(manufactured_on__lte=F("first_used_on")),
            "First use cannot come before manufacture.",
        ),
    ]


def pairing_constraints() -> list[BaseConstraint]:
    """Facts that only make sense together."""
    return [
        _check(
            "stretch_has_load",
            Q(reference_elongation_ratio__isnull=True, reference_load_ratio__isnull=True)
            | Q(reference_elongation_ratio__isnull=False, reference_load_ratio__isnull=False),
            "Give the stretch together with the load it was measured at.",
        ),
        _check(
            "efficiency_has_origin",
            Q(sheave_efficiency__isnull=True, sheave_efficiency_origin="")
            | (
                Q(sheave_efficiency__isnull=False)
                & Q(sheave_efficiency_origin__in=[code for code, _ in EFFICIENCY_ORIGINS])
            ),
            "Say where the efficiency of a sheave comes from: maker, measured or assumed.",
        ),
        _check(
            "hold_has_basis",
            Q(proven_hold_n__isnull=True) | ~Q(proven_hold_basis=""),
            "Say how the hold was proven: cord, host rope, wraps and how it was loaded.",
        ),
        _check(
            "unused_has_no_first_use",
            Q(is_unused=False) | Q(first_used_on__isnull=True),
            "An unused item has no day of first use.",
        ),
        _check(
            "borrowed_has_lender",
            Q(due_back_on__isnull=True) | ~Q(borrowed_from=""),
            "Say whom it is borrowed from.",
        ),
    ]


def use_constraints() -> list[BaseConstraint]:
    """Every item has a name, a use and its place; only a tackle set has parts."""
    return [
        _check(
            "has_use",
            Q(pulls_at_ground=True) | Q(lifts_or_lowers=True) | Q(supports_person=True) | Q(measures_load=True),
            f"Choose at least one use: {', '.join(words.lower() for _, _, words in USES)}.",
        ),
        _check(
            "set_counts_its_parts",
            (Q(gear_class=TACKLE_SET, parts_expected__isnull=False, parts_expected__gte=2))
            | (~Q(gear_class=TACKLE_SET) & Q(parts_expected__isnull=True)),
            "A tackle set says how many tagged parts it has, at least two; nothing else has parts.",
        ),
        _check(
            "set_in_no_set",
            Q(assembly__isnull=True) | ~Q(gear_class=TACKLE_SET),
            "A tackle set cannot be a part of another.",
        ),
        _check("has_tag", ~Q(tag=""), "Give the item a tag."),
        _check("has_description", ~Q(description=""), "Say what the item is."),
    ]


def choice_constraints() -> list[BaseConstraint]:
    """Codes from lists that seldom grow. Classes of gear are held by `GearItem.full_clean` and a system check."""
    return [
        _check("known_gate", Q(gate__in=["", *(code for code, _ in GATES)]), "Choose a gate."),
        _check("known_material", Q(material__in=["", *(code for code, _ in MATERIALS)]), "Choose a material."),
    ]


def state_constraints() -> list[BaseConstraint]:
    """Dated states carry their reason."""
    pairs = (
        ("retired_on", "retired_because", "retired_has_reason", "A retired item has a reason."),
        ("quarantined_on", "quarantined_because", "quarantined_has_reason", "Say why the item is out of use."),
        (
            "examination_pending_since",
            "examination_pending_because",
            "pending_has_reason",
            "Say what asks for the examination.",
        ),
        ("remark_due_on", "remark", "remark_has_words", "Say what is to be mended."),
    )
    return [
        _check("mistake_is_ended", Q(is_mistake=False) | Q(retired_on__isnull=False), "An entry by mistake is ended."),
        *dated_reasons(pairs),
    ]


def dated_reasons(pairs: Iterable[tuple[str, str, str, str]]) -> list[BaseConstraint]:
    return [
        _check(
            name,
            Q(**{f"{day}__isnull": True, because: ""}) | (Q(**{f"{day}__isnull": False}) & ~Q(**{because: ""})),
            message,
        )
        for day, because, name, message in pairs
    ]


def item_constraints() -> list[BaseConstraint]:
    return [
        *order_constraints(),
        *pairing_constraints(),
        *use_constraints(),
        *choice_constraints(),
        *state_constraints(),
    ]
