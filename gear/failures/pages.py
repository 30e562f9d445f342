"""Failures as pages show them: what is held, since when and by whom, and whether the employer has been told."""

import datetime as dt
import zoneinfo
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.urls import reverse

from crewlog.models import Membership, Role
from gear.event_kinds import EXAMINATIONS, PASSING
from gear.failures.models import EmployerTold, FailureFound
from gear.models import Inspection, Round, RoundDraft
from gear.reasons import day_words

SHOWN = 5
TELLERS = (Role.OWNER, Role.INSPECTOR)


@dataclass(frozen=True, slots=True)
class HeldRow:
    """One failure that holds an item, or whose telling is open."""

    tag: str
    description: str
    item_href: str
    reason: str
    when: str
    who: str
    round: str
    round_href: str
    told_href: str = ""

    @property
    def line(self) -> str:
        """Answered on 30 November, 10:42 by Perrin Lathwell, in the round Van 2."""
        return f"Answered on {self.when} by {self.who}, in the round {self.round}."


def held_row(member: Membership, row: FailureFound, *, is_untold: bool) -> HeldRow:
    """A row whose item, record, examiner and draft were fetched with it."""
    may_open = member.role == Role.OWNER or row.draft.inspector_id == member.person.pk
    return HeldRow(
        tag=row.item.tag,
        description=row.item.description,
        item_href=row.item.get_absolute_url(),
        reason=row.reason,
        when=moment_words(row.record.happened_at, member.company.time_zone),
        who=str(row.examiner),
        round=row.draft.title,
        round_href=reverse("round", args=[row.draft_id]) if may_open else "",
        told_href=reverse("item_told", args=[row.item.tag]) if is_untold and member.role in TELLERS else "",
    )


def moment_words(moment: dt.datetime, time_zone: str) -> str:
    local = moment.astimezone(zoneinfo.ZoneInfo(time_zone))
    return f"{day_words(local.date())}, {local:%H:%M}"


def held_rows(member: Membership, held: Sequence[FailureFound]) -> list[HeldRow]:
    """Failures of one item of a round, the newest first. Two queries where there are any."""
    if not held:
        return []
    keys = [failure.pk for failure in held]
    untold = set(FailureFound.objects.untold(member.company).filter(pk__in=keys).values_list("pk", flat=True))
    return [held_row(member, row, is_untold=row.pk in untold) for row in reversed(with_all(keys))]


def with_all(keys: Iterable[int]) -> list[FailureFound]:
    rows = FailureFound.objects.filter(pk__in=list(keys)).order_by("record_id")
    return list(rows.select_related("item", "record", "examiner__details", "draft"))


def untold_rows(
    member: Membership, *, draft: RoundDraft | None = None, signed: Round | None = None, tag: str = ""
) -> list[HeldRow]:
    """Items whose failure the employer has not been told of, each once with its newest reason, the newest first.

    Of the company, or of one round, signed or not, or of one item. One query.
    """
    rows = FailureFound.objects.untold(member.company)
    if draft is not None:
        rows = rows.filter(draft=draft)
    if signed is not None:
        rows = rows.filter(inspections__round_lines__round=signed)
    if tag:
        rows = rows.filter(item__tag__iexact=tag)
    found: dict[tuple[int, int], FailureFound] = {}
    for row in rows.select_related("item", "record", "examiner__details", "draft")[: SHOWN * 20]:
        found.setdefault((row.draft_id, row.item_id), row)
    return [held_row(member, row, is_untold=True) for row in found.values()]


def standing_failures(member: Membership, item_id: int) -> list[HeldRow]:
    """Failures answered in rounds that hold an item now or wait for the telling, the newest first.

    One query, and three more where there are any.
    """
    found = FailureFound.objects.for_company(member.company).filter(item=item_id).not_taken_back()
    rows = list(found.select_related("record"))
    if not rows:
        return []
    untold = set(FailureFound.objects.untold(member.company).filter(item=item_id).values_list("pk", flat=True))
    passed = last_pass_of(item_id)
    kept = [row.pk for row in rows if row.pk in untold or row.record.sequence > passed]
    return [held_row(member, row, is_untold=row.pk in untold) for row in reversed(with_all(kept))]


def last_pass_of(item_id: int) -> int:
    """Place in the chain of the last examination that passed an item; nought where none did."""
    passed = Inspection.objects.filter(item=item_id, kind__in=EXAMINATIONS, verdict__in=PASSING).standing()
    return passed.order_by("-record__sequence").values_list("record__sequence", flat=True).first() or 0


def told_words(row: EmployerTold, time_zone: str) -> str:
    """How a telling reads on a page or a report."""
    return f"{moment_words(row.told_at, time_zone)}, {row.told_how}"
