"""Who may do what on a sheet, and how many it takes."""

import dataclasses
import datetime as dt

import pytest

from crewlog.models import Competence, Skill
from jobs.models import Duty, DutyKind
from jobs.models.plan import PullPlan
from jobs.sheets.check import check_sheet
from jobs.sheets.duties import Holder, duties_needed, duty_findings
from jobs.wording.unit_formatter import UnitFormatter
from tests.factories.crewlog import CompetenceFactory, LearningFactory, PersonFactory
from tests.factories.jobs import passing_sheet
from tests.factories.scenario import checked, codes, edit_plan, fresh
from tests.given import Given

DAY = dt.date(2026, 11, 25)
WRITE = UnitFormatter("metric")
SKILLS = {
    DutyKind.CUTTER: Skill.CUTTER,
    DutyKind.HAULER: Skill.HAULER,
    DutyKind.BOLLARD_TENDER: Skill.BOLLARD,
    DutyKind.HITCH_TENDER: Skill.HITCH,
    DutyKind.LOOKOUT: Skill.LOOKOUT,
    DutyKind.FIRST_AIDER: Skill.FIRST_AID,
    DutyKind.SIDE_TENDER: Skill.LINE_TENDER,
    DutyKind.RESTRAINT_TENDER: Skill.LINE_TENDER,
    DutyKind.RESCUE_CLIMBER: Skill.RESCUE,
}
NEEDED = tuple(duties_needed(PullPlan(), someone_climbs=False))


def holder(duty, person, **changes):
    facts = {
        "duty": duty,
        "person": person,
        "name": person.capitalize(),
        "is_trainee": False,
        "supervisor": None,
        "supervisor_name": "",
        "skills": frozenset({SKILLS[duty]}),
        "lapsed": frozenset(),
    }
    return Holder(**facts | changes)


def crew(haulers=2):
    """Everybody it takes, each with one duty; the lookout is the first-aider too."""
    tail = [holder(DutyKind.HAULER, f"hauler {n}") for n in range(haulers)]
    return [
        holder(DutyKind.CUTTER, "cutter"),
        *tail,
        holder(DutyKind.BOLLARD_TENDER, "bollard"),
        holder(DutyKind.HITCH_TENDER, "hitch"),
        holder(DutyKind.LOOKOUT, "lookout"),
        holder(DutyKind.FIRST_AIDER, "lookout"),
    ]


def trainee(duty, person, **changes):
    watched = {"supervisor": "super", "supervisor_name": "Super", "supervisor_skills": frozenset({SKILLS[duty]})}
    return holder(duty, person, is_trainee=True, skills=frozenset(), **watched | changes)


def judged(held, *, needed=NEEDED, haulers=2, tolerance=0, diameter_m=0.5):
    found = duty_findings(
        held,
        needed=needed,
        haulers=haulers,
        hauler_tolerance=tolerance,
        stem_diameter_m=diameter_m,
        day=DAY,
        write=UnitFormatter("metric"),
    )
    assert all(f.is_refusal and f.cure and f.text and (f.area, f.field) == ("crew", "duties") for f in found)
    return {f.full_code for f in found}


def test_whole_crew_is_refused_by_nothing():
    assert judged(crew()) == set()


@pytest.mark.parametrize("duty", NEEDED)
def test_duty_that_nobody_holds_is_refused(duty):
    assert f"duty-empty:{duty}" in judged([h for h in crew() if h.duty != duty])


def test_first_aider_is_always_needed():
    assert DutyKind.FIRST_AIDER in NEEDED


@pytest.mark.parametrize(
    ("plan", "climbs", "duty"),
    [
        (PullPlan(side_line=True), False, DutyKind.SIDE_TENDER),
        (PullPlan(restraint=True), False, DutyKind.RESTRAINT_TENDER),
        (PullPlan(), True, DutyKind.RESCUE_CLIMBER),
    ],
)
def test_what_is_rigged_needs_its_tender(plan, climbs, duty):
    assert duty not in NEEDED
    needed = duties_needed(plan, someone_climbs=climbs)
    assert judged(crew(), needed=needed) == {f"duty-empty:{duty}"}
    assert judged([*crew(), holder(duty, "another")], needed=needed) == set()


