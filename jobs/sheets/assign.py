"""Drafting a sheet: gear, anchors and people to their places. A draft holds what is wrong too; issuing refuses it."""

import datetime as dt

from django.db import transaction
from django.utils import timezone

from crewlog.errors import RuleBroken
from crewlog.evidence import to_plain
from crewlog.models import Membership, Person
from crewlog.people.rights import must_be_ours, require_role
from crewlog.stale import Change, Opened, StaleEdit, check_opened
from crewlog.stale.authors import moment_words
from crewlog.web.access import PLANNERS
from gear.catalogue.classes import BY_CODE
from gear.models import GearItem
from jobs.errors import NotForThisPosition, SheetFixed, SourceGiven
from jobs.mechanics.roles import NOT_USED_REASONS, Role, find_role
from jobs.models import Anchor, Assignment, Duty, IssuedSheet, Sheet, SourceNote, Stem
from jobs.models.sheet import MAX_ALTERNATES
from jobs.models.shown_values import position_values, window_values


@transaction.atomic
def open_draft(*, actor: Membership, stem: Stem, day: dt.date | None = None) -> Sheet:
    """The stem's draft sheet; a new revision with the last one's gear and people where that was issued."""
    require_role(actor, *PLANNERS)
    must_be_ours(actor, stem.job.company_id, "stem")
    last: Sheet | None = stem.sheets.order_by("-revision", "-pk").first()
    if last is not None and not is_issued(last):
        return last
    first_day = day or max(stem.job.first_day, min(stem.job.company.today(), stem.job.last_day))
    if last is None:
        return Sheet.objects.create(stem=stem, number=f"{stem.job.reference}-{stem.label}", day=first_day)
    draft = Sheet.objects.create(
        stem=stem,
        number=last.number,
        revision=last.revision + 1,
        day=day or max(last.day, first_day),
        starts_at=last.starts_at,
        ends_at=last.ends_at,
    )
    for rows in (last.assignments.all(), last.duties.all()):
        for row in rows:
            row.pk = None
            row.sheet = draft
            row.save(force_insert=True)
    return draft


def is_issued(sheet: Sheet) -> bool:
    """Whether a sheet is issued by now; asks the database, for the row at hand may have been read before. Queries."""
    return IssuedSheet.objects.filter(sheet=sheet).exists()


def hold_draft(actor: Membership, sheet: Sheet) -> None:
    """Refuse who may not plan, a sheet of another company, and an issued one; the draft is locked."""
    must_plan(actor, sheet)
    must_be_draft(sheet)


def must_plan(actor: Membership, sheet: Sheet) -> None:
    """Refuse who may not plan, and a sheet of another company."""
    require_role(actor, *PLANNERS)
    must_be_ours(actor, sheet.stem.job.company_id, "sheet")


def must_be_draft(sheet: Sheet, *, lock: bool = True) -> None:
    """Raise SheetFixed for an issued sheet. With the lock, issuing waits for whoever changes the draft, and they for
    it; that takes a transaction.
    """
    if lock:
        Sheet.objects.select_for_update().get(pk=sheet.pk)
    if is_issued(sheet):
        raise SheetFixed(f"Sheet {sheet.number}, revision {sheet.revision} is issued. Start a new revision.")


@transaction.atomic
def set_window(
    *,
    actor: Membership,
    sheet: Sheet,
    day: dt.date,
    starts_at: dt.time | None,
    ends_at: dt.time | None,
    opened: Opened | None = None,
) -> Sheet:
    """Set a draft's day and window.

    Raises ValidationError by field, StaleEdit where it would undo what was saved since `opened`.
    """
    hold_draft(actor, sheet)
    wanted = {"day": day, "starts_at": starts_at, "ends_at": ends_at}
    check_opened(opened, theirs=window_values(Sheet.objects.get(pk=sheet.pk)), mine=wanted)
    sheet.day, sheet.starts_at, sheet.ends_at = day, starts_at, ends_at
    sheet.full_clean()
    sheet.save()
    return sheet


def role_or_refuse(name: str) -> Role:
    role = find_role(name)
    if role is None:
        raise NotForThisPosition("There is no such position.", field="role")
    return role


def check_position(opened: Opened | None, sheet: Sheet, role: str) -> None:
    """Raise StaleEdit where a position no longer holds what the person had before them; the sheet is locked."""
    if opened is None:
        return
    stored = to_plain(position_values(sheet, role))
    if stored == opened.values or not (stored or opened.values):
        return
    row = sheet.assignments.filter(role=role).select_related("set_by__details").order_by("rank").first()
    changes = []
    if row is not None and row.set_by is not None and row.set_at is not None:
        company = sheet.stem.job.company
        changes = [Change(by=str(row.set_by), when=moment_words(row.set_at, company))]
    raise StaleEdit(opened=Opened.now(opened.about, stored), changes=tuple(changes))


def set_position(actor: Membership, placed: Assignment, *, opened: Opened | None = None) -> Assignment:
    """Save a new row in its position of a draft that is held, in place of what was there. Raises StaleEdit where that
    is not what was shown.
    """
    check_position(opened, placed.sheet, placed.role)
    if not 0 <= placed.rank <= MAX_ALTERNATES:
        raise NotForThisPosition(f"A position has up to {MAX_ALTERNATES} alternates.", field="rank")
    placed.sheet.assignments.filter(role=placed.role, rank=placed.rank).delete()
    placed.set_by, placed.set_at = actor.person, timezone.now()
    placed.full_clean()
    placed.save()
    return placed


