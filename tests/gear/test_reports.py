"""Reports of thorough examination: every particular of the schedule is on the paper, and what is refused."""

import datetime as dt
import io
import json
import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone
from pypdf import PdfReader

from crewlog.evidence import verify
from crewlog.evidence.documents import document_bytes
from crewlog.models import ExaminerDetails
from gear.catalogue.classes import CLASSES
from gear.examinations.examination import Answer
from gear.examinations.services import EmployerNotice, Verdict, correct_inspection, record_inspection
from gear.failures.services import Telling, tell_employer
from gear.files.services import store_photograph
from gear.models import ExaminationReport, FailureFound, Inspection
from gear.reports import schedule
from gear.reports.blank import blank_of_class, blank_of_item
from gear.reports.choice import Defect, ReportRefused, ReportRequest
from gear.reports.forms import ReportForm
from gear.reports.services import issue_report
from tests import files
from tests.factories.crewlog import CompetenceFactory
from tests.factories.gear import ItemFactory, examined, good_examination
from tests.gear.rounds import answer, minutes, opened, sign

pytestmark = pytest.mark.django_db
PREMISES = "Wharf Store, 3 Tow Path\nHollin Reach"
ADDRESS = "2 Sallow Lane\nSallow Reach SR1 4QX"
REMEDY = "Cut back to 12 m and make a new eye"


def flat(text):
    return re.sub(r"\s+", "", text)


def text_of(pdf):
    return flat("".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages))


def described(member, **facts):
    CompetenceFactory(person=member.person, skill="examine_gear", gear_class="")
    facts = {"qualifications": "Certificate RG-77", "address": "9 Osier Yard, Sallow Reach"} | facts
    return ExaminerDetails.objects.create(details=member.person.details, **facts)


@pytest.fixture
def company(company):
    company.address = ADDRESS
    company.save()
    return company


@pytest.fixture
def ines(inspector):
    described(inspector)
    return inspector


@pytest.fixture
def rope(company):
    return ItemFactory(
        company=company, tag="R-07", rope=True, lifts_or_lowers=True, maker="Quillet Ropery", serial="QR-1", batch="Q4"
    )


def signed(actor, item, verdict="fit", *, days=0, kind="thorough", saw="", **facts):
    """An examination as the service records it."""
    on = item.company.today() - dt.timedelta(days=days)
    told = (
        EmployerNotice(dt.datetime(2026, 1, 2, 9, 30, tzinfo=dt.UTC), "in writing, letter 12")
        if verdict != "fit"
        else EmployerNotice()
    )
    examination = good_examination(item, kind=kind, on=on)
    if saw:
        answers = {**examination.answers, "heat": Answer("remark" if verdict == "remark" else "fail", saw)}
        examination = good_examination(item, kind=kind, on=on, answers=answers)
    return record_inspection(
        actor=actor, item=item, examination=examination, verdict=Verdict(verdict, told=told, **facts)
    )


def issued(actor, rows, *, said=None, premises=PREMISES):
    said = said or {}
    everything = {row.pk: said.get(row.pk, ReportRequest()) for row in rows}
    return issue_report(actor=actor, inspections=rows, said=everything, premises=premises)


def paper(report):
    return text_of(document_bytes(report.record))


def danger(kind, **facts):
    return ReportRequest(defect=Defect(danger=kind, part="Far eye", remedy=REMEDY, **facts))


# --- every particular -------------------------------------------------------------------------------------------------


def test_the_schedule_has_its_eleven_paragraphs_each_with_how_it_is_known():
    numbers = {int(re.match(r"\d+", p.paragraph)[0]) for p in schedule.PARTICULARS}
    assert numbers == set(range(1, 12))
    assert len({p.paragraph for p in schedule.PARTICULARS}) == len(schedule.PARTICULARS)
    assert {p.how_obtained for p in schedule.PARTICULARS} <= {"read in a copy", "read in a reprint", "from memory"}


@pytest.fixture
def sound(ines, rope):
    examined(rope, days=200)
    return signed(ines, rope)


