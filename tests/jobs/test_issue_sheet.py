"""Issuing: all of it or none of it, and never again changed."""

import hashlib
import json

import pytest
from django.db import DatabaseError, connection, transaction

from crewlog.evidence import verify
from crewlog.models import Record
from gear.models import GearItem
from jobs.errors import NotForThisPosition, SheetFixed, SheetRefused
from jobs.mechanics import MECHANICS_VERSION
from jobs.models import Anchor, Assignment, Duty, IssuedSheet, Sheet, SheetRefusal
from jobs.sheets import assign
from jobs.sheets.check import check_sheet
from jobs.sheets.emergency import EVERYTHING
from jobs.sheets.services import changed_since, fill_from_store, gear_since, issue_sheet
from tests.factories.gear import ItemFactory
from tests.factories.jobs import passing_sheet
from tests.factories.scenario import checked, codes, edit_item, edit_plan, fresh, item_in
from tests.given import Given


@pytest.fixture
def sheet(company, lead):
    return passing_sheet(company, lead=lead.person)


@pytest.fixture
def issued(sheet, lead):
    return issue_sheet(actor=lead, sheet=sheet, looked_at=EVERYTHING)


def take_away(item):
    """Out of use by the hand of somebody else."""
    GearItem.objects.filter(pk=item.pk).update(
        quarantined_on=item.company.today(), quarantined_because="dropped from the cage"
    )


# refused


def test_refused_attempt_leaves_its_record_and_no_issue(sheet, lead, company):
    edit_item(sheet, "moving_block", working_load_limit_n=2_000.0)
    edit_plan(sheet, gust_m_s=11.5)
    with pytest.raises(SheetRefused) as refused:
        issue_sheet(actor=lead, sheet=sheet, looked_at=EVERYTHING)
    assert {f.full_code for f in refused.value.findings} == {"under-rated:moving_block", "wind-above-limit"}
    assert refused.value.code == "sheet-refused"
    assert not IssuedSheet.objects.exists()
    record = SheetRefusal.objects.get(sheet=sheet)
    assert set(json.loads(record.codes)) == {"under-rated:moving_block", "wind-above-limit"}
    assert json.loads(record.inputs)["plan.gust_m_s"] == 11.5
    assert record.asked_by == lead.person
    assert verify(company).holds


def test_every_reason_is_given_at_once(sheet, lead):
    edit_item(sheet, "cleat", working_load_limit_n=100.0)
    take_away(item_in(sheet, "moving_block"))
    Duty.objects.filter(sheet=sheet, duty="lookout").delete()
    Anchor.objects.filter(assignments__sheet=sheet).update(decay_checked=False)
    assert codes(sheet) == {
        "under-rated:cleat",
        "unfit:moving_block",
        "duty-empty:lookout",
        "anchor-unchecked:anchor",
        "anchor-unchecked:bollard_anchor",
    }


# issued


def test_issue_keeps_paper_and_snapshot_with_their_digest(issued, sheet, company, lead):
    stored = IssuedSheet.objects.get(sheet=sheet)
    assert stored.paper().startswith(b"%PDF")
    assert stored.snapshot_sha256 == hashlib.sha256(stored.snapshot.encode()).hexdigest()
    assert stored.mechanics_version == MECHANICS_VERSION
    assert stored.issued_by == lead.person
    verdict = verify(company)
    assert verdict.holds
    assert verdict.count == Record.objects.filter(company=company).count()


def test_head_printed_on_the_sheet_is_the_record_before_it(issued, company):
    before = Record.objects.get(company=company, sequence=issued.record.sequence - 1)
    assert issued.chain_head == before.hash
    assert verify(company, since=issued.chain_head).holds


def test_issue_names_people_by_digest_only(issued):
    names = json.loads(issued.record.names)
    assert len(names) >= 8
    assert all(len(digest) == 64 for _, digest in names)
    assert "Cai Thrush" not in issued.snapshot
    assert "Cai Thrush" not in issued.record.body


def test_issuing_twice_is_refused(issued, sheet, lead):
    with pytest.raises(SheetFixed):
        issue_sheet(actor=lead, sheet=sheet, looked_at=EVERYTHING)
    assert IssuedSheet.objects.count() == 1


def test_row_read_before_the_issue_does_not_issue_again(sheet, lead):
    stale = fresh(sheet)
    assert not hasattr(stale, "issue")
    issue_sheet(actor=lead, sheet=sheet, looked_at=EVERYTHING)
    with pytest.raises(SheetFixed):
        issue_sheet(actor=lead, sheet=stale, looked_at=EVERYTHING)


