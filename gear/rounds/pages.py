"""What the pages of rounds show, as frozen rows."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median
from urllib.parse import urlencode

from django.db.models import Count, Q, QuerySet
from django.urls import reverse

from crewlog.models import Company, Membership, Role
from crewlog.web.http import whole_id
from crewlog.web.ui_rows import Figure, MarkKind
from gear.catalogue.classes import TACKLE_SET
from gear.failures.services import held_in
from gear.fitness.dates import DUE_WINDOWS
from gear.models import FailureFound, GearItem, Round, RoundDraft, RoundDraftItem, RoundLine
from gear.rounds.completeness import completeness_of
from gear.rounds.reading import count_states, quick_state, values_of

STATES: dict[str, tuple[MarkKind, str]] = {
    "unsaid": ("out", "Fails: say what you saw"),
    "held": ("out", "Held: say what was wrong"),
    "fails": ("out", "Fails: held"),
    "open": ("open", "To examine"),
    "begun": ("open", "Begun"),
    "done": ("ok", "Every point good"),
    "remark": ("due", "With a remark"),
    "not_examined": ("open", "Clean and dry first"),
    "not_presented": ("open", "Not presented"),
    "failed": ("out", "Failed, recorded"),
    "signed": ("ok", "Signed"),
}
FAILED = ("unsaid", "held", "fails", "failed")
OPEN_SHOWN = 30
WAITING = ("unsaid", "held", "open", "begun")


@dataclass(frozen=True, slots=True)
class Choice:
    """One way to choose the items of a round, with how many it gives."""

    words: str
    href: str
    count: int


@dataclass(frozen=True, slots=True)
class Chosen:
    """What a round is about, as its address names it."""

    title: str
    items: QuerySet[GearItem]


def choices(company: Company, on: dt.date) -> dict[str, list[Choice]]:
    """By due date, by place, by tackle set. Three queries."""
    live = GearItem.objects.for_company(company).in_service()
    windows = live.aggregate(
        **{f"due_{days}": Count("pk", filter=Q(pk__in=live.to_inspect_by(ahead(on, days)))) for days in DUE_WINDOWS}
    )
    places = live.exclude(storage_place="").order_by("storage_place").values_list("storage_place")
    sets = live.of_class(TACKLE_SET).order_by("tag").annotate(n=Count("parts", filter=Q(parts__retired_on=None)))
    return {
        "due": [Choice(f"Due within {days} days", address(due=days), windows[f"due_{days}"]) for days in DUE_WINDOWS],
        "places": [Choice(place, address(place=place), n) for place, n in places.annotate(n=Count("pk"))],
        "sets": [Choice(f"{each.tag} {each.description}", address(set=each.tag), each.n + 1) for each in sets],
    }


def ahead(on: dt.date, days: int) -> dt.date:
    return on + dt.timedelta(days=days)


def address(**asked: object) -> str:
    return f"{reverse('round_new')}?{urlencode(asked)}"


def chosen(company: Company, asked: dict[str, str], on: dt.date) -> Chosen | None:
    """The items an address asks for; None where it asks for nothing that is known."""
    live = GearItem.objects.for_company(company).in_service().select_related("company")
    ordered = live.order_by("storage_place", "gear_class", "tag")
    due = asked.get("due", "")
    if whole_id(due) in DUE_WINDOWS:
        return Chosen(f"Due within {due} days", ordered.filter(pk__in=live.to_inspect_by(ahead(on, whole_id(due)))))
    if place := asked.get("place"):
        return Chosen(f"Kept at {place}", ordered.at_place(place))
    if tag := asked.get("set"):
        whole = live.of_class(TACKLE_SET).filter(tag__iexact=tag).first()
        if whole is None:
            return None
        return Chosen(f"Tackle set {whole.tag}", ordered.filter(Q(pk=whole.pk) | Q(assembly=whole)))
    if "pick" in asked:
        return Chosen("Ticked by hand", ordered.search(company, asked.get("q", "")))
    return None


@dataclass(frozen=True, slots=True)
class DraftRow:
    """An open round as a list shows it."""

    title: str
    href: str
    is_own: bool
    who: str
    kind: str
    started_at: dt.datetime
    items: int
    done: int
    failures: int

    @property
    def words(self) -> str:
        failed = f", {self.failures} failed" if self.failures else ""
        return f"{self.done} of {self.items} answered{failed}"

    @property
    def mark(self) -> MarkKind:
        return "out" if self.failures else "open"


def drafts_seen_by(member: Membership) -> QuerySet[RoundDraft]:
    """Open rounds, newest first: one's own, and for the owner everybody's."""
    drafts = RoundDraft.objects.for_company(member.company).filter(closed_at__isnull=True)
    if member.role != Role.OWNER:
        drafts = drafts.filter(inspector=member.person)
    return drafts.select_related("inspector__details")


def open_drafts(member: Membership) -> list[DraftRow]:
    """The newest open rounds that a member sees, for their first page. Four queries."""
    return draft_rows(member, list(drafts_seen_by(member)[:OPEN_SHOWN]))


def draft_rows(member: Membership, drafts: Sequence[RoundDraft]) -> list[DraftRow]:
    """How far each of some rounds is, with its failures. Three queries, however many."""
    rows = RoundDraftItem.objects.filter(draft__in=drafts).select_related("item__company", "draft")
    states: dict[int, list[str]] = {draft.pk: [] for draft in drafts}
    failed = set(FailureFound.objects.filter(draft__in=drafts).not_taken_back().values_list("draft", "item"))
    for row in rows.prefetch_related("answers"):
        is_held = (row.draft_id, row.item_id) in failed
        states[row.draft_id].append(quick_state(row, values_of(row), is_held=is_held))
    return [draft_row(draft, member, states[draft.pk]) for draft in drafts]


def draft_row(draft: RoundDraft, member: Membership, states: Sequence[str]) -> DraftRow:
    return DraftRow(
        title=draft.title,
        href=reverse("round", args=[draft.pk]),
        is_own=draft.inspector_id == member.person.pk,
        who=str(draft.inspector),
        kind=draft.get_kind_display(),
        started_at=draft.started_at,
        items=len(states),
        done=sum(state not in WAITING for state in states),
        failures=sum(state in FAILED for state in states),
    )


@dataclass(frozen=True, slots=True)
class RoundRow:
    """One item of an open round in its list."""

    place: int
    tag: str
    description: str
    kept_at: str
    state: str
    missing: str = ""
    held: str = ""

    @property
    def mark(self) -> MarkKind:
        return STATES[self.state][0]

    @property
    def words(self) -> str:
        return STATES[self.state][1]


def round_rows(draft: RoundDraft) -> list[RoundRow]:
    """Every item of a draft with its state and what is missing, in the order of the round. Three queries."""
    rows = RoundDraftItem.objects.filter(draft=draft).select_related("item__company", "draft")
    held = held_in(draft)
    return [round_row(row, held.get(row.item_id, ())) for row in rows.prefetch_related("answers").order_by("position")]


def round_row(row: RoundDraftItem, held: Sequence[FailureFound]) -> RoundRow:
    values = values_of(row)
    complete = completeness_of(row, values)
    return RoundRow(
        place=row.position,
        tag=row.item.tag,
        description=row.item.description,
        kept_at=row.item.storage_place,
        state=quick_state(row, values, is_held=bool(held)),
        missing=complete.words if complete.is_begun and complete.missing else "",
        held=held[-1].reason if held else "",
    )


@dataclass(frozen=True, slots=True)
class Progress:
    """How far a round is; `next_place` is the next item that waits, None when none does."""

    counts: dict[str, int]
    items: int
    waiting: int
    next_place: int | None

    @property
    def done(self) -> int:
        return self.items - self.waiting


def progress_of(rows: Sequence[RoundRow], after: int = 0) -> Progress:
    """The next item to inspect after a place, from the start again where none follows."""
    waiting = [row.place for row in rows if row.state in WAITING]
    following = [place for place in waiting if place > after]
    return Progress(
        counts=count_states(row.state for row in rows),
        items=len(rows),
        waiting=len(waiting),
        next_place=next(iter(following or waiting), None),
    )


def signed_lines(signed: Round) -> QuerySet[RoundLine]:
    """Lines of a signed round with what their pages show."""
    return signed.lines.select_related("item", "inspection__record", "record").prefetch_related(
        "inspection__record__corrections"
    )


def signed_figures(signed: Round) -> list[Figure]:
    """The figures of a signed round: outcomes, and how long the inspector took for an item. One query."""
    lines = list(signed.lines.values_list("outcome", "seconds"))
    counts = count_states(outcome for outcome, _ in lines)
    seconds = [spent for _, spent in lines if spent is not None]
    failed = counts.get("out_of_use", 0) + counts.get("retire", 0)
    missed = counts.get("not_presented", 0) + counts.get("not_examined", 0)
    figures = [
        Figure("Fit", str(counts.get("fit", 0)), note=f"of {len(lines)} items"),
        Figure("With a remark", str(counts.get("remark", 0))),
        Figure("Failed", str(failed), is_wrong=failed > 0),
        Figure("Not examined", str(missed), note="not presented, or to clean first"),
    ]
    if seconds:
        note = f"the quickest {min(seconds)} s, the longest {max(seconds)} s"
        figures.append(Figure("An item took", f"{median(seconds):.0f}", "s", f"in the middle; {note}"))
    return figures
