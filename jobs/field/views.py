"""What was done on the day of an issued sheet: its page, a reading, and recording the day."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from crewlog.errors import RuleBroken
from crewlog.once import once
from crewlog.web.access import COMPANY_PEOPLE, EVERYONE, PLANNERS, role_required
from crewlog.web.form_fields import add_service_error
from crewlog.web.http import CrewRequest, whole_id
from gear.models import GearItem
from jobs.field.forms import DayForm, ReadingForm
from jobs.field.pages import done_page
from jobs.field.services import record_day, record_reading, standing_day
from jobs.models import Assignment, Reading, Sheet
from jobs.models.snapshot_json import snapshot_of
from jobs.models.values import Row
from jobs.readings.limits import limits_in
from jobs.readings.pages import JudgedReading, judged
from jobs.sheets.standing.selectors import is_issued
from jobs.web.view_parts import is_auditor, may_plan, post_or_none, sheet_or_404, status_of
from jobs.wording.unit_formatter import UnitFormatter


def issued_or_404(request: CrewRequest, sheet_id: int) -> Sheet:
    row = sheet_or_404(request, sheet_id)
    if not is_issued(row):
        raise Http404("Only an issued sheet is worked from.")
    return row


def shell(request: CrewRequest, row: Sheet, **context: object) -> dict[str, object]:
    return {"sheet": row, "stem": row.stem, "job": row.stem.job, "may_open_jobs": not is_auditor(request), **context}


@require_GET
@role_required(*EVERYONE)
def sheet_done(request: CrewRequest, sheet_id: int) -> HttpResponse:
    row = issued_or_404(request, sheet_id)
    company = request.member.company
    context = shell(
        request,
        row,
        page=done_page(row, row.issue, company),
        may_record=may_plan(request) and row.day <= company.today(),
        may_read=not is_auditor(request) and row.day <= company.today(),
    )
    return render(request, "jobs/sheet_done.html", context)


@require_http_methods(["GET", "POST"])
@role_required(*COMPANY_PEOPLE)
@once
def reading_new(request: CrewRequest, sheet_id: int) -> HttpResponse:
    """Enter a reading, or with ?corrects= the one that should have been entered."""
    row = issued_or_404(request, sheet_id)
    wrong = corrected_reading(request, row)
    form = ReadingForm(post_or_none(request), company=request.member.company, initial=initial_reading(row, wrong))
    if request.method == "POST" and form.is_valid():
        try:
            record_reading(actor=request.member, sheet=row, corrects=wrong, **form.cleaned_data)
        except (RuleBroken, ValidationError) as error:
            add_service_error(form, error)
        else:
            answer_reading(request, row, form)
            return redirect("sheet_done", row.pk)
    context = shell(request, row, form=form, wrong=wrong)
    return render(request, "jobs/reading.html", context, status=status_of(form))


def answer_reading(request: CrewRequest, row: Sheet, form: ReadingForm) -> None:
    """Say at once where the reading lies and what to do."""
    found = judged_in(row, form)
    if found is None:
        messages.success(request, "The reading is recorded.")
    else:
        messages.add_message(request, found.level, f"Recorded. {found.title}. {found.action}".strip())


def judged_in(row: Sheet, form: ReadingForm) -> JudgedReading | None:
    """What is said of the reading in a form; None while kind, moment or figure is missing or cannot be read."""
    form.is_valid()
    kind, moment, force_n = (form.cleaned_data.get(name) for name in ("kind", "moment", "force_n"))
    if not kind or not moment or force_n is None:
        return None
    write = UnitFormatter(row.stem.job.company.unit_system)
    return judged(kind, moment, force_n, limits=limits_in(snapshot_of(row.issue)), write=write)


@require_GET
@role_required(*COMPANY_PEOPLE)
def reading_judge(request: CrewRequest, sheet_id: int) -> HttpResponse:
    """What is said of the figure in the box, while it is typed. Nothing is recorded."""
    row = issued_or_404(request, sheet_id)
    form = ReadingForm(request.GET, company=request.member.company)
    return render(request, "jobs/_reading_judged.html", {"sheet": row, "judged": judged_in(row, form)})


def corrected_reading(request: CrewRequest, row: Sheet) -> Reading | None:
    asked = request.GET.get("corrects", "")
    if not asked:
        return None
    rows = Reading.objects.select_related("record", "gauge")
    found: Reading = get_object_or_404(rows, sheet=row, pk=whole_id(asked))
    return found


def initial_reading(row: Sheet, wrong: Reading | None) -> Row:
    if wrong is not None:
        return {name: getattr(wrong, name) for name in ("kind", "force_n", "gauge", "moment", "read_at", "note")}
    hung = row.assignments.filter(role="tension_gauge", rank=0).values_list("item", flat=True).first()
    today = row.stem.job.company.today()
    return {"gauge": hung, "read_at": timezone.now() if row.day == today else None}


@require_http_methods(["GET", "POST"])
@role_required(*PLANNERS)
@once
def sheet_done_record(request: CrewRequest, sheet_id: int) -> HttpResponse:
    """The lead records the day, or records it again."""
    row = issued_or_404(request, sheet_id)
    before = standing_day(row)
    hung = list(row.assignments.filter(item__isnull=False).select_related("item__company").order_by("rank", "pk"))
    form = DayForm(post_or_none(request), hung=hung, initial=initial_day(row, hung))
    if request.method == "POST" and form.is_valid():
        day = form.day()
        try:
            record_day(
                actor=request.member,
                sheet=row,
                result=day.result,
                used=day.used,
                note=day.note,
                from_paper=day.from_paper,
            )
        except (RuleBroken, ValidationError) as error:
            add_service_error(form, error)
        else:
            messages.success(request, "The day is recorded, and each item's history with it.")
            tell_what_is_out(request, day.used)
            return redirect("sheet_done", row.pk)
    context = shell(request, row, form=form, before=before)
    return render(request, "jobs/day_record.html", context, status=status_of(form))


def tell_what_is_out(request: CrewRequest, used: list[Assignment]) -> None:
    """Name what the day's loads took out of use: whoever records it has to take it off the line."""
    fit = {each.item.pk for each in used if each.item is not None and each.item.quarantined_on is None}
    for item in GearItem.objects.filter(pk__in=fit, quarantined_on__isnull=False).order_by("tag"):
        messages.error(request, f"{item.tag} is out of use now. {item.quarantined_because}.")


def initial_day(row: Sheet, hung: list[Assignment]) -> Row:
    """Everything that was to hang, but no alternate; what was recorded before, when it is recorded again."""
    before = standing_day(row)
    if before is None:
        return {"used": [str(each.pk) for each in hung if each.rank == 0]}
    named = before.used_items()
    used = [str(each.pk) for each in hung if (each.role, each.item_id) in named]
    return {"result": before.result, "note": before.note, "used": used}