EXPECTED = {
    "1": "Sallow Reach Tree Works, 2 Sallow Lane, Sallow Reach SR1 4QX.",
    "2": "Wharf Store, 3 Tow Path, Hollin Reach.",
    "3": "Tag R-07: Line, 14 mm, 45 m (rope); maker Quillet Ropery; serial QR-1; batch Q4; made ",
    "5": "9.00 kN (breaking strength over design factor).",
    "6(a)": "No: it is not installed or assembled in a place.",
    "6(b)": "Does not apply.",
    "7(a)": "Within an interval of 6 months: regulation 9(3)(a)(i).",
    "7(b)": "It would be safe to operate.",
    "8(a)": "None found.",
    "8(b)": "None: no defect that is a danger.",
    "8(c)(i)": "Does not apply.",
    "8(c)(ii)": "Does not apply.",
    "8(e)": "Pulled to 4 kN for a minute, no change.",
    "9": "Ines Varrow, 9 Osier Yard, Sallow Reach. Qualifications: Certificate RG-77. Employed by Sallow Reach Tree "
    "Works, 2 Sallow Lane, Sallow Reach SR1 4QX.",
    "10": "Nobody: the author signs it.",
}


def test_each_particular_of_the_schedule_stands_on_the_paper(ines, rope, sound):
    report = issued(ines, [sound], said={sound.pk: ReportRequest(tests="Pulled to 4 kN for a minute, no change.")})
    text = paper(report)
    days = {
        "4": rope.company.today() - dt.timedelta(days=30),  # the factory's own last examination
        "8(d)": sound.next_due_on,
        "8(f)": sound.examined_on,
        "11": report.issued_on,
    }
    expected = EXPECTED | {key: f"{day.day} {day:%B} {day.year}" for key, day in days.items()}
    assert set(expected) == {p.paragraph for p in schedule.PARTICULARS}
    missing = [
        each.paragraph
        for each in schedule.PARTICULARS
        if flat(each.paragraph + each.words) not in text or flat(expected[each.paragraph]) not in text
    ]
    assert missing == []


def test_the_paper_carries_number_seal_points_and_the_makers_word(ines, rope, sound):
    report = issued(ines, [sound])
    text = paper(report)
    for said in (report.number, report.facts_sha256, report.chain_head, sound.record.hash, schedule.MAKERS_FIRST):
        assert flat(said) in text
    for point in rope.declared.checklist.points:
        assert flat(point.words) in text
    assert flat("Smallest diameter found14.0 mmleast 12.6 mmwithin") in text
    assert flat("Page 1 of") in text


# --- defects ----------------------------------------------------------------------------------------------------------


def test_a_defect_that_is_a_danger_is_named_with_its_remedy_and_who_was_told(ines, rope):
    row = signed(ines, rope, "out_of_use", saw="cut at 14 m")
    text = paper(issued(ines, [row], said={row.pk: danger("now")}))
    for words in (
        "8(a)Part with a defect that is or could become a danger, and the defectFar eye: ",
        "cut at 14 m",
        REMEDY,
        schedule.WOULD_NOT_BE_SAFE,
        "2 January 2026, 09:30, in writing, letter 12",
        "Not required: no existing or imminent risk of serious personal injury.",
        "Before it is used again.",
    ):
        assert flat(words) in text, words


def test_a_defect_that_could_become_a_danger_has_its_day(ines, rope):
    row = signed(ines, rope, "remark", saw="whipping loose", remark_due_on=rope.company.today() + dt.timedelta(days=9))
    text = paper(issued(ines, [row], said={row.pk: danger("could", could_by=dt.date(2099, 3, 1))}))
    assert flat(schedule.SAFE_UNTIL.format(day="1 March 2099")) in text
    assert flat("8(c)(i)Time by which another defect could become a danger1 March 2099") in text
    assert flat("8(c)(ii)Repair, renewal or alteration for such a defect" + REMEDY) in text
    assert flat("None: no defect that is a danger.") in text


def test_a_risk_of_serious_injury_names_the_copy_to_the_authority(ines, rope):
    row = signed(ines, rope, "out_of_use", saw="cut")
    said = danger("now", risk_of_serious_injury=True, authority_copy="posted to the area office")
    text = paper(issued(ines, [row], said={row.pk: said}))
    assert flat("Existing or imminent risk of serious personal injury. posted to the area office") in text


