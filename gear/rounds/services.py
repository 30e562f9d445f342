"""Rounds under way: starting one, keeping answers as they are given, and leaving it. Drafts are no evidence."""

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone

from crewlog.errors import RuleBroken
from crewlog.models import Membership, Person, Role
from crewlog.people.rights import must_be_ours, require_role
from gear.errors import NotCompetent
from gear.examinations.services import check_examiner, classes_examined
from gear.failures.services import held_in, hold_failures
from gear.models import GearItem, RoundDraft, RoundDraftAnswer, RoundDraftItem
from gear.models.round import ROUND_KINDS
from gear.rounds.forms import box_names

MOST_ITEMS = 500
LONGEST_ANSWER = 4000
MOST_SECONDS = 24 * 3600


@dataclass(frozen=True, slots=True)
class Aside:
    """An item that is left out of a round, and why."""

    item: GearItem
    why: str


@dataclass(frozen=True, slots=True)
class Device:
    """Which phone or desk the answers come from, and what its clock shows now."""

    name: str
    now: dt.datetime
    offset_min: int | None = None


@dataclass(frozen=True, slots=True)
class Given:
    """One answer as typed, and when, by the device's clock."""

    name: str
    value: str
    at: dt.datetime


def sort_out(person: Person, items: Sequence[GearItem], *, on: dt.date) -> tuple[list[GearItem], list[Aside]]:
    """The items a person may examine on a day, and those left aside with the reason. Two queries."""
    classes = classes_examined(person, on=on)
    elsewhere = dict(
        RoundDraftItem.objects.filter(
            draft__inspector=person, draft__closed_at__isnull=True, signed_in__isnull=True, failed_by__isnull=True
        ).values_list("item_id", "draft__title")
    )
    taken, aside = [], []
    for item in items:
        why = why_not(item, person, classes)
        if not why and item.pk in elsewhere:
            why = f"In your open round: {elsewhere[item.pk]}."
        if why:
            aside.append(Aside(item, why))
        else:
            taken.append(item)
    return taken, aside


def why_not(item: GearItem, person: Person, classes: frozenset[str]) -> str:
    """Why a person may not examine an item; empty when they may."""
    if item.retired_on is not None:
        return f"Retired: {item.retired_because or 'its end is on record'}."
    try:
        check_examiner(item, person, is_competent=item.gear_class in classes)
    except NotCompetent as fault:
        return fault.message
    return ""


@transaction.atomic
def start_round(*, actor: Membership, items: Sequence[GearItem], kind: str, title: str) -> RoundDraft:
    """Open a round over items of one company, in the order given; those the actor may not sign for stay out."""
    require_role(actor, Role.OWNER, Role.INSPECTOR)
    if kind not in dict(ROUND_KINDS):
        raise RuleBroken("Choose the kind of inspection.", code="round-kind-unknown", field="kind")
    for item in items:
        must_be_ours(actor, item.company_id, "item", field="item")
    if len(items) > MOST_ITEMS:
        raise RuleBroken(f"At most {MOST_ITEMS} items in one round.", code="round-too-long", field="item")
    taken, _ = sort_out(actor.person, items, on=actor.company.today())
    if not taken:
        raise RuleBroken("Tick at least one item that you may sign for.", code="round-empty", field="item")
    draft: RoundDraft = RoundDraft.objects.create(
        company=actor.company, inspector=actor.person, kind=kind, title=title[:160], started_at=timezone.now()
    )
    RoundDraftItem.objects.bulk_create(
        RoundDraftItem(draft=draft, item=item, position=position) for position, item in enumerate(taken, start=1)
    )
    return draft


def hold(actor: Membership, draft: RoundDraft) -> RoundDraft:
    """Take the draft for this transaction. Only who started it answers or signs, and only while it is open."""
    require_role(actor, Role.OWNER, Role.INSPECTOR)
    must_be_ours(actor, draft.company_id, "round")
    held: RoundDraft = RoundDraft.objects.select_for_update().select_related("company").get(pk=draft.pk)
    if held.inspector_id != actor.person.pk:
        raise RuleBroken("Only the person who started a round can answer and sign it.", code="not-your-round")
    if held.closed_at is not None:
        raise RuleBroken("This round is closed.", code="round-closed")
    return held


