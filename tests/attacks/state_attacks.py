"""What repeats the record and may be changed, changed by hand: gear, people, sheets, files."""

from pathlib import Path

from django.conf import settings

from crewlog.models import Competence, IssuedDocumentBytes, Membership, RecordSubject
from crewlog.models.training import Learning, TrainingSession
from gear.models import GearItem
from jobs.models import Duty, IssuedSheet
from tests.attacks.sql import run

IN_FILES = frozenset({"the bytes of a file are changed", "a file is removed"})


def attacks(vendor):
    yield "a retired item is put back", retired_back
    yield "a due date is moved", due_date
    yield "a rating is raised", rating
    yield "a quarantine is lifted", quarantine
    yield "a role is raised", role
    yield "a user who left is activated", activated
    yield "the day somebody left is taken away", not_left
    yield "a sign-in is given by hand", sign_in
    yield "the last day of an auditor is moved", access
    yield "a trainee is none any more", trainee
    yield "a name is changed", name
    yield "a name is removed without a record", name_gone
    yield "a qualification is extended", extended
    yield "a qualification is given by hand", qualification
    yield "the certificate of a qualification is changed", certificate
    yield "a session of training is changed", session
    yield "a session of training is removed", session_gone
    yield "the day of an issued sheet is moved", sheet_day
    yield "an issued sheet holds another item", sheet_item
    yield "an issued sheet names another person", sheet_person
    yield "the bytes of a file are changed", file_bytes
    yield "a file is removed", file_gone
    yield "a kept PDF is changed", pdf
    yield "a kept PDF is removed", pdf_gone
    yield "a record of an item is no longer found by it", subject_gone
    yield "a record is found by another item", subject_moved


def retired_back(world):
    item = GearItem.objects.for_company(world.company).filter(retired_on__isnull=False).first()
    assert item is not None
    run(
        "UPDATE gear_gearitem SET retired_on = NULL, retired_because = '', is_mistake = %s WHERE id = %s",
        False,
        item.pk,
    )


def due_date(world):
    item = (
        GearItem.objects.for_company(world.company).filter(retired_on__isnull=True, next_due_on__isnull=False).first()
    )
    run("UPDATE gear_gearitem SET next_due_on = '2099-01-01' WHERE id = %s", item.pk)


def rating(world):
    rated = GearItem.objects.for_company(world.company).filter(working_load_limit_n__isnull=False)
    item = rated.filter(breaking_strength_n__isnull=True).first()
    run("UPDATE gear_gearitem SET working_load_limit_n = working_load_limit_n * 1.5 WHERE id = %s", item.pk)


def quarantine(world):
    item = GearItem.objects.for_company(world.company).filter(quarantined_on__isnull=False).first()
    assert item is not None
    run("UPDATE gear_gearitem SET quarantined_on = NULL, quarantined_because = '' WHERE id = %s", item.pk)


def role(world):
    member = Membership.objects.filter(company=world.company, role="crew").first()
    run("UPDATE crewlog_membership SET role = 'owner' WHERE id = %s", member.pk)


def activated(world):
    member = Membership.objects.get(person=world.gone)
    run("UPDATE crewlog_user SET is_active = %s WHERE id = %s", True, member.user_id)


def not_left(world):
    run("UPDATE crewlog_person SET left_on = NULL WHERE id = %s", key(world.gone))
    activated(world)


def key(person_id):
    """An id as the database at hand keeps it."""
    from django.db import connection

    return str(person_id).replace("-", "") if connection.vendor == "sqlite" else str(person_id)


def sign_in(world):
    from crewlog.models import Person, User

    user = User.objects.create(email="intruder@crewlog.example")
    person = Person.objects.create(company=world.company)
    Membership.objects.create(user=user, company=world.company, person=person, role="owner")


def access(world):
    run(
        "UPDATE crewlog_membership SET ends_on = '2099-01-01' WHERE company_id = %s AND role = 'auditor'",
        world.company.pk,
    )


def trainee(world):
    learning = Learning.objects.filter(person__company=world.company)
    assert learning.exists()
    run("DELETE FROM crewlog_learning WHERE id = %s", learning.first().pk)


def somebody(world):
    return Membership.objects.filter(company=world.company, role="inspector").first().person_id


def name(world):
    run("UPDATE crewlog_persondetails SET name = 'Somebody Else' WHERE person_id = %s", key(somebody(world)))


def name_gone(world):
    run("DELETE FROM crewlog_examinerdetails")
    run("DELETE FROM crewlog_persondetails WHERE person_id = %s", key(somebody(world)))


def extended(world):
    row = Competence.objects.filter(person__company=world.company).first()
    run("UPDATE crewlog_competence SET expires_on = '2099-01-01' WHERE id = %s", row.pk)


def qualification(world):
    Competence.objects.create(person_id=world.gone, skill="cutter", evidence="seen", granted_on="2026-01-01")


def certificate(world):
    row = Competence.objects.filter(person__company=world.company).first()
    run("UPDATE crewlog_competence SET evidence = 'Certificate of another' WHERE id = %s", row.pk)


def session_of(world):
    return TrainingSession.objects.filter(person__company=world.company).first().pk


def session(world):
    run("UPDATE crewlog_trainingsession SET place = 'Elsewhere' WHERE id = %s", session_of(world))


def session_gone(world):
    run("DELETE FROM crewlog_trainingsession WHERE id = %s", session_of(world))


def issued(world):
    return IssuedSheet.objects.filter(record__company=world.company).first().sheet_id


def sheet_day(world):
    run("UPDATE jobs_sheet SET day = '2031-01-01' WHERE id = %s", issued(world))


def sheet_item(world):
    spare = GearItem.objects.for_company(world.company).exclude(assignments__sheet=issued(world)).first()
    run(
        "UPDATE jobs_assignment SET item_id = %s WHERE sheet_id = %s AND role = 'main_line' AND rank = 0",
        spare.pk,
        issued(world),
    )


def sheet_person(world):
    duty = Duty.objects.filter(sheet=issued(world)).first()
    run("UPDATE jobs_duty SET person_id = %s WHERE id = %s", key(world.gone), duty.pk)


def files():
    return [path for path in sorted(Path(settings.FILES_DIR).rglob("*")) if path.is_file()]


def file_bytes(world):
    for path in files():
        path.write_bytes(path.read_bytes() + b"\0")


def file_gone(world):
    for path in files():
        path.unlink()


def pdf(world):
    kept = IssuedDocumentBytes.objects.filter(paper__record__company=world.company).first()
    content = bytes(kept.content).replace(b"/Producer", b"/Prodacer")
    assert content != bytes(kept.content)
    run("UPDATE crewlog_issueddocumentbytes SET content = %s WHERE paper_id = %s", content, kept.pk)


def pdf_gone(world):
    kept = IssuedDocumentBytes.objects.filter(paper__record__company=world.company).first()
    run("DELETE FROM crewlog_issueddocumentbytes WHERE paper_id = %s", kept.pk)


def subject_of(world):
    subjects = RecordSubject.objects.filter(record__company=world.company, kind="gear.gearitem")
    return subjects.order_by("pk").first().pk


def subject_gone(world):
    run("DELETE FROM crewlog_recordsubject WHERE id = %s", subject_of(world))


def subject_moved(world):
    run("UPDATE crewlog_recordsubject SET key = '999999' WHERE id = %s", subject_of(world))