@pytest.mark.parametrize(
    ("said", "code", "field"),
    [
        (ReportRequest(), "defect-without-danger", "danger"),
        (ReportRequest(defect=Defect(danger="now", remedy="x")), "defect-without-part", "part"),
        (ReportRequest(defect=Defect(danger="now", part="x")), "defect-without-remedy", "remedy"),
        (danger("could"), "defect-without-day", "could_by"),
        (danger("could", could_by=dt.date(2001, 1, 1)), "defect-day-too-early", "could_by"),
        (danger("now", risk_of_serious_injury=True), "copy-without-authority", "copy"),
    ],
)
def test_a_report_that_leaves_out_what_the_schedule_asks_is_refused(ines, rope, said, code, field):
    row = signed(ines, rope, "out_of_use", saw="cut")
    with pytest.raises(ReportRefused) as refused:
        issued(ines, [row], said={row.pk: said})
    assert (refused.value.code, refused.value.field) == (code, f"{field}_{row.pk}")
    assert not ExaminationReport.objects.exists()


def test_a_defect_nobody_was_told_of_is_refused(ines, rope):
    row = examined(rope, days=1, verdict="remark", remark_due_on=rope.company.today(), inspector=ines.person)
    with pytest.raises(ReportRefused) as refused:
        issued(ines, [row], said={row.pk: danger("could", could_by=rope.company.today())})
    assert refused.value.code == "employer-not-told"
    said = danger("could", could_by=rope.company.today(), told="by telephone, 3 May, noted in the day book")
    assert flat("by telephone, 3 May, noted in the day book") in paper(issued(ines, [row], said={row.pk: said}))


# --- who, what, when --------------------------------------------------------------------------------------------------


def test_the_occasion_is_the_one_of_the_examination(ines, company):
    ground = ItemFactory(company=company, tag="B-1")
    drum = ItemFactory(company=company, tag="D-1", gear_class="bollard", lifts_or_lowers=True)
    after = ItemFactory(company=company, tag="B-2", lifts_or_lowers=True)
    rows = [signed(ines, ground), signed(ines, drum), signed(ines, after, kind="after_event")]
    text = paper(
        issued(ines, rows, said={rows[1].pk: ReportRequest(is_first_in_place=True, is_installed_correctly=True)})
    )
    assert flat(f"{schedule.BY_SCHEME} (12 months, PUWER") in text
    assert flat(f"{schedule.EXCEPTIONAL}.") in text
    assert flat(f"6(a){schedule.WORDS['6(a)']}Yes.") in text
    assert flat(schedule.INSTALLED_CORRECTLY) in text
    assert flat("3 items examined") in text


def test_the_owner_issues_on_the_authors_behalf_and_is_named(owner, ines, sound):
    with pytest.raises(ReportRefused) as refused:
        issued(owner, [sound])
    assert refused.value.code == "authenticator-unknown"
    described(owner, address="2 Sallow Lane, Sallow Reach", employment="self")
    report = issued(owner, [sound])
    assert (report.signed_by, report.authenticated_by) == (ines.person, owner.person)
    assert flat(
        "10Person authenticating it on the author's behalf: name and addressOrla Quenby, 2 Sallow Lane"
    ) in paper(report)


@pytest.mark.parametrize("employment", ["self", "other"])
def test_the_author_is_self_employed_or_of_another_firm(inspector, rope, employment):
    described(
        inspector,
        employment=employment,
        employer_name="Tallis Gear Check" if employment == "other" else "",
        employer_address="1 Mill Row" if employment == "other" else "",
    )
    text = paper(issued(inspector, [signed(inspector, rope)]))
    assert flat("Self-employed." if employment == "self" else "Employed by Tallis Gear Check, 1 Mill Row.") in text


def test_another_inspector_an_outsider_and_two_authors_are_refused(ines, owner, outsider, company, rope, sound):
    described(owner)
    other = signed(owner, ItemFactory(company=company, tag="B-9"))
    for actor, rows, code in (
        (ines, [other], "not-the-author"),
        (owner, [other, sound], "two-authors"),
        (outsider, [sound], "other-company"),
    ):
        with pytest.raises(ReportRefused) as refused:
            issued(actor, rows)
        assert refused.value.code == code


def test_what_was_no_thorough_examination_is_not_reported(ines, rope):
    interim = signed(ines, rope, kind="interim")
    with pytest.raises(ReportRefused) as refused:
        issued(ines, [interim])
    assert refused.value.code == "not-thorough"


