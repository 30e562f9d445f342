"""Addresses of jobs, plans and sheets."""

from django.urls import path

from jobs.views import assignment, field, jobs, plans, sheets, stems, today

urlpatterns = [
    path("", today.today, name="today"),
    path("jobs/", jobs.jobs, name="jobs"),
    path("jobs/new/", jobs.job_new, name="job_new"),
    path("jobs/<int:job_id>/", jobs.job, name="job"),
    path("jobs/<int:job_id>/edit/", jobs.job_edit, name="job_edit"),
    path("jobs/<int:job_id>/anchors/new/", jobs.anchor_new, name="anchor_new"),
    path("jobs/<int:job_id>/stems/new/", stems.stem_new, name="stem_new"),
    path("anchors/<int:anchor_id>/", jobs.anchor_edit, name="anchor_edit"),
    path("stems/<int:stem_id>/", stems.stem, name="stem"),
    path("stems/<int:stem_id>/hazards/new/", jobs.hazard_new, name="hazard_new"),
    path("stems/<int:stem_id>/plan/", plans.plan, name="plan"),
    path("stems/<int:stem_id>/plan/try/", plans.plan_try, name="plan_try"),
    path("stems/<int:stem_id>/plan/keep/", plans.plan_keep, name="plan_keep"),
    path("stems/<int:stem_id>/plan/cures/", plans.plan_cures, name="plan_cures"),
    path("stems/<int:stem_id>/plan/set/", plans.plan_set, name="plan_set"),
    path("stems/<int:stem_id>/plan/working/", plans.plan_working, name="plan_working"),
    path("stems/<int:stem_id>/sheet/", assignment.sheet_open, name="sheet_open"),
    path("stems/<int:stem_id>/gear/", assignment.assign, name="assign"),
    path("stems/<int:stem_id>/gear/fill/", assignment.fill, name="fill_from_store"),
    path("stems/<int:stem_id>/gear/<slug:role>/", assignment.position, name="position"),
    path("stems/<int:stem_id>/gear/<slug:role>/clear/", assignment.position_clear, name="position_clear"),
    path("stems/<int:stem_id>/duties/", assignment.duty_add, name="duty_add"),
    path("duties/<int:duty_id>/remove/", assignment.duty_remove, name="duty_remove"),
    path("sheets/", sheets.sheets, name="sheets"),
    path("sheets/<int:sheet_id>/", sheets.sheet, name="sheet"),
    path("sheets/<int:sheet_id>/day/", sheets.sheet_day, name="sheet_day"),
    path("sheets/<int:sheet_id>/done/", field.sheet_done, name="sheet_done"),
    path("sheets/<int:sheet_id>/done/record/", field.sheet_done_record, name="sheet_done_record"),
    path("sheets/<int:sheet_id>/readings/new/", field.reading_new, name="reading_new"),
    path("sheets/<int:sheet_id>/issue/", sheets.sheet_issue, name="sheet_issue"),
    path("sheets/<int:sheet_id>/pdf/", sheets.sheet_pdf, name="sheet_pdf"),
    path("sheets/<int:sheet_id>/source/", sheets.sheet_source, name="sheet_source"),
    path("sheets/<int:sheet_id>/withdraw/", sheets.sheet_withdraw, name="sheet_withdraw"),
    path("withdrawals/<int:withdrawal_id>/seen/", sheets.withdrawal_seen, name="withdrawal_seen"),
]
