"""An item's life told at random, against a model that only remembers what was done to it, in order."""

import datetime as dt
import itertools
from dataclasses import asdict, dataclass, replace
from typing import Any

import pytest
import time_machine
from django.utils import timezone
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from crewlog.errors import RuleBroken
from crewlog.evidence import verify
from crewlog.models import Role
from gear.alterations.services import shorten_item
from gear.errors import AlreadyRetired
from gear.events.retire import retire_item
from gear.events.services import record_event, take_out_of_use
from gear.examinations.examination import defects_of
from gear.examinations.services import EmployerNotice, Verdict, correct_inspection, record_inspection
from gear.fitness.defects import Cure
from gear.fitness.facts import item_fitness
from gear.fitness.set_parts import parts_on
from gear.fitness.status import status_of
from gear.fitness.statuses import STATUSES
from gear.models import GearItem
from gear.register.store_list import StoreList
from gear.sets.services import swap_part
from tests.conftest import member
from tests.factories.crewlog import CompanyFactory
from tests.factories.gear import ItemFactory, examiner, good_examination
from tests.given import Given
from tests.width import wide

pytestmark = pytest.mark.django_db
BEGIN = dt.datetime(2031, 3, 1, 9, 0, tzinfo=dt.UTC)
MONTHS_BETWEEN = 12  # pulling at ground, the scheme that a new company has
numbers = itertools.count(1)


@dataclass(frozen=True)
class Done:
    """One thing done to the item, on a day."""

    what: str
    on: dt.date
    remark_due: dt.date | None = None


class Model:
    """What an item's life comes to: each thing done, in order, and nothing else."""

    def __init__(self):
        self.done = []
        self.retired = False

    def codes(self, day):
        out = pending = illegible = False
        due = remark_due = None
        for act in self.done:
            if act.what in ("fit", "remark"):
                out = pending = illegible = False
                due, remark_due = a_year_after(act.on), act.remark_due
            elif act.what == "out_of_use":  # it is the examination that was asked for, and failed
                out, pending = True, False
            elif act.what in ("drop", "taken_out"):
                out = pending = True
            elif act.what in ("contamination", "shortened"):
                pending = True
            elif act.what == "marking_illegible":
                illegible = True
        found = {
            "retired": self.retired,
            "quarantined": out,
            "examination-pending": pending,
            "never-inspected": due is None,
            "overdue": due is not None and due < day,
            "remark-overdue": remark_due is not None and remark_due < day,
            "marking-illegible": illegible,
        }
        return {code for code, holds in found.items() if holds}


def a_year_after(day):
    return day.replace(year=day.year + 1, day=28) if (day.month, day.day) == (2, 29) else day.replace(year=day.year + 1)


def told_of(verdict):
    return EmployerNotice(timezone.now(), "by telephone") if verdict == "out_of_use" else EmployerNotice()


def cures_of(defects):
    """Each defect on record answered by a test; without that no examination passes the item."""
    return {defect.key: Cure("retested", "proof load, nothing seen") for defect in defects}