def test_a_corrected_examination_is_not_reported(ines, rope, sound):
    correct_inspection(
        actor=ines,
        inspection=sound,
        because="wrong rope",
        examination=good_examination(rope),
        verdict=Verdict("fit"),
    )
    with pytest.raises(ReportRefused) as refused:
        issued(ines, [sound])
    assert refused.value.code == "corrected-already"


def test_a_company_without_an_address_issues_no_report(ines, rope, sound, company):
    company.address = ""
    company.save()
    with pytest.raises(ReportRefused) as refused:
        issued(ines, [sound])
    assert refused.value.code == "company-without-address"


def test_a_report_is_evidence_without_names_and_the_chain_holds(ines, rope, sound):
    first, second = issued(ines, [sound]), issued(ines, [sound])
    year = rope.company.today().year
    assert [first.number, second.number] == [f"TE-{year}-0001", f"TE-{year}-0002"]
    assert "Ines" not in first.facts
    assert str(ines.person.pk) in first.facts
    assert json.loads(first.facts)["examinations"][0]["record"] == sound.record.hash
    assert first.chain_head != second.chain_head
    assert [line.inspection for line in first.reported.all()] == [sound]
    assert verify(rope.company, files=True).holds


def test_markup_in_what_people_wrote_is_only_shown(ines, company):
    wicked = '<img src="file:///etc/passwd"/><b>x</b> &amp;'
    item = ItemFactory(company=company, tag="R-3", rope=True, description=wicked, maker=wicked)
    row = signed(ines, item, "out_of_use", saw=wicked)
    text = paper(issued(ines, [row], said={row.pk: danger("now")}, premises=wicked))
    assert text.count(flat(wicked)) >= 4


def test_a_photograph_of_the_examination_is_named_by_its_hash(ines, rope, sound):
    file = store_photograph(actor=ines, item=rope, upload=files.upload(files.jpeg()), inspection=sound, caption="Eye")
    assert flat(file.sha256 + " Eye") in paper(issued(ines, [sound]))


def test_a_long_report_asks_no_more_of_the_database_by_item(ines, company, django_assert_max_num_queries):
    rows = [signed(ines, ItemFactory(company=company, tag=f"B-{n}")) for n in range(12)]
    with django_assert_max_num_queries(39):
        issued(ines, rows)
    assert Inspection.objects.filter(reported__isnull=False).count() == 12


def test_tellings_are_read_at_once_for_all_that_a_report_says_of_failures(ines, company):
    items = [ItemFactory(company=company, tag=f"R-{n}", rope=True) for n in range(4)]
    draft = opened(ines, *items)
    for item in items:
        answer(ines, draft, item, answer_sheath="fail", saw_sheath="cut")
    rows = list(sign(ines, draft).round.lines.values_list("inspection", flat=True))
    for failure in FailureFound.objects.all():
        tell_employer(actor=ines, failure=failure, telling=Telling(timezone.now() + minutes(1), "by telephone"))
    costs = []
    for some in (rows[:1], rows):
        found = list(Inspection.objects.filter(pk__in=some).select_related("failure", "item"))
        with CaptureQueriesContext(connection) as asked:
            form = ReportForm(company=company, inspections=found)
        assert not [name for name in form.fields if name.startswith("told_")]
        with CaptureQueriesContext(connection) as issuing:
            issued(ines, found, said={key: danger("now") for key in some})
        costs.append((len(asked), len(issuing)))
    assert costs[0] == costs[1]
    assert costs[0][0] == 1


# --- blank checklists -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("declared", CLASSES, ids=lambda c: c.code)
def test_a_blank_checklist_says_every_point_limit_and_source(declared, company):
    text = text_of(blank_of_class(declared, company))
    for point in declared.checklist.points:
        assert flat(f"{point.words} {point.hint}. ({point.source})") in text
    for measure in declared.measures:
        assert flat(measure.label) in text
        assert flat(measure.source) in text
    assert flat(schedule.MAKERS_FIRST) in text
    assert flat(declared.life.source) in text
    assert flat(f"{declared.name}, version {declared.checklist.version} of the checklist") in text


def test_a_blank_checklist_of_an_item_works_its_limits_out(rope):
    text = text_of(blank_of_item(rope))
    assert flat("at least 12.6 mm") in text
    assert flat("serial QR-1") in text
