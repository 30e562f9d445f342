"""Who holds a duty, as read from people and their competences: what is in force on the day and what has run out."""

import datetime as dt

import pytest

from crewlog.models import Skill
from jobs.models import Duty, DutyKind
from jobs.sheets.duties import SKILL_OF, duty_findings, holder_of
from jobs.wording.unit_formatter import UnitFormatter
from tests.factories.crewlog import CompetenceFactory, LearningFactory, PersonFactory
from tests.given import Given

DAY = dt.date(2026, 11, 25)
NEXT_DAY, DAY_BEFORE = DAY + dt.timedelta(days=1), DAY - dt.timedelta(days=1)
LONG_AGO = dt.date(2020, 1, 1)


@pytest.fixture
def person(company):
    return PersonFactory(company=company, name="Flo Mere")


@pytest.fixture
def boss(company):
    return PersonFactory(company=company, name="Jonas Pellaw")


def give(person, skill, *, granted_on=LONG_AGO, expires_on=None, **more):
    CompetenceFactory(person=person, skill=skill, granted_on=granted_on, expires_on=expires_on, **more)


def read(person, duty="cutter", supervisor=None):
    return holder_of(Duty(duty=duty, person=person, supervisor=supervisor), DAY)


@pytest.mark.parametrize(
    ("granted_on", "expires_on", "in_force", "has_lapsed"),
    [
        (LONG_AGO, None, True, False),
        (LONG_AGO, DAY, True, False),
        (LONG_AGO, DAY_BEFORE, False, True),
        (DAY, None, True, False),
        (NEXT_DAY, None, False, False),
        (NEXT_DAY, dt.date(2028, 1, 1), False, False),
    ],
)
def test_competence_is_in_force_from_its_first_day_to_its_last(person, granted_on, expires_on, in_force, has_lapsed):
    give(person, Skill.HITCH, granted_on=granted_on, expires_on=expires_on)
    found = read(person, "hitch_tender")
    assert (Skill.HITCH in found.skills, Skill.HITCH in found.lapsed) == (in_force, has_lapsed)


def test_renewed_competence_is_not_said_to_have_lapsed(person):
    give(person, Skill.HITCH, expires_on=DAY_BEFORE)
    give(person, Skill.HITCH, gear_class="rope")
    found = read(person, "hitch_tender")
    assert (found.skills, found.lapsed) == ({Skill.HITCH}, set())


@pytest.mark.parametrize(
    ("limits", "limit_m"),
    [((), None), ((0.3,), 0.3), ((0.3, 0.6, 0.4), 0.6), ((0.3, None), None)],
    ids=["no competence", "one limit", "the greatest counts", "one without a limit"],
)
def test_cutter_is_held_to_the_widest_competence_in_force(person, limits, limit_m):
    for number, limit in enumerate(limits):
        give(person, Skill.CUTTER, max_diameter_m=limit, gear_class=("", "rope", "block")[number])
    assert read(person).cutter_limit_m == limit_m


def test_lapsed_and_foreign_limits_do_not_widen_a_cutters(person):
    give(person, Skill.CUTTER, max_diameter_m=0.3)
    give(person, Skill.CUTTER, max_diameter_m=0.9, expires_on=DAY_BEFORE, gear_class="rope")
    give(person, Skill.HITCH)
    assert read(person).cutter_limit_m == 0.3


def test_without_a_supervisor_nothing_is_said_of_one(person):
    found = read(person)
    assert (found.supervisor, found.supervisor_name, found.supervisor_unfit) == (None, "", "")
    assert found.supervisor_skills == frozenset()
    assert found.name == "Flo Mere"


def test_supervisor_is_read_as_they_stand_on_the_day(person, boss):
    give(boss, Skill.HITCH)
    give(boss, Skill.CUTTER, expires_on=DAY_BEFORE)
    found = read(person, "hitch_tender", boss)
    assert (found.supervisor, found.supervisor_name, found.supervisor_unfit) == (str(boss.pk), "Jonas Pellaw", "")
    assert found.supervisor_skills == {Skill.HITCH}


@pytest.mark.parametrize(
    ("changes", "is_unfit"),
    [({"left_on": DAY}, True), ({"left_on": NEXT_DAY}, False)],
)
def test_someone_gone_cannot_supervise(person, boss, changes, is_unfit):
    for name, value in changes.items():
        setattr(boss, name, value)
    assert bool(read(person, "hitch_tender", boss).supervisor_unfit) is is_unfit


def test_one_person_is_a_trainee_on_the_bollard_alone(person):
    give(person, Skill.CUTTER)
    LearningFactory(person=person, skill=Skill.BOLLARD)
    assert not read(person, "cutter").is_trainee
    assert read(person, "bollard_tender").is_trainee
    assert not read(person, "hitch_tender").is_trainee  # neither held nor learned: not competent, and no trainee


def test_who_learns_a_skill_is_its_trainee_only_while_they_do_not_hold_it(person):
    LearningFactory(person=person, skill=Skill.BOLLARD)
    give(person, Skill.BOLLARD, granted_on=DAY_BEFORE, expires_on=DAY)
    assert not read(person, "bollard_tender").is_trainee
    assert holder_of(Duty(duty="bollard_tender", person=person), NEXT_DAY).is_trainee


def test_person_who_left_is_read_with_the_day(person):
    person.left_on = NEXT_DAY
    assert read(person).left_on == NEXT_DAY


def test_three_competent_people_are_no_longer_too_few(company):
    held = []
    for duty in (DutyKind.CUTTER, DutyKind.HAULER, DutyKind.BOLLARD_TENDER):
        one = PersonFactory(company=company)
        give(one, SKILL_OF[duty])
        held.append(read(one, duty))
    rules: Given = {"needed": (), "haulers": 1, "stem_diameter_m": 0.4, "day": DAY, "write": UnitFormatter("metric")}
    assert duty_findings(held, **rules) == ()
    assert [f.code for f in duty_findings(held[:2], **rules)] == ["crew-too-small"]