@transaction.atomic
def keep_answers(
    *,
    actor: Membership,
    draft: RoundDraft,
    device: Device,
    answers: Mapping[int, Sequence[Given]],
    seconds: Mapping[int, int] | None = None,
) -> int:
    """Keep answers of some items by their place in the round; returns how many were new.

    Of two devices that answered one box, the later by the clock counts; the other is kept beside it to be shown. A
    device's clock is set right by what it shows now. `seconds` are this device's totals. Boxes an item does not have
    and items that are signed or failed are passed over. What fails as answered now holds its item in this transaction.
    """
    hold(actor, draft)
    places = set(answers) | set(seconds or ())
    rows = RoundDraftItem.objects.filter(
        draft=draft, position__in=places, signed_in__isnull=True, failed_by__isnull=True
    ).select_related("item__company", "draft")
    new, changed, timed = [], [], []
    for row in rows.prefetch_related("answers"):
        there = {answer.name: answer for answer in row.answers.all()}
        names = box_names(row)
        for given in answers.get(row.position, ()):
            if given.name not in names:
                continue
            made = answer_of(row, given, device)
            old = there.get(given.name)
            if old is None:
                new.append(made)
                there[given.name] = made
            elif take_later(old, made) and old.pk is not None:
                changed.append(old)
        if seconds and row.position in seconds and spend(row, device.name, seconds[row.position]):
            timed.append(row)
    RoundDraftAnswer.objects.bulk_create(new)
    columns = [
        "value", "answered_at", "device", "device_time", "device_offset_min", "other_value", "other_device_time",
    ]  # fmt: skip
    RoundDraftAnswer.objects.bulk_update(changed, columns, batch_size=100)
    RoundDraftItem.objects.bulk_update(timed, ["seconds"], batch_size=100)
    if new or changed:
        touched = {answer.row_id for answer in (*new, *changed)}
        hold_failures(actor=actor, rows=with_answers(draft).filter(pk__in=touched))
    return len(new) + len(changed)


def with_answers(draft: RoundDraft) -> QuerySet[RoundDraftItem]:
    """The items of a round with what was answered, in their order."""
    rows = RoundDraftItem.objects.filter(draft=draft).select_related("item__company", "draft", "failed_by")
    return rows.prefetch_related("answers").order_by("position")


def answer_of(row: RoundDraftItem, given: Given, device: Device) -> RoundDraftAnswer:
    """The answer with its moment by the server's clock: never ahead of now, never before the round."""
    now = timezone.now()
    by_our_clock = given.at + (now - device.now)
    return RoundDraftAnswer(
        row=row,
        name=given.name,
        value=given.value.replace("\x00", ""),
        answered_at=max(min(by_our_clock, now), row.draft.started_at),
        device=device.name[:40],
        device_time=given.at,
        device_offset_min=device.offset_min,
    )


def take_later(old: RoundDraftAnswer, new: RoundDraftAnswer) -> bool:
    """Let the later of two answers stand in `old`, the other beside it when another device gave it."""
    same_device = old.device == new.device
    if new.answered_at < old.answered_at:
        if same_device or new.value == old.value:
            return False
        old.other_value, old.other_device_time = new.value, new.device_time
        return True
    if new.value == old.value and same_device:
        return False
    if not same_device:
        differs = new.value != old.value
        old.other_value = old.value if differs else ""
        old.other_device_time = old.device_time if differs else None
    for name in ("value", "answered_at", "device", "device_time", "device_offset_min"):
        setattr(old, name, getattr(new, name))
    return True


def spend(row: RoundDraftItem, device: str, total: int) -> bool:
    """Note a device's total of seconds on an item; a total never falls."""
    name, total = device[:40], min(max(total, 0), MOST_SECONDS)
    if name in row.seconds and row.seconds[name] >= total:
        return False
    row.seconds[name] = total
    return True


@transaction.atomic
def start_item_again(*, actor: Membership, row: RoundDraftItem) -> None:
    """Forget the answers of one item, to look at it afresh. What was recorded stands."""
    hold(actor, row.draft)
    if row.failed_by_id is not None or row.signed_in_id is not None:
        raise RuleBroken("It is already recorded. Correct the examination.", code="recorded-already")
    if row.item_id in held_in(row.draft):
        raise RuleBroken(
            "It is held as failed. Say that it was entered by mistake, or record the failure.", code="failure-held"
        )
    RoundDraftAnswer.objects.filter(row=row).delete()
    row.photographs.all().delete()


@transaction.atomic
def close_round(*, actor: Membership, draft: RoundDraft) -> None:
    """Leave what is not signed. What failed stays out of use, and its telling open; what was signed stands."""
    held = hold(actor, draft)
    held.closed_at = timezone.now()
    held.save(update_fields=["closed_at"])