class ItemLife(RuleBasedStateMachine):
    """A rope that may be a part of a tackle set with one other part."""

    @initialize()
    def register(self):
        self.clock = time_machine.travel(BEGIN, tick=False)
        self.moment = BEGIN
        self.clock.start()
        self.company = CompanyFactory(name=f"Life {next(numbers)}")
        self.owner = examiner(member(self.company, Role.OWNER, "Orla Quenby"))
        blank = {"company": self.company, "evidence": False}
        self.tackle = ItemFactory(gear_class="tackle_set", parts_expected=2, working_load_limit_n=None, **blank)
        rope = {"rope": True, "life_from_maker": True, **blank}
        self.item: Any = ItemFactory(**rope, assembly=self.tackle)
        self.spare = ItemFactory(**rope)
        self.block = ItemFactory(**blank, assembly=self.tackle)
        for other in (self.spare, self.block, self.tackle):
            self.examine(other, "fit")
        self.model, self.inside, self.last = Model(), self.item, None
        self.swapped_on = {}

    def teardown(self):
        if hasattr(self, "clock"):
            assert verify(self.company).holds
            self.clock.stop()

    @property
    def today(self):
        return self.company.today()

    def examine(self, item, verdict, remark_due=None):
        return record_inspection(
            actor=self.owner,
            item=item,
            examination=good_examination(item, findings="as seen", cures=cures_of(defects_of(item))),
            verdict=Verdict(verdict, remark_due_on=remark_due, told=told_of(verdict)),
        )

    def attempt(self, act, done):
        """Do it; a retired item refuses, and nothing changes."""
        if self.model.retired:
            with pytest.raises((AlreadyRetired, RuleBroken)):
                act()
            return None
        made = act()
        self.model.done.append(done)
        return made

    @rule(days=st.sampled_from([1, 20, 40, 200, 366]))
    def wait(self, days):
        self.clock.stop()
        self.moment += dt.timedelta(days=days)
        self.clock = time_machine.travel(self.moment, tick=False)
        self.clock.start()

    @rule(verdict=st.sampled_from(["fit", "remark", "out_of_use", "not_examined"]), days=st.sampled_from([0, 30]))
    def inspect(self, verdict, days):
        due = self.today + dt.timedelta(days=days) if verdict == "remark" else None
        made = self.attempt(lambda: self.examine(self.item, verdict, due), Done(verdict, self.today, due))
        if made is not None:
            self.last = (made, len(self.model.done) - 1)

    @precondition(lambda self: self.last is not None)
    @rule(verdict=st.sampled_from(["fit", "out_of_use", "not_examined"]))
    def correct(self, verdict):
        wrong, place = self.last
        cures = cures_of(defects_of(self.item, corrects=wrong.record))

        def act():
            return correct_inspection(
                actor=self.owner,
                inspection=wrong,
                because="the wrong rope was looked at",
                examination=good_examination(self.item, on=wrong.examined_on, findings="as seen", cures=cures),
                verdict=Verdict(
                    verdict,
                    told=EmployerNotice(timezone.now(), "by telephone")
                    if verdict == "out_of_use"
                    else EmployerNotice(),
                ),
            )

        if self.model.retired:
            with pytest.raises(AlreadyRetired):
                act()
            return
        self.last = (act(), place)
        self.model.done[place] = replace(self.model.done[place], what=verdict, remark_due=None)

    @rule(kind=st.sampled_from(["drop", "contamination", "marking_illegible", "near_miss_not_loaded"]))
    def event(self, kind):
        facts = {"kind": kind, "happened_on": self.today, "description": "as told"}
        self.attempt(lambda: record_event(actor=self.owner, item=self.item, **facts), Done(kind, self.today))

    @rule()
    def quarantine(self):
        act = lambda: take_out_of_use(actor=self.owner, item=self.item, because="doubt")  # noqa: E731
        self.attempt(act, Done("taken_out", self.today))

    @rule()
    def shorten(self):
        facts = {"length_after_m": self.item.length_m - 0.5, "on": self.today, "description": "worn end cut off"}
        self.attempt(lambda: shorten_item(actor=self.owner, item=self.item, **facts), Done("shortened", self.today))

    @rule()
    def swap(self):
        """The rope out of the set for the spare one, or back."""
        other = self.spare if self.inside == self.item else self.item
        facts = {"assembly": self.tackle, "out": self.inside, "in_": other, "on": self.today, "because": "turn about"}
        if self.model.retired and other == self.item:
            with pytest.raises(RuleBroken):
                swap_part(actor=self.owner, **facts)
            return
        if self.swapped_on.get(self.today):  # twice on one day leaves no day on which to ask what was inside
            return
        swap_part(actor=self.owner, **facts)
        self.swapped_on[self.today] = other
        self.inside = other

    @precondition(lambda self: len(self.model.done) > 4)
    @rule()
    def retire(self):
        facts: Given = {"because": "worn out", "disposal": "destroyed"}
        if self.model.retired:
            with pytest.raises(AlreadyRetired):
                retire_item(actor=self.owner, item=self.item, **facts)
            return
        retire_item(actor=self.owner, item=self.item, **facts)
        self.model.retired = True

    @invariant()
    def the_item_is_fit_as_the_model_says_today_and_later(self):
        self.item = GearItem.objects.get(pk=self.item.pk)
        for days in (0, 400):
            day = self.today + dt.timedelta(days=days)
            codes = {reason.code for reason in item_fitness(self.item, day)}
            assert codes == self.model.codes(day)
            assert GearItem.objects.fit_on(day).filter(pk=self.item.pk).exists() is not bool(codes)

    @invariant()
    def the_register_has_every_item_where_its_codes_put_it(self):
        listed = StoreList(self.company, self.today)
        found = list(listed[0 : listed.count()])
        states = [status_of(i, tuple(r.code for r in item_fitness(i, self.today)), self.today) for i in found]
        assert states == sorted(states, key=STATUSES.index)
        assert {state: states.count(state) for state in STATUSES} == asdict(listed.counts)

    @invariant()
    def the_set_knows_what_was_in_it_on_every_day(self):
        inside = self.item
        for day in sorted({*self.swapped_on, self.today}):
            inside = self.swapped_on.get(day, inside)
            assert {part.pk for part in parts_on(self.tackle, day)} == {inside.pk, self.block.pk}


def test_a_life_told_at_random_ends_where_the_model_says(db):
    run_state_machine_as_test(
        ItemLife, settings=settings(max_examples=wide(8, 3), stateful_step_count=12, deadline=None, derandomize=True)
    )
