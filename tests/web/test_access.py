"""Who may open what: one table of address × person → status. A named address without a row fails."""

import datetime as dt
import logging
import re

import pytest
from django.db import transaction
from django.shortcuts import resolve_url
from django.test import Client
from django.urls import get_resolver, reverse

from crewlog.company.services import describe_examiner
from crewlog.files.keeping import keep
from crewlog.files.photographs import read_photograph
from crewlog.retention.services import place_hold
from gear.examinations.services import Verdict, record_inspection
from gear.files.services import hold_upload, store_photograph
from gear.lists.services import keep_upload
from gear.models import RoundPhotograph
from gear.reports.choice import ReportRequest
from gear.reports.services import issue_report
from gear.sets.services import put_in
from jobs.models import Anchor, Duty
from jobs.sheets.assign import open_draft
from jobs.sheets.emergency import EVERYTHING
from jobs.sheets.services import issue_sheet, withdraw_sheet
from tests.factories.crewlog import CompetenceFactory, LearningFactory, MembershipFactory
from tests.factories.gear import ItemFactory, examiner, good_examination
from tests.factories.jobs import passing_sheet
from tests.files import close_file, jpeg
from tests.gear.fact_changes.changing import change as change_fact_of
from tests.gear.rounds import answer_all, opened, sign

