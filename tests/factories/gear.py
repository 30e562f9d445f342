"""Items of gear: the legal minimum is a block examined thirty days ago; traits tell the other stories.

Rows of evidence are written for every story, so that a refreshed state says the same.
"""

import datetime as dt
from contextlib import contextmanager
from contextvars import ContextVar

import factory
from factory.django import DjangoModelFactory

from crewlog.evidence import Entry, append, append_row
from crewlog.models import Skill
from gear.catalogue.classes import BY_CODE
from gear.examinations.examination import Answer, Examination
from gear.examinations.measuring import when_new
from gear.fitness.refresh import refresh_items, refresh_state, write_status_dates
from gear.models import GearEvent, GearItem, Inspection, Retirement
from gear.register.editable import registered_body, snapshot
from gear.register.search_index import write_words
from gear.schemes.services import ensure_default_schemes
from tests.factories.crewlog import CompanyFactory, CompetenceFactory, PersonFactory


def days_ago(item, days):
    return item.company.today() - dt.timedelta(days=days)


def examined(item, *, days=30, verdict="fit", kind="thorough", **columns):
    """Write an inspection as evidence, without the service's checks."""
    failed = verdict in ("out_of_use", "retire")
    row = Inspection(
        item=item,
        kind=kind,
        examined_on=days_ago(item, days),
        inspector=columns.pop("inspector", None) or PersonFactory(company=item.company, name="Hew Tallis"),
        verdict=verdict,
        marking_legible=columns.pop("marking_legible", True),
        employer_told_at=dt.datetime(2026, 1, 2, 9, tzinfo=dt.UTC) if failed else None,
        employer_told_how="in writing" if failed else "",
        **columns,
    )
    return append_row(item.company, Entry(actor=None), row)


def happened(item, kind, *, days=1, description="as told", **columns):
    """Write an event as evidence."""
    row = GearEvent(item=item, kind=kind, happened_on=days_ago(item, days), description=description, **columns)
    return append_row(item.company, Entry(actor=None), row)


class ItemFactory(DjangoModelFactory):
    class Meta:
        model = GearItem
        skip_postgeneration_save = True

    company = factory.SubFactory(CompanyFactory)
    tag = factory.Sequence(lambda n: f"B-{n:04d}")
    gear_class = "block"
    description = "Double block, side by side"
    design_factor = factory.LazyAttribute(lambda o: BY_CODE[o.gear_class].design_factor)
    working_load_limit_n = factory.LazyAttribute(lambda o: 12_000.0 if BY_CODE[o.gear_class].carries_load else None)
    pulls_at_ground = True
    registered_on = factory.LazyAttribute(lambda o: o.company.today() - dt.timedelta(days=400))
    first_used_on = factory.LazyAttribute(lambda o: o.company.today() - dt.timedelta(days=390))

    class Params:
        unused = factory.Trait(first_used_on=None, is_unused=True, never_examined=True)
        rope = factory.Trait(
            gear_class="rope",
            description="Line, 14 mm, 45 m",
            working_load_limit_n=None,
            breaking_strength_n=45_000.0,
            length_m=45.0,
            diameter_mm=14.0,
            material="polyester",
            terminations=["sewn_eye"],
            manufactured_on=factory.LazyAttribute(lambda o: o.company.today() - dt.timedelta(days=420)),
        )
        sling = factory.Trait(
            gear_class="sling",
            description="Round sling, 2 m",
            construction="round",
            material="polyester",
            vertical_rating_n=20_000.0,
            manufactured_on=factory.LazyAttribute(lambda o: o.company.today() - dt.timedelta(days=420)),
        )
        unrated = factory.Trait(working_load_limit_n=None)

    # Stories: flags that write evidence and are no columns.
    evidence = True
    never_examined = False
    overdue = False
    due_soon = False
    quarantined = False
    pending = False
    remark_overdue = False
    illegible = False
    retired = False

    @classmethod
    def _build(cls, model_class, *args, **kwargs):
        take_story(kwargs)
        return super()._build(model_class, *args, **kwargs)

    @classmethod
    def _create(cls, model_class, *args, **kwargs):
        """`evidence=False` leaves the item without any record but that of its registration."""
        story = take_story(kwargs)
        ensure_default_schemes(kwargs["company"])
        item = super()._create(model_class, *args, **kwargs)
        write_words([item])
        append(item.company, "gear.item-registered", Entry(actor=None), body=registered_body(item, snapshot(item)))
        if story["evidence"]:
            tell(item, story)
            work_out(item)
        else:
            write_status_dates([item])
        return item


WAITING: ContextVar[list[GearItem] | None] = ContextVar("items that wait for their state", default=None)


def work_out(item):
    """The item's state from its evidence: now, or with the others of a story that is told at once."""
    waiting = WAITING.get()
    if waiting is None:
        refresh_state(item)
    else:
        waiting.append(item)


@contextmanager
def stated_at_once():
    """Items of one company made inside have their state worked out together at the end: a query for all of them."""
    waiting: list[GearItem] = []
    token = WAITING.set(waiting)
    yield
    WAITING.reset(token)
    if waiting:
        refresh_items(waiting[0].company, waiting)


def on_record(items, **facts):
    """Set facts of items past the services' rules, with the record that a service would write."""
    for item in items:
        before = snapshot(item)
        for name, value in facts.items():
            setattr(item, name, value)
        item.save(update_fields=list(facts))
        after = snapshot(item)
        body = {"item": item.pk, "changes": {name: [before[name], after[name]] for name in facts}}
        append(item.company, "gear.item-changed", Entry(actor=None), body=body)


def take_story(kwargs):
    return {name: kwargs.pop(name) for name in STORIES}


def tell(item, story):
    if not story["never_examined"]:
        days = 400 if story["overdue"] else 350 if story["due_soon"] else 30
        columns = {}
        if story["remark_overdue"]:
            columns = {"verdict": "remark", "remark_due_on": days_ago(item, 5), "findings": "whip the end"}
        if story["illegible"]:
            columns["marking_legible"] = False
        examined(item, days=days, **columns)
    if story["quarantined"]:
        happened(item, "drop", days=6, description="from the cage")
    if story["pending"]:
        happened(item, "contamination", days=6, description="bar oil")
    if story["retired"]:
        row = Retirement(item=item, retired_on=days_ago(item, 9), reason="cut strand", disposal="destroyed")
        append_row(item.company, Entry(actor=None), row)


STORIES = (
    "evidence", "never_examined", "overdue", "due_soon", "quarantined", "pending", "remark_overdue", "illegible",
    "retired",
)  # fmt: skip


def examiner(member, gear_class=""):
    """Give a member a standing competence to examine gear."""
    CompetenceFactory(person=member.person, skill=Skill.EXAMINE_GEAR, gear_class=gear_class)
    return member


def good_examination(item, *, kind="thorough", on=None, **changes):
    """Every point good, every measure as new."""
    answers = {point.code: Answer("good") for point in item.declared.checklist.points}
    measures = {m.name: when_new(item, m) or 0.0 for m in item.declared.measures if m.has_limit}
    facts = {"kind": kind, "on": on or item.company.today(), "answers": answers, "measures": measures} | changes
    return Examination(**facts)