@pytest.mark.parametrize("other", [DutyKind.HAULER, DutyKind.BOLLARD_TENDER, DutyKind.LOOKOUT])
def test_cutter_has_no_other_duty_at_the_same_moment(other):
    held = [*crew(), holder(other, "cutter")]
    assert f"duty-conflict:{other}" in judged(held, haulers=3 if other == DutyKind.HAULER else 2)


def test_first_aider_may_hold_another_duty():
    assert judged([*crew(), holder(DutyKind.FIRST_AIDER, "bollard")]) == set()


def test_fewer_than_three_people_are_too_few_for_a_cut_under_tension():
    held = [dataclasses.replace(h, person="one" if h.duty == DutyKind.CUTTER else "two") for h in crew()]
    assert "crew-too-small" in judged(held)


def test_one_person_works_alone():
    held = [dataclasses.replace(h, person="one") for h in crew()]
    found = judged(held)
    assert "working-alone" in found
    assert "crew-too-small" not in found


def test_trainees_never_fill_the_count():
    held = [h for h in crew() if h.duty in (DutyKind.CUTTER, DutyKind.BOLLARD_TENDER)]
    held += [trainee(DutyKind.HAULER, "pupil"), trainee(DutyKind.LOOKOUT, "learner")]
    found = judged(held)
    assert "crew-too-small" in found
    assert f"duty-empty:{DutyKind.HAULER}" in found


def test_too_few_on_the_tail_for_the_plan():
    assert judged(crew(haulers=2), haulers=3) == {"crew-too-small:hauler"}


def test_trainee_does_not_count_among_the_haulers_the_plan_needs():
    held = [*crew(haulers=1), trainee(DutyKind.HAULER, "pupil")]
    assert judged(held, haulers=2) == {"crew-too-small:hauler"}


def test_more_on_the_tail_than_the_plan_was_checked_for():
    assert judged(crew(haulers=3), haulers=2) == {"too-many-on-tail:hauler"}
    assert judged(crew(haulers=3), haulers=2, tolerance=1) == set()


def test_trainee_pulls_like_anybody():
    held = [*crew(haulers=2), trainee(DutyKind.HAULER, "pupil")]
    assert judged(held, haulers=2) == {"too-many-on-tail:hauler"}


def test_trainee_never_cuts_under_tension():
    held = [*crew(), trainee(DutyKind.CUTTER, "pupil")]
    assert judged(held) == {"trainee-cuts:cutter"}


@pytest.mark.parametrize(
    "changes",
    [
        {"supervisor": None, "supervisor_name": ""},
        {"supervisor": "bollard", "supervisor_name": "Bollard"},
        {"supervisor_skills": frozenset()},
        {"supervisor_skills": frozenset({Skill.FIRST_AID})},
        {"supervisor_unfit": "is a trainee too"},
    ],
    ids=["none named", "has a duty", "no qualification", "competent in something else", "a trainee"],
)
def test_trainee_needs_a_competent_supervisor_without_a_duty(changes):
    held = [*crew(), trainee(DutyKind.HITCH_TENDER, "pupil", **changes)]
    assert judged(held) == {"trainee-unsupervised:hitch_tender"}


def test_supervised_trainee_beside_a_competent_person_passes():
    assert judged([*crew(), trainee(DutyKind.HITCH_TENDER, "pupil")]) == set()


@pytest.mark.parametrize("duty", NEEDED)
def test_duty_without_its_competence_is_refused(duty):
    held = [dataclasses.replace(h, skills=frozenset()) if h.duty == duty else h for h in crew(haulers=2)]
    assert judged(held) == {f"not-competent:{duty}"}