pytestmark = pytest.mark.django_db
PEOPLE = ("owner", "lead", "inspector", "climber", "auditor", "lapsed", "outsider", "anonymous")
SIGN_IN = "in"  # sent to the sign-in page, and back afterwards
# Forms are posted empty but for a token, as a browser does: 422 says that the person may, and which fields it asks for.
# A position is not emptied by a form without its note of what it showed: 409.
TOKEN = {"csrfmiddlewaretoken": "not-checked-by-the-test-client"}
TABLE = """
address                                   method  owner lead inspector climber auditor lapsed outsider anonymous

today                                     GET     200   200   200   200   302   403   200   in
more                                      GET     200   200   200   200   200   403   200   in
crew                                      GET     200   200   200   403   403   403   200   in
company                                   GET     200   403   403   403   403   403   200   in
company                                   POST    422   403   403   403   403   403   422   in
sign_in_rules                             GET     200   403   403   403   403   403   200   in
sign_in_rules                             POST    422   403   403   403   403   403   422   in
examiner person_id                        GET     200   403   403   403   403   403   404   in
examiner person_id                        POST    422   403   403   403   403   403   404   in
person_new                                GET     200   403   403   403   403   403   200   in
person_new                                POST    422   403   403   403   403   403   422   in
person person_id                          GET     200   200   403   403   403   403   404   in
person_edit person_id                     GET     200   403   403   403   403   403   404   in
person_edit person_id                     POST    422   403   403   403   403   403   404   in
person_sign_in person_id                  GET     200   403   403   403   403   403   404   in
person_sign_in person_id                  POST    422   403   403   403   403   403   404   in
person_invite person_id                   POST    302   403   403   403   403   403   404   in
person_left person_id                     GET     200   403   403   403   403   403   404   in
person_left person_id                     POST    422   403   403   403   403   403   404   in
person_back person_id                     POST    302   403   403   403   403   403   404   in
person_remove person_id                   GET     200   403   403   403   403   403   404   in
person_remove person_id                   POST    422   403   403   403   403   403   404   in
competence_new person_id                  GET     200   403   403   403   403   403   404   in
competence_new person_id                  POST    422   403   403   403   403   403   404   in
competence_end competence_id              GET     200   403   403   403   403   403   404   in
competence_end competence_id              POST    422   403   403   403   403   403   404   in
retention                                 GET     200   403   403   403   403   403   200   in
retention                                 POST    422   403   403   403   403   403   422   in
holds                                     GET     200   403   403   403   403   403   200   in
holds                                     POST    422   403   403   403   403   403   422   in
hold_lift hold_id                         GET     200   403   403   403   403   403   404   in
hold_lift hold_id                         POST    422   403   403   403   403   403   404   in
records                                   GET     200   200   200   403   200   403   200   in
chain_export                              GET     200   403   403   403   200   403   200   in
chain_verifier                            GET     200   403   403   403   200   403   200   in
theme                                     POST    302   302   302   302   302   302   302   302
demo_sign_in member_id                    POST    404   404   404   404   404   404   404   404
demo_sign_in member_id                    GET     404   404   404   404   404   404   404   404
theme                                     GET     302   302   302   302   302   302   302   302
who_is_here                               GET     200   200   200   200   200   200   200   200
healthz                                   GET     200   200   200   200   200   200   200   200
readyz                                    GET     200   200   200   200   200   200   200   200
favicon                                   GET     302   302   302   302   302   302   302   302
robots                                    GET     200   200   200   200   200   200   200   200
security_text                             GET     404   404   404   404   404   404   404   404

store                                     GET     200   200   200   200   200   403   200   in
store_due                                 GET     200   200   200   200   200   403   200   in
labels                                    GET     200   200   200   403   403   403   200   in
labels                                    POST    422   422   422   403   403   403   422   in
schemes                                   GET     200   200   200   200   200   403   200   in
class_limits                              GET     200   200   200   200   200   403   200   in
class_limit_change                        GET     404   403   403   403   403   403   404   in
class_limit_change                        POST    404   403   403   403   403   403   404   in
scheme_change                             GET     404   403   403   403   403   403   404   in
scheme_change                             POST    404   403   403   403   403   403   404   in
learning_new person_id                    GET     200   403   403   403   403   403   404   in
learning_new person_id                    POST    422   403   403   403   403   403   404   in
learning_end learning_id                  POST    302   403   403   403   403   403   404   in
fact_changes                              GET     200   200   200   200   200   403   200   in
fact_check                                GET     200   403   403   403   403   403   200   in
fact_check                                POST    422   403   403   403   403   403   422   in
rounds                                    GET     200   200   200   200   200   403   200   in
round_worker                              GET     200   200   200   200   200   200   200   200
round_new                                 GET     200   403   200   403   403   403   200   in
round_new                                 POST    404   403   404   403   403   403   404   in
round round_id                            GET     200   403   200   403   403   403   404   in
round_item round_id place                 GET     200   403   200   403   403   403   404   in
round_item round_id place                 POST    403   403   302   403   403   403   404   in
round_answers round_id                    POST    403   403   400   403   403   403   404   in
round_answers round_id                    GET     302   302   302   302   302   302   302   in
round_set round_id place                  GET     403   403   404   403   403   403   404   in
round_sign round_id                       GET     403   403   200   403   403   403   404   in
round_sign round_id                       POST    403   403   422   403   403   403   404   in
round_close round_id                      POST    403   403   302   403   403   403   404   in
round_mistake round_id place              GET     403   403   302   403   403   403   404   in
round_mistake round_id place              POST    403   403   302   403   403   403   404   in
round_photograph round_id place photograph_id GET 200   403   200   403   403   403   404   in
item_told tag                             GET     302   403   302   403   403   403   404   in
item_told tag                             POST    302   403   302   403   403   403   404   in
round_signed signed_id                    GET     200   200   200   200   200   403   404   in
reports                                   GET     200   200   200   403   200   403   200   in
report_new                                GET     200   403   200   403   403   403   200   in
report_new                                POST    200   403   200   403   403   403   200   in
report report_id                          GET     200   200   200   403   200   403   404   in
report_pdf report_id                      GET     200   200   200   403   200   403   404   in
class_checklist code                      GET     200   200   200   200   200   403   200   in
item_checklist tag                        GET     200   200   200   200   200   403   404   in
reminders                                 GET     200   200   200   200   200   403   200   in
reminders                                 POST    302   302   302   302   302   403   302   in
calendar_feed token                       GET     404   404   404   404   404   404   404   404
list_new                                  GET     200   403   403   403   403   403   200   in
list_new                                  POST    422   403   403   403   403   403   422   in
list_columns upload_id                    GET     200   403   403   403   403   403   404   in
list_columns upload_id                    POST    422   403   403   403   403   403   404   in
list_check upload_id                      GET     200   403   403   403   403   403   404   in
list_check upload_id                      POST    422   403   403   403   403   403   404   in
list_template                             GET     200   403   403   403   403   403   200   in
list_out                                  GET     200   403   200   403   200   403   200   in
list_file                                 GET     404   403   404   403   404   403   404   in
find_tag                                  GET     200   200   200   200   200   403   200   in
item_new                                  GET     200   403   403   403   403   403   200   in
item_new                                  POST    422   403   403   403   403   403   422   in
recall_new                                GET     200   200   200   403   403   403   200   in
recall_new                                POST    422   422   422   403   403   403   422   in
item tag                                  GET     200   200   200   200   200   403   404   in
item_edit tag                             GET     200   403   403   403   403   403   404   in
item_edit tag                             POST    422   403   403   403   403   403   404   in
item_change tag                           GET     200   403   200   403   403   403   404   in
item_change tag                           POST    422   403   422   403   403   403   404   in
fact_change tag change_id                 GET     200   200   200   200   200   403   404   in
fact_change tag change_id                 POST    422   422   422   403   403   403   404   in
item_alter tag                            GET     200   403   403   403   403   403   404   in
item_alter tag                            POST    422   403   403   403   403   403   404   in
item_loads tag                            GET     200   200   200   200   200   403   404   in
set_parts set                             GET     200   200   200   200   200   403   404   in
set_change set                            GET     200   200   200   403   403   403   404   in
set_change set                            POST    422   422   422   403   403   403   404   in
set_correct set change                    GET     200   200   200   403   403   403   404   in
set_correct set change                    POST    422   422   422   403   403   403   404   in
item_inspect tag                          GET     200   200   200   200   403   403   404   in
item_inspect tag                          POST    422   422   422   422   403   403   404   in
item_measure tag measure                  GET     200   200   200   200   403   403   404   in
item_event tag                            GET     200   200   200   200   403   403   404   in
item_event tag                            POST    422   422   422   422   403   403   404   in
item_out tag                              GET     200   200   200   403   403   403   404   in
item_out tag                              POST    422   422   422   403   403   403   404   in
item_files tag                            GET     200   200   200   200   200   403   404   in
item_files tag                            POST    422   422   422   422   403   403   404   in
item_file tag file_id                     GET     200   200   200   200   200   403   404   in
item_file_thumb tag file_id               GET     200   200   200   200   200   403   404   in
held_upload held_key                      GET     200   404   404   404   403   403   404   in
item_retire tag                           GET     200   403   403   403   403   403   404   in
item_retire tag                           POST    422   403   403   403   403   403   404   in
item_mistake tag                          GET     200   403   403   403   403   403   404   in
item_mistake tag                          POST    422   403   403   403   403   403   404   in
item_recall tag                           GET     200   403   200   403   403   403   404   in
item_recall tag                           POST    422   403   422   403   403   403   404   in

mechanics_defaults                        GET     200   200   200   200   200   403   200   in
mechanics_sources                         GET     200   200   200   200   200   403   200   in
efficiency tag                            GET     200   200   200   200   200   403   404   in
efficiency_new tag                        GET     200   200   200   403   403   403   404   in
efficiency_new tag                        POST    422   422   422   403   403   403   404   in

jobs                                      GET     200   200   200   200   403   403   200   in
job_new                                   GET     200   200   403   403   403   403   200   in
job_new                                   POST    422   422   403   403   403   403   422   in
job job_id                                GET     200   200   200   200   403   403   404   in
job_edit job_id                           GET     200   200   403   403   403   403   404   in
job_edit job_id                           POST    422   422   403   403   403   403   404   in
anchor_new job_id                         GET     200   200   403   403   403   403   404   in
anchor_new job_id                         POST    422   422   403   403   403   403   404   in
anchor_edit anchor_id                     GET     200   200   403   403   403   403   404   in
anchor_edit anchor_id                     POST    422   422   403   403   403   403   404   in
stem_new job_id                           GET     200   200   403   403   403   403   404   in
stem_new job_id                           POST    422   422   403   403   403   403   404   in
stem stem_id                              GET     200   200   403   403   403   403   404   in
stem stem_id                              POST    422   422   403   403   403   403   404   in
hazard_new stem_id                        GET     200   200   403   403   403   403   404   in
hazard_new stem_id                        POST    422   422   403   403   403   403   404   in

plan stem_id                              GET     200   200   200   200   403   403   404   in
plan stem_id                              POST    422   422   403   403   403   403   404   in
plan_try stem_id                          POST    422   422   403   403   403   403   404   in
plan_keep stem_id                         POST    422   422   403   403   403   403   404   in
plan_cures stem_id                        GET     200   200   403   403   403   403   404   in
plan_set stem_id                          POST    302   302   403   403   403   403   404   in
plan_efficiency stem_id                   POST    302   302   403   403   403   403   404   in
plan_least stem_id                        GET     200   200   200   200   403   403   404   in
plan_working stem_id                      GET     200   200   200   200   403   403   404   in

sheet_open stem_id                        POST    302   302   403   403   403   403   404   in
assign stem_id                            GET     200   200   403   403   403   403   404   in
fill_from_store stem_id                   POST    302   302   403   403   403   403   404   in
position stem_id role                     GET     200   200   403   403   403   403   404   in
position stem_id role                     POST    422   422   403   403   403   403   404   in
position_clear stem_id role               POST    409   409   403   403   403   403   404   in
duty_add stem_id                          POST    422   422   403   403   403   403   404   in
duty_remove duty_id                       POST    302   302   403   403   403   403   404   in

sheets                                    GET     200   200   200   200   200   403   200   in
sheet draft_id                            GET     200   200   200   200   403   403   404   in
sheet issued_id                           GET     200   200   200   200   200   403   404   in
sheet_day draft_id                        GET     200   200   403   403   403   403   404   in
sheet_day draft_id                        POST    422   422   403   403   403   403   404   in
sheet_done issued_id                      GET     200   200   200   200   200   403   404   in
sheet_done draft_id                       GET     404   404   404   404   404   403   404   in
sheet_done_record issued_id               GET     200   200   403   403   403   403   404   in
sheet_done_record issued_id               POST    422   422   403   403   403   403   404   in
reading_new issued_id                     GET     200   200   200   200   403   403   404   in
reading_new issued_id                     POST    422   422   422   422   403   403   404   in
sheet_issue draft_id                      POST    422   422   403   403   403   403   404   in
sheet_issue draft_id                      GET     302   302   302   302   302   302   302   in
sheet_pdf issued_id                       GET     200   200   200   200   200   403   404   in
sheet_pdf draft_id                        GET     404   404   404   404   404   403   404   in
reading_judge issued_id                   GET     200   200   200   200   403   403   404   in
reading_judge draft_id                    GET     404   404   404   404   403   403   404   in
sheet_pdf_original issued_id              GET     200   200   200   200   200   403   404   in
sheet_pdf_original draft_id               GET     404   404   404   404   404   403   404   in
sheet_source draft_id                     POST    422   422   403   403   403   403   404   in
sheet_withdraw issued_id                  POST    422   422   403   403   403   403   404   in
withdrawal_seen withdrawal_id             POST    302   302   302   302   403   403   404   in

account_login                             GET     302   302   302   302   302   302   302   200
account_logout                            GET     200   200   200   200   200   200   200   302
account_logout                            POST    302   302   302   302   302   302   302   302
account_inactive                          GET     200   200   200   200   200   200   200   200
account_signup                            GET     302   302   302   302   302   302   302   200
account_signup                            POST    302   302   302   302   302   302   302   200
account_reauthenticate                    GET     200   200   200   200   200   200   200   in
account_email                             GET     200   200   200   200   200   200   200   in
account_email_verification_sent           GET     200   200   200   200   200   200   200   200
account_change_password                   GET     200   200   200   200   200   200   200   in
account_set_password                      GET     302   302   302   302   302   302   302   in
account_reset_password                    GET     200   200   200   200   200   200   200   200
account_reset_password_done               GET     200   200   200   200   200   200   200   200
account_reset_password_from_key reset     GET     200   200   200   200   200   200   200   200
account_reset_password_from_key_done      GET     200   200   200   200   200   200   200   200
account_confirm_login_code                GET     302   302   302   302   302   302   302   302
account_confirm_email key                 GET     200   200   200   200   200   200   200   200
mfa_index                                 GET     200   200   200   200   200   200   200   in
mfa_authenticate                          GET     302   302   302   302   302   302   302   302
mfa_reauthenticate                        GET     302   302   302   302   302   302   302   in
mfa_activate_totp                         GET     302   302   302   302   302   302   302   in
mfa_deactivate_totp                       GET     404   404   404   404   404   404   404   in
mfa_view_recovery_codes                   GET     404   404   404   404   404   404   404   in
mfa_generate_recovery_codes               GET     302   302   302   302   302   302   302   in
mfa_download_recovery_codes               GET     404   404   404   404   404   404   404   in
mfa_list_webauthn                         GET     200   200   200   200   200   200   200   in
mfa_add_webauthn                          GET     302   302   302   302   302   302   302   in
mfa_reauthenticate_webauthn               GET     302   302   302   302   302   302   302   in
mfa_edit_webauthn passkey                 GET     302   302   302   302   302   302   302   in
mfa_remove_webauthn passkey               GET     302   302   302   302   302   302   302   in
mfa_login_webauthn                        GET     302   302   302   302   302   302   302   302
mfa_login_webauthn                        POST    302   302   302   302   302   302   302   302
devices                                   GET     200   200   200   200   200   200   200   in
devices_end                               POST    302   302   302   302   302   302   302   in
devices_end                               GET     302   302   302   302   302   302   302   in
device_end device                         POST    302   302   302   302   302   302   302   in
"""
ROWS = [line.split() for line in TABLE.strip().splitlines()[1:] if line.strip()]