def test_plan_changed_since_the_row_was_read_is_the_one_that_counts(sheet, lead):
    stale = fresh(sheet)
    assert stale.stem.plan.gust_m_s == 6.0
    edit_plan(sheet, gust_m_s=11.5)
    with pytest.raises(SheetRefused):
        issue_sheet(actor=lead, sheet=stale, looked_at=EVERYTHING)


def test_item_taken_away_after_the_check_is_found_under_the_lock(sheet):
    check = checked(sheet)
    assert check.stands
    assert list(gear_since(check)) == []
    take_away(item_in(sheet, "moving_block"))
    assert [f.full_code for f in gear_since(check)] == ["unfit:moving_block"]


def test_item_booked_after_the_check_is_found_under_the_lock(sheet, company, lead):
    check = checked(sheet)
    other = Sheet.objects.create(
        stem=sheet.stem.job.stems.create(label="99"), number="other", revision=1, day=sheet.day
    )
    Assignment.objects.create(sheet=other, role="moving_block", item=item_in(sheet, "moving_block"))
    assert [f.full_code for f in gear_since(check)] == ["double-booked:moving_block"]


@pytest.mark.parametrize(
    "change",
    [
        lambda sheet: edit_plan(sheet, gust_m_s=20.0),
        lambda sheet: edit_item(sheet, "moving_block", working_load_limit_n=100.0),
        lambda sheet: Duty.objects.filter(sheet=sheet, duty="lookout").delete(),
        lambda sheet: Assignment.objects.filter(sheet=sheet, role="cleat").delete(),
    ],
    ids=["plan", "rating", "people", "gear"],
)
def test_what_changed_after_the_check_is_found_under_the_lock(sheet, change):
    check = checked(sheet)
    assert list(changed_since(check)) == []
    change(sheet)
    assert [f.code for f in changed_since(check)] == ["changed-meanwhile"]


def test_item_quarantined_while_the_sheet_is_being_issued_stops_it(sheet, lead, company):
    """Somebody else's change lands as the check is done and the issue opens its transaction."""
    block, done = item_in(sheet, "moving_block"), []

    def in_between(execute, sql, params, many, context):
        if sql.startswith("SAVEPOINT") and not done:
            done.append(sql)
            take_away(block)
        return execute(sql, params, many, context)

    with connection.execute_wrapper(in_between), pytest.raises(SheetRefused) as refused:
        issue_sheet(actor=lead, sheet=sheet, looked_at=EVERYTHING)
    assert done
    assert "unfit:moving_block" in {f.full_code for f in refused.value.findings}
    assert not IssuedSheet.objects.exists()
    assert "unfit:moving_block" in json.loads(SheetRefusal.objects.get().codes)


# never again changed


def test_no_service_changes_an_issued_sheet(issued, sheet, company, lead):
    for row in (sheet, fresh(sheet), Sheet.objects.get(pk=sheet.pk)):
        attempts = [
            lambda s: assign.assign_item(actor=lead, sheet=s, role="moving_block", item=item_in(s, "moving_block")),
            lambda s: assign.assign_anchor(
                actor=lead, sheet=s, role="anchor", anchor=Anchor.objects.filter(job=s.stem.job).first()
            ),
            lambda s: assign.mark_not_used(actor=lead, sheet=s, role="cleat", reason="part_of_block"),
            lambda s: assign.clear_position(actor=lead, sheet=s, role="cleat"),
            lambda s: assign.assign_duty(actor=lead, sheet=s, duty="lookout", person=lead.person),
            lambda s: assign.remove_duty(actor=lead, duty=s.duties.first()),
            lambda s: assign.set_window(actor=lead, sheet=s, day=s.day, starts_at=None, ends_at=None),
            lambda s: assign.note_source(actor=lead, sheet=s, path="plan.gust_m_s", value="1", source="x"),
            lambda s: fill_from_store(actor=lead, sheet=s),
        ]
        for attempt in attempts:
            with pytest.raises(SheetFixed):
                attempt(row)


def test_row_read_before_the_issue_changes_nothing_after_it(sheet, lead):
    stale = fresh(sheet)
    assert not hasattr(stale, "issue")
    issue_sheet(actor=lead, sheet=sheet, looked_at=EVERYTHING)
    with pytest.raises(SheetFixed):
        assign.clear_position(actor=lead, sheet=stale, role="cleat")
    assert Assignment.objects.filter(sheet=sheet, role="cleat").exists()


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE jobs_issuedsheet SET snapshot = '{}'",
        "DELETE FROM jobs_issuedsheet",
        "UPDATE jobs_issuedsheet SET pdf = NULL",
        "UPDATE crewlog_record SET body = '{}'",
    ],
)
def test_no_sql_changes_an_issued_sheet(issued, statement):
    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(statement)
    assert IssuedSheet.objects.get().snapshot == issued.snapshot