def test_lapsed_competence_says_so():
    held = [
        dataclasses.replace(h, skills=frozenset(), lapsed=h.skills) if h.duty == DutyKind.HITCH_TENDER else h
        for h in crew()
    ]
    assert judged(held) == {"competence-lapsed:hitch_tender"}


@pytest.mark.parametrize(
    ("limit_m", "diameter_m", "refused"),
    [(0.38, 0.38, False), (0.38, 0.3801, True), (None, 2.0, False), (0.38, 0.2, False)],
)
def test_cutter_stays_within_the_diameter_of_their_competence(limit_m, diameter_m, refused):
    held = [dataclasses.replace(h, cutter_limit_m=limit_m) for h in crew()]
    assert judged(held, diameter_m=diameter_m) == ({"not-competent:cutter"} if refused else set())


def test_nobody_on_the_tail_is_told_once():
    assert judged([h for h in crew() if h.duty != DutyKind.HAULER]) == {"duty-empty:hauler"}


def test_tail_is_not_counted_before_the_plan_says_how_many_it_takes():
    assert judged(crew(haulers=5), haulers=None) == set()


def test_conflict_is_told_at_the_second_duty_with_both_named():
    held = [*crew(), holder(DutyKind.LOOKOUT, "cutter")]
    rules: Given = {
        "needed": NEEDED,
        "haulers": 2,
        "stem_diameter_m": 0.5,
        "day": DAY,
        "write": UnitFormatter("metric"),
    }
    (finding,) = duty_findings(held, **rules)
    assert finding.full_code == "duty-conflict:lookout"
    assert DutyKind.CUTTER.label.lower() in finding.text
    assert DutyKind.LOOKOUT.label.lower() in finding.text


def test_wrong_number_on_the_tail_is_less_grave_than_an_empty_duty():
    rules: Given = {"needed": NEEDED, "stem_diameter_m": 0.5, "day": DAY, "write": WRITE}
    (few,) = duty_findings(crew(haulers=1), haulers=2, **rules)
    (many,) = duty_findings(crew(haulers=3), haulers=2, **rules)
    (empty,) = duty_findings([h for h in crew() if h.duty != DutyKind.LOOKOUT], haulers=2, **rules)
    assert empty.danger < few.danger == many.danger < 3


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"supervisor_unfit": "left on 1 May 2026"}, "left on 1 May 2026"),
        ({"supervisor_skills": frozenset()}, "no qualification"),
    ],
)
def test_supervisor_who_cannot_be_one_is_told_why(changes, words):
    held = [*crew(), trainee(DutyKind.HITCH_TENDER, "pupil", **changes)]
    rules: Given = {
        "needed": NEEDED,
        "haulers": 2,
        "stem_diameter_m": 0.5,
        "day": DAY,
        "write": UnitFormatter("metric"),
    }
    (finding,) = duty_findings(held, **rules)
    assert words in finding.text
    assert ("left on" in finding.text) != ("no qualification" in finding.text)


def test_person_who_left_holds_no_duty():
    held = [dataclasses.replace(h, left_on=DAY) if h.duty == DutyKind.HITCH_TENDER else h for h in crew()]
    assert judged(held) == {"person-left:hitch_tender"}
    held = [dataclasses.replace(h, left_on=DAY + dt.timedelta(days=1)) for h in crew()]
    assert judged(held) == set()


# read from rows


@pytest.fixture
def sheet(company, lead):
    return passing_sheet(company, lead=lead.person)


def competence(sheet, duty):
    return Competence.objects.filter(person__duties__sheet=sheet, person__duties__duty=duty)


def test_competence_holds_on_its_last_day(sheet):
    competence(sheet, "hitch_tender").update(expires_on=sheet.day)
    assert codes(sheet) == set()
    competence(sheet, "hitch_tender").update(expires_on=sheet.day - dt.timedelta(days=1))
    assert codes(sheet) == {"competence-lapsed:hitch_tender"}