@transaction.atomic
def assign_item(
    *,
    actor: Membership,
    sheet: Sheet,
    role: str,
    item: GearItem,
    rank: int = 0,
    configuration: str = "",
    basket_half_angle_deg: float | None = None,
    choke_angle_deg: float | None = None,
    loaded: str = Assignment.Loaded.MAJOR,
    opened: Opened | None = None,
) -> Assignment:
    """Hang an item in a position. What is merely unfit or under-rated may be drafted; issuing refuses it.

    Raises NotForThisPosition where a sling's use is not said: it is never assumed.
    """
    hold_draft(actor, sheet)
    spec = role_or_refuse(role)
    if spec.is_anchor:
        raise NotForThisPosition("This position holds an anchor, not gear.", field="item")
    if item.company_id != actor.company_id:
        raise NotForThisPosition("There is no such item.", field="item")
    if BY_CODE[item.gear_class].kind == "sling":
        if not configuration:
            raise NotForThisPosition("Say how the sling is used: straight, choked or basket.", field="configuration")
        if configuration == Assignment.Configuration.BASKET and basket_half_angle_deg is None:
            raise NotForThisPosition(
                "Give the angle from the line of pull to each leg of the basket.", field="basket_half_angle_deg"
            )
        if configuration == Assignment.Configuration.CHOKER and choke_angle_deg is None:
            raise NotForThisPosition("Give the angle of the choke.", field="choke_angle_deg")
    placed = Assignment(
        sheet=sheet,
        role=role,
        rank=rank,
        item=item,
        configuration=configuration,
        basket_half_angle_deg=basket_half_angle_deg,
        choke_angle_deg=choke_angle_deg,
        loaded=loaded,
    )
    return set_position(actor, placed, opened=opened)


@transaction.atomic
def assign_anchor(
    *, actor: Membership, sheet: Sheet, role: str, anchor: Anchor, opened: Opened | None = None
) -> Assignment:
    """Put an anchor of the job in an anchor's position."""
    hold_draft(actor, sheet)
    if not role_or_refuse(role).is_anchor:
        raise NotForThisPosition("This position holds gear, not an anchor.", field="anchor")
    if anchor.job_id != sheet.stem.job_id:
        raise NotForThisPosition("There is no such anchor on this job.", field="anchor")
    return set_position(actor, Assignment(sheet=sheet, role=role, anchor=anchor), opened=opened)


@transaction.atomic
def mark_not_used(
    *, actor: Membership, sheet: Sheet, role: str, reason: str, opened: Opened | None = None
) -> Assignment:
    """Mark a position as not used, for one of the reasons its role allows. Raises NotForThisPosition, StaleEdit."""
    hold_draft(actor, sheet)
    spec = role_or_refuse(role)
    if reason not in spec.reasons or reason not in NOT_USED_REASONS:
        raise NotForThisPosition("This position cannot be left out for that reason.", field="not_used")
    return set_position(actor, Assignment(sheet=sheet, role=role, not_used=reason), opened=opened)


@transaction.atomic
def clear_position(*, actor: Membership, sheet: Sheet, role: str, opened: Opened | None = None) -> None:
    """Empty a position. Raises StaleEdit where it holds something else than was shown."""
    hold_draft(actor, sheet)
    check_position(opened, sheet, role)
    sheet.assignments.filter(role=role).delete()


@transaction.atomic
def assign_duty(
    *, actor: Membership, sheet: Sheet, duty: str, person: Person, supervisor: Person | None = None
) -> Duty:
    """Give a person a duty on a draft. Raises ValidationError by field."""
    hold_draft(actor, sheet)
    for named in (person, supervisor):
        if named is not None:
            must_be_ours(actor, named.company_id, "person", field="person")
    row = Duty(sheet=sheet, duty=duty, person=person, supervisor=supervisor)
    row.full_clean()
    row.save()
    return row


@transaction.atomic
def remove_duty(*, actor: Membership, duty: Duty) -> None:
    """Take a duty off a draft."""
    hold_draft(actor, duty.sheet)
    duty.delete()


@transaction.atomic
def note_source(
    *, actor: Membership, sheet: Sheet, path: str, value: str, source: str, is_first: bool = False
) -> SourceNote:
    """Say where a figure changed after a refusal now comes from.

    `is_first` is a form that is there while no source is given: it raises SourceGiven where another was meanwhile.
    """
    hold_draft(actor, sheet)
    if not source.strip():
        raise RuleBroken("Say how the new figure was obtained.", code="source-missing", field="source")
    given = SourceNote.objects.filter(sheet=sheet, path=path, value=value).values_list("source", flat=True).first()
    if is_first and given not in (None, source.strip()):
        raise SourceGiven(f"A source was given meanwhile: {given}. Nothing was changed.")
    note, _ = SourceNote.objects.update_or_create(
        sheet=sheet, path=path, value=value, defaults={"source": source.strip()}
    )
    return note
