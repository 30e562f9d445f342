"""Where a stem and its sheets stand, in one word with its mark. Works on rows that were fetched together."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Prefetch, QuerySet
from django.urls import reverse

from crewlog.dates import day_words
from crewlog.web.ui_rows import MarkKind
from jobs.models import DayRecord, Sheet, Stem
from jobs.plans.page_rows import stem_title
from jobs.sheets.standing.rules import Standing
from jobs.sheets.standing.selectors import fell, is_issued, standing
from jobs.wording.date_words import window_words


@dataclass(frozen=True, slots=True)
class State:
    """A mark and its word."""

    key: str
    mark: MarkKind
    word: str


DRAFT = State("draft", "open", "Draft")
REFUSED = State("refused", "refused", "Refused")
FELLED = State("felled", "ok", "Felled")
MARKS: dict[str, MarkKind] = {
    "stands": "ok",
    "withdrawn": "out",
    "superseded": "gone",
    "closed": "gone",
    "lapsed": "gone",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetRow:
    """One sheet of a list."""

    id: int
    title: str
    line: str
    mark: MarkKind
    state: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StemRow:
    """One stem of a list."""

    id: int
    title: str
    short: str
    line: str
    mark: MarkKind
    state: str
    href: str
    is_felled: bool


def with_sheets(stems: "QuerySet[Stem]") -> "QuerySet[Stem]":
    """Stems with all that their state is read from: a fixed number of queries."""
    sheets = with_state(Sheet.objects.all()).order_by("-revision")
    stems = stems.select_related("plan", "job__company")
    return stems.prefetch_related("sections", "revisions", Prefetch("sheets", queryset=sheets))


def with_state(sheets: "QuerySet[Sheet]") -> "QuerySet[Sheet]":
    """Sheets with all that their state is read from, without the papers themselves."""
    light = sheets.select_related("issue").defer("issue__pdf", "issue__snapshot")
    days = Prefetch("day_records", queryset=DayRecord.objects.select_related("record"))
    return light.prefetch_related("withdrawals", "refusals", days)


def sheet_state(sheet: Sheet, siblings: Iterable[Sheet]) -> State:
    """State of a sheet among the sheets of its stem, on the company's day."""
    if not is_issued(sheet):
        return REFUSED if list(sheet.refusals.all()) else DRAFT
    return state_of(standing(sheet, siblings, sheet.stem.job.company.today()))


def state_of(found: Standing) -> State:
    word = "Superseded" if found.key == "superseded" else found.word
    return State(found.key, MARKS[found.key], word)


def sheet_row(sheet: Sheet, siblings: Iterable[Sheet], stem: Stem) -> SheetRow:
    state = sheet_state(sheet, siblings)
    return SheetRow(
        id=sheet.pk,
        title=f"Sheet {sheet.number}, revision {sheet.revision}",
        line=f"{stem_title(stem)}. {day_words(sheet.day)}, {window_words(sheet)}",
        mark=state.mark,
        state=state.word,
    )


def stem_state(stem: Stem) -> tuple[State, str]:
    """State of a stem with one line that says more; `with_sheets` has fetched what it reads."""
    sheets = list(stem.sheets.all())
    if stem.felled_on is not None:
        return FELLED, f"Down on {day_words(stem.felled_on)}"
    for sheet in sheets:
        if fell(sheet):
            return FELLED, f"Sheet {sheet.number}, {day_words(sheet.day)}"
    for sheet in sheets:
        state = sheet_state(sheet, sheets)
        if state.key in ("closed", "lapsed"):
            return state, f"Sheet {sheet.number}, {day_words(sheet.day)}"
        if state.key == "stands":
            return state, f"Sheet {sheet.number}, {day_words(sheet.day)}"
        if state.key == "refused":
            return state, f"Sheet {sheet.number} was refused; it is a draft still"
        if state.key == "withdrawn":
            return state, f"Sheet {sheet.number} is no longer valid"
    revisions = list(stem.revisions.all())
    if sheets:
        return State("draft", "open", "Sheet in draft"), f"Sheet {sheets[0].number}, {day_words(sheets[0].day)}"
    if revisions:
        return State("kept", "open", "Plan kept"), f"Plan revision {max(each.revision for each in revisions)}"
    if hasattr(stem, "plan"):
        return State("plan", "open", "Plan in work"), "No revision kept yet"
    if list(stem.sections.all()):
        return State("measured", "open", "To plan"), "Measured, no plan yet"
    return State("new", "open", "To measure"), "Not measured yet"


def stem_row(stem: Stem, *, may_plan: bool) -> StemRow:
    state, line = stem_state(stem)
    return StemRow(
        id=stem.pk,
        title=stem_title(stem),
        short=str(stem).lower(),
        line=line,
        mark=state.mark,
        state=state.word,
        href=stem_href(stem, state, may_plan=may_plan),
        is_felled=state.key == "felled",
    )


def stem_href(stem: Stem, state: State, *, may_plan: bool) -> str:
    """Where work on a stem goes on."""
    sheets = list(stem.sheets.all())
    if state.key in ("stands", "withdrawn", "felled", "refused", "closed", "lapsed") and sheets:
        ended = state.key == "felled"
        current = next(
            (s for s in sheets if (fell(s) if ended else sheet_state(s, sheets).key == state.key)), sheets[0]
        )
        return reverse("sheet", args=[current.pk])
    if state.key == "draft" and may_plan:
        return reverse("assign", args=[stem.pk])
    if state.key == "new" and may_plan:
        return reverse("stem", args=[stem.pk])
    return reverse("plan", args=[stem.pk])