def split_row(words):
    """(name, names of its arguments, method, statuses by person)."""
    name, *arguments, method = words[: -len(PEOPLE)]
    return name, arguments, method, dict(zip(PEOPLE, words[-len(PEOPLE) :], strict=True))


@pytest.fixture
def lapsed(company):
    """An auditor whose access ended."""
    return MembershipFactory(company=company, role="auditor", ends_on=dt.date(2020, 1, 1))


@pytest.fixture
def anonymous():
    return None


def rounds_of(inspector):
    """A signed round and an open one of the inspector."""
    examiner(inspector)
    signed = opened(inspector, ItemFactory(company=inspector.company))
    answer_all(inspector, signed)
    return sign(inspector, signed).round, opened(inspector, ItemFactory(company=inspector.company))


def kept_photograph(draft, picture):
    keep(picture.content)
    size = {"width_px": picture.width_px, "height_px": picture.height_px}
    return RoundPhotograph.objects.create(row=draft.rows.get(), sha256=picture.sha256, **size).pk


@pytest.fixture
def arguments(company, owner, lead, inspector):
    """What the addresses name: rows of one company."""
    signed, draft_round = rounds_of(inspector)
    sheet = passing_sheet(company, lead=lead.person)
    issue_sheet(actor=lead, sheet=sheet, looked_at=EVERYTHING)
    draft = open_draft(actor=lead, stem=sheet.stem)
    withdrawal = withdraw_sheet(actor=owner, sheet=sheet, reason="Wind")
    job = sheet.stem.job
    tackle = ItemFactory(company=company, gear_class="tackle_set", parts_expected=2)
    change = put_in(
        actor=owner, assembly=tackle, part=ItemFactory(company=company), on=company.today(), because="made up"
    )
    line = sheet.assignments.get(role="main_line").item
    picture = read_photograph(jpeg())
    examination = good_examination(line)
    describe_examiner(actor=owner, person=owner.person, qualifications="x", address="y", employment="self")
    examiner(owner)
    company.address = "1 New Row"
    company.save()
    row = record_inspection(actor=owner, item=line, examination=examination, verdict=Verdict("fit"))
    report = issue_report(actor=owner, inspections=[row], said={row.pk: ReportRequest()}, premises="Store")
    hold = place_hold(actor=owner, about="person", subject=str(lead.person_id), because="claim")
    return {
        "token": {"token": "no-such-address"},
        "competence_id": {"competence_id": CompetenceFactory(person=lead.person, skill="hauler").pk},
        "learning_id": {"learning_id": LearningFactory(person=lead.person, skill="bollard").pk},
        "hold_id": {"hold_id": hold.pk},
        "person_id": {"person_id": owner.person.pk},
        "report_id": {"report_id": report.pk},
        "code": {"code": "rope"},
        "file_id": {"file_id": store_photograph(actor=owner, item=line, upload=picture).pk},
        "held_key": {"key": hold_upload(actor=owner, file=picture).pk},
        "change_id": {"change_id": change_fact_of(owner, line, "length", length_m=70.0)[0].pk},
        "set": {"tag": tackle.tag},
        "change": {"change_id": change.pk},
        "tag": {"tag": line.tag},
        "measure": {"name": "diameter_mm"},
        "job_id": {"job_id": job.pk},
        "stem_id": {"stem_id": sheet.stem_id},
        "anchor_id": {"anchor_id": Anchor.objects.filter(job=job).first().pk},
        "role": {"role": "main_line"},
        "duty_id": {"duty_id": Duty.objects.filter(sheet=draft).first().pk},
        "issued_id": {"sheet_id": sheet.pk},
        "draft_id": {"sheet_id": draft.pk},
        "round_id": {"draft_id": draft_round.pk},
        "place": {"place": 1},
        "photograph_id": {"photograph_id": kept_photograph(draft_round, picture)},
        "signed_id": {"round_id": signed.pk},
        "withdrawal_id": {"withdrawal_id": withdrawal.pk},
        "upload_id": {"upload_id": keep_upload(actor=owner, name="gear.csv", data=b"Tag,Class\nB-01,Block\n").pk},
        "key": {"key": "no-such-key"},
        "member_id": {"member_id": lead.pk},
        "passkey": {"pk": 1},
        "device": {"device_id": 1},
        "reset": {"uidb36": "x", "key": "y-z"},
    }