def test_later_change_of_plan_and_gear_leaves_the_issue_as_it_was(issued, sheet, company):
    edit_plan(sheet, gust_m_s=2.0)
    edit_item(sheet, "moving_block", working_load_limit_n=1.0)
    stored = IssuedSheet.objects.get()
    assert stored.snapshot == issued.snapshot
    assert verify(company).holds


def test_gear_in_positions_the_plan_no_longer_has_does_not_go_on_the_sheet(sheet, lead, company):
    extra = ItemFactory(company=company, rope=True, tag="R-66", quarantined=True)
    Assignment.objects.create(sheet=sheet, role="side_line", item=extra)
    issued = issue_sheet(actor=lead, sheet=sheet, looked_at=EVERYTHING)
    assert not Assignment.objects.filter(sheet=sheet, role="side_line").exists()
    assert "R-66" not in issued.snapshot


# the next revision


def test_draft_after_an_issue_is_the_next_revision_with_gear_and_people(issued, sheet, lead):
    draft = assign.open_draft(actor=lead, stem=fresh(sheet).stem)
    assert (draft.number, draft.revision) == (sheet.number, 2)

    def held(row):
        return sorted(row.assignments.values_list("role", "rank", "item_id", "anchor_id", "configuration"))

    def duties(row):
        return sorted(row.duties.values_list("duty", "person_id", "supervisor_id"))

    assert held(draft) == held(sheet)
    assert duties(draft) == duties(sheet)
    assert check_sheet(draft).stands


def test_open_draft_stays_the_one_draft(sheet, lead):
    assert assign.open_draft(actor=lead, stem=fresh(sheet).stem) == sheet


def test_draft_follows_its_stem_when_the_job_gets_another_reference(issued, sheet, lead):
    job = fresh(sheet).stem.job
    job.reference = "renamed"
    job.save()
    draft = assign.open_draft(actor=lead, stem=fresh(sheet).stem)
    assert (draft.number, draft.revision) == (sheet.number, 2)


def test_issue_of_the_next_revision_supersedes_the_one_before(issued, sheet, lead):
    assert list(Sheet.objects.standing()) == [sheet]
    draft = assign.open_draft(actor=lead, stem=fresh(sheet).stem)
    assert list(Sheet.objects.standing()) == [sheet]
    issue_sheet(actor=lead, sheet=draft, looked_at=EVERYTHING)
    assert list(Sheet.objects.standing()) == [draft]
    assert IssuedSheet.objects.count() == 2


# what a draft cannot hold at all


def test_sling_whose_use_is_not_said_is_not_hung(sheet, lead):
    sling = item_in(sheet, "stem_sling")
    uses: tuple[Given, ...] = ({}, {"configuration": "basket"}, {"configuration": "choker"})
    for words in uses:
        with pytest.raises(NotForThisPosition):
            assign.assign_item(actor=lead, sheet=sheet, role="anchor_sling", item=sling, **words)


def test_gear_of_another_company_is_not_hung(sheet, outsider, lead):
    foreign = ItemFactory(company=outsider.company)
    with pytest.raises(NotForThisPosition):
        assign.assign_item(actor=lead, sheet=sheet, role="moving_block", item=foreign)


def test_anchor_position_holds_no_gear_and_the_other_way_round(sheet, lead):
    with pytest.raises(NotForThisPosition):
        assign.assign_item(actor=lead, sheet=sheet, role="anchor", item=item_in(sheet, "stem_sling"))
    with pytest.raises(NotForThisPosition):
        assign.assign_anchor(actor=lead, sheet=sheet, role="cleat", anchor=Anchor.objects.first())


@pytest.mark.parametrize(
    ("role", "reason"),
    [("main_line", "tied_direct"), ("cleat", "tied_direct"), ("cleat", "no reason"), ("nowhere", "x")],
)
def test_position_is_left_out_for_its_own_reasons_only(sheet, role, reason, lead):
    with pytest.raises(NotForThisPosition):
        assign.mark_not_used(actor=lead, sheet=sheet, role=role, reason=reason)


def test_position_has_two_alternates_at_most(sheet, lead):
    with pytest.raises(NotForThisPosition):
        assign.assign_item(actor=lead, sheet=sheet, role="cleat", item=item_in(sheet, "cleat"), rank=3)
