"""Registering many items at once, by the same rules as one: each gets its own record on the chain."""

from collections.abc import Iterator, Sequence
from dataclasses import asdict
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q

from crewlog.errors import RuleBroken
from crewlog.evidence import Entry, append_all
from crewlog.models import Company, Membership, Role
from crewlog.models.constraints import broken_checks, named_fields
from crewlog.people.rights import must_be_ours, require_role
from gear.catalogue.classes import BY_CODE
from gear.fitness.dates import status_dates_of
from gear.fitness.facts import item_facts
from gear.fitness.inspection_rules import InspectionRules
from gear.fitness.refresh import Evidence, differs, state_for
from gear.fitness.use_limits import UseLimits
from gear.models import GearItem, Recall
from gear.recalls.services import catch_recalls, covers
from gear.register.editable import only_editable, registered_body, snapshot
from gear.register.search_index import write_words
from gear.register.services import REGISTERED, check_class
from gear.schemes.services import ensure_default_schemes
from gear.sets.services import move_item

REFERENCES = ("company", "assembly", "parent", "spliced_by")
KEPT_FROM_EVIDENCE = frozenset(field.name for field in GearItem._meta.concrete_fields if not field.editable)


class ItemRefused(RuleBroken):
    """One of many items breaks a rule; `tag` says which."""

    def __init__(self, tag: str, message: str, *, code: str, field: str) -> None:
        super().__init__(f"{tag}: {message}", code=code, field=field)
        self.tag = tag


def new_item(company: Company, *, tag: str, gear_class: str, description: str, **facts: Any) -> GearItem:
    """An unsaved item of today, with its class's design factor where none is given."""
    only_editable(facts)
    if facts.get("design_factor") is None:
        facts["design_factor"] = BY_CODE[gear_class].design_factor if gear_class in BY_CODE else None
    return GearItem(
        company=company,
        tag=tag.strip(),
        gear_class=gear_class,
        description=description,
        registered_on=company.today(),
        **facts,
    )


def item_faults(item: GearItem) -> Iterator[tuple[str, str, str]]:
    """(column, message, code) of what cannot be true of an item, without asking the database.

    The tag's uniqueness and the companies of its set, parent and splicer are the caller's to check.
    """
    try:
        item.clean_fields(exclude={*REFERENCES, *KEPT_FROM_EVIDENCE})
    except ValidationError as fault:
        yield from faults_said(fault)
        return
    broken = False
    try:
        item.clean()
    except ValidationError as fault:
        broken = True
        yield from faults_said(fault)
    for constraint in broken_checks(item):
        broken = True
        name = next(named_fields(Q(constraint.condition)), "")
        yield name, str(constraint.violation_error_message), constraint.name
    if broken:
        return
    try:
        check_class(item)
    except RuleBroken as fault:
        yield fault.field or "", fault.message, fault.code


def faults_said(fault: ValidationError) -> Iterator[tuple[str, str, str]]:
    """(column, message, code) of what a model's own validation said."""
    for name, errors in fault.error_dict.items():
        yield name, " ".join(error for each in errors for error in each.messages), "invalid"


@transaction.atomic
def add_items(*, actor: Membership, items: Sequence[GearItem], entry: Entry | None = None) -> list[GearItem]:
    """Register unsaved items made by `new_item`, all or none. Queries grow with batches, and with parts of sets.

    Raises ItemRefused for the first that breaks a rule, IntegrityError for a tag that is taken.
    """
    require_role(actor, Role.OWNER)
    company = actor.company
    ensure_default_schemes(company)
    entry = entry or Entry(actor=actor.person)
    book, limits = InspectionRules.of(company), UseLimits.of(company)
    for item in items:
        must_be_ours(actor, item.company_id, "item")
        for name, message, code in item_faults(item):
            raise ItemRefused(item.tag, message, code=code, field=name)
        must_be_of(company, item)
    said = [snapshot(item) for item in items]
    sets = [item.assembly for item in items]
    for item in items:
        item.assembly = None  # a record of its own puts it there
        begin_state(item, book, limits)
    made = GearItem.objects.bulk_create(items)
    bodies = [registered_body(item, facts) for item, facts in zip(made, said, strict=True)]
    append_all(company, "gear.item-registered", entry, bodies=bodies, people=[actor.person])
    write_words(made)
    for item, assembly in zip(made, sets, strict=True):
        if assembly is not None:
            move_item(actor, item, before=None, after=assembly, because=REGISTERED, entry=entry)
    recalls = list(Recall.objects.for_company(company))
    for item in made:
        if any(covers(recall, item) for recall in recalls):
            catch_recalls(item, entry)
    return made


def begin_state(item: GearItem, book: InspectionRules, limits: UseLimits) -> None:
    """Set where an item without any evidence stands, as a refresh would find it."""
    state = state_for(item, Evidence(), book, limits)
    for name in differs(item, state):
        setattr(item, name, getattr(state, name))
    vars(item).update(asdict(status_dates_of(item_facts(item, ()))))


def must_be_of(company: Company, item: GearItem) -> None:
    """Refuse an item that names a row of another company."""
    for name in ("assembly", "parent", "spliced_by"):
        other = getattr(item, name)
        if other is not None and other.company_id != company.pk:
            raise ItemRefused(item.tag, "That is not in this store.", code="other-company", field=name)