def status_for(member, address, method):
    """What a fresh client signed in as the member gets; whatever it changed is rolled back."""
    client = Client()
    with transaction.atomic():
        if member is not None:
            client.force_login(member.user, backend="allauth.account.auth_backends.AuthenticationBackend")
        response = client.get(address) if method == "GET" else client.post(address, TOKEN)
        close_file(response)
        transaction.set_rollback(True)
    if response.status_code == 302 and response["Location"].startswith(f"{resolve_url('account_login')}?next="):
        return SIGN_IN
    return str(response.status_code)


@pytest.mark.parametrize("person", PEOPLE)
def test_each_address_answers_each_person_as_the_table_says(request, arguments, person, caplog):
    caplog.set_level(logging.CRITICAL, logger="django.request")  # hundreds of refusals are expected here
    member = request.getfixturevalue(person)
    wrong = []
    for name, needed, method, statuses in map(split_row, ROWS):
        address = reverse(name, kwargs={k: v for key in needed for k, v in arguments[key].items()})
        got = status_for(member, address, method)
        if got != statuses[person]:
            wrong.append(f"{method} {address} ({name}): {got}, not {statuses[person]}")
    assert not wrong, "\n".join(wrong)


def names_of(resolver):
    for pattern in resolver.url_patterns:
        if hasattr(pattern, "url_patterns"):
            yield from names_of(pattern)
        else:
            yield pattern.name


def test_every_address_is_named_and_has_a_row():
    names = set(names_of(get_resolver()))
    assert None not in names
    assert names == {split_row(row)[0] for row in ROWS}


def test_every_row_names_a_status_or_the_sign_in_page():
    for row in ROWS:
        assert all(re.fullmatch(rf"\d\d\d|{SIGN_IN}", word) for word in row[-len(PEOPLE) :]), row


def test_dead_session_sends_an_htmx_request_to_the_sign_in_page(db):
    response = Client().get(reverse("store"), headers={"HX-Request": "true"})
    assert response.status_code == 204
    assert response["HX-Redirect"].startswith(resolve_url("account_login"))
