"""Failures as pages show them: what is held, since when and by whom, and whether the employer has been told."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Max, QuerySet
from django.urls import reverse

from crewlog.models import Membership, Role
from crewlog.web.access import INSPECTORS
from gear.catalogue.events import EXAMINATIONS, PASSING
from gear.fitness.reasons import moment_words
from gear.models import Inspection, Round, RoundDraft
from gear.models.failure import FailureFound

MOST = 100
ROW = ("item", "record", "examiner__details", "draft")  # what a row is made of


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
    def answered(self) -> str:
        """Answered on 30 November, 10:42 by Perrin Lathwell, in the round; its name follows."""
        return f"Answered on {self.when} by {self.who}, in the round"

    @property
    def line(self) -> str:
        return f"{self.answered} {self.round}."


def held_row(member: Membership, row: FailureFound, *, is_untold: bool) -> HeldRow:
    """A failure that was fetched with ROW."""
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
        told_href=reverse("item_told", args=[row.item.tag]) if is_untold and member.role in INSPECTORS else "",
    )


def held_rows(member: Membership, held: Sequence[FailureFound]) -> list[HeldRow]:
    """Failures of one item of a round, the newest first. Two queries where there are any."""
    if not held:
        return []
    keys = [failure.pk for failure in held]
    untold = set(FailureFound.objects.untold(member.company).filter(pk__in=keys).values_list("pk", flat=True))
    return [held_row(member, row, is_untold=row.pk in untold) for row in reversed(with_all(keys))]


def with_all(keys: Iterable[int]) -> list[FailureFound]:
    rows = FailureFound.objects.filter(pk__in=list(keys)).order_by("record_id")
    return list(rows.select_related(*ROW))


def untold_items(
    member: Membership, *, draft: RoundDraft | None = None, signed: Round | None = None
) -> QuerySet[FailureFound]:
    """Items whose failure the employer has not been told of, each once with its newest failure, the newest first.

    Of the company, or of one round, signed or not.
    """
    rows = FailureFound.objects.untold(member.company)
    if draft is not None:
        rows = rows.filter(draft=draft)
    if signed is not None:
        rows = rows.filter(inspections__round_lines__round=signed)
    newest = rows.order_by().values("draft", "item").annotate(newest=Max("record")).values("newest")
    return FailureFound.objects.filter(pk__in=newest).select_related(*ROW)


def untold_rows(
    member: Membership, *, draft: RoundDraft | None = None, signed: Round | None = None, limit: int = MOST
) -> list[HeldRow]:
    """The first of these items. One query."""
    return [held_row(member, row, is_untold=True) for row in untold_items(member, draft=draft, signed=signed)[:limit]]


def untold_part(
    member: Membership, *, draft: RoundDraft | None = None, signed: Round | None = None, limit: int = MOST
) -> dict[str, Any]:
    """The same for a page, with how many more there are. Two queries at most."""
    rows = untold_rows(member, draft=draft, signed=signed, limit=limit)
    more = untold_items(member, draft=draft, signed=signed).count() - limit if len(rows) == limit else 0
    return {"untold": rows, "untold_more": more}


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