def test_competence_granted_after_the_day_of_the_sheet_does_not_count(sheet):
    assert sheet.stem.job.last_day > sheet.day
    competence(sheet, "hitch_tender").update(granted_on=sheet.day + dt.timedelta(days=1))
    assert codes(sheet) == {"not-competent:hitch_tender"}


def test_cutter_limit_is_held_against_the_diameter_at_the_hinge(sheet):
    hinge_m = checked(sheet).outcome.result.working.situation.stem.hinge_diameter_over_bark_m
    assert 0.4 < hinge_m < 0.5
    competence(sheet, "cutter").update(max_diameter_m=hinge_m)
    assert codes(sheet) == set()
    competence(sheet, "cutter").update(max_diameter_m=hinge_m - 0.001)
    assert codes(sheet) == {"not-competent:cutter"}


def test_renewed_competence_outweighs_the_lapsed_one(sheet):
    row = competence(sheet, "cutter").get()
    row.expires_on, row.max_diameter_m = sheet.day - dt.timedelta(days=1), 0.2
    row.save()
    CompetenceFactory(person=row.person, skill=row.skill, gear_class="rope", max_diameter_m=0.8)
    assert codes(sheet) == set()


def test_supervisor_is_read_with_their_competences(company, sheet):
    pupil = PersonFactory(company=company, name="Kit Sedge")
    LearningFactory(person=pupil, skill=Skill.HITCH)
    boss = PersonFactory(company=company, name="Flo Mere")
    Duty.objects.create(sheet=sheet, duty="hitch_tender", person=pupil, supervisor=boss)
    assert codes(sheet) == {"trainee-unsupervised:hitch_tender"}
    CompetenceFactory(person=boss, skill=Skill.HITCH)
    assert codes(sheet) == set()
    boss.competences.all().delete()
    LearningFactory(person=boss, skill=Skill.HITCH)
    assert codes(sheet) == {"trainee-unsupervised:hitch_tender"}


def test_a_qualified_cutter_who_learns_the_bollard_is_no_bollard_tender_alone(company, sheet):
    pupil = PersonFactory(company=company, name="Kit Sedge")
    CompetenceFactory(person=pupil, skill=Skill.CUTTER)
    LearningFactory(person=pupil, skill=Skill.BOLLARD)
    row = sheet.duties.get(duty="bollard_tender")
    row.person = pupil
    row.save()
    assert codes(sheet) == {"duty-empty:bollard_tender", "trainee-unsupervised:bollard_tender"}


def test_whether_somebody_was_once_entered_as_a_trainee_decides_nothing(sheet):
    for row in sheet.duties.select_related("person"):
        row.person.is_trainee = True
        row.person.save()
    assert codes(sheet) == set()


@pytest.mark.parametrize("change", [{"attach_method": "climber"}])
def test_climbed_height_needs_a_rescue_climber(sheet, change):
    edit_plan(sheet, **change)
    assert codes(sheet) == {"duty-empty:rescue_climber"}


def test_queries_do_not_grow_with_people(company, sheet, django_assert_num_queries, django_assert_max_num_queries):
    def row():
        return fresh(sheet)

    few = row()
    with django_assert_max_num_queries(20) as asked:
        check_sheet(few)
    for _ in range(6):
        boss = PersonFactory(company=company)
        CompetenceFactory(person=boss, skill=Skill.LOOKOUT)
        pupil = PersonFactory(company=company)
        LearningFactory(person=pupil, skill=Skill.LOOKOUT)
        Duty.objects.create(sheet=sheet, duty="lookout", person=pupil, supervisor=boss)
    many = row()
    with django_assert_num_queries(len(asked.captured_queries) + 1):  # the supervisors' competences, once
        check_sheet(many)
