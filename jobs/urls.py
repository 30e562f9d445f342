"""Addresses of jobs, plans and sheets."""

from django.urls import path

from jobs.basis import views as mechanics
from jobs.efficiency import views as efficiency
from jobs.field import views as field
from jobs.plans import views as plans
from jobs.sheets import assign_views
from jobs.sheets import views as sheets
from jobs.sites import views as jobs
from jobs.stems import views as stems
from jobs.today import views as today

urlpatterns = [
    path("", today.today, name="today"),
    path("mechanics/defaults/", mechanics.mechanics_defaults, name="mechanics_defaults"),
    path("mechanics/sources/", mechanics.mechanics_sources, name="mechanics_sources"),
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
    path("stems/<int:stem_id>/plan/least/", plans.plan_least, name="plan_least"),
    path("stems/<int:stem_id>/plan/set/", plans.plan_set, name="plan_set"),
    path("stems/<int:stem_id>/plan/working/", plans.plan_working, name="plan_working"),
    path("stems/<int:stem_id>/plan/efficiency/", efficiency.plan_efficiency, name="plan_efficiency"),
    path("gear/<str:tag>/efficiency/", efficiency.efficiency, name="efficiency"),
    path("gear/<str:tag>/efficiency/new/", efficiency.efficiency_new, name="efficiency_new"),
    path("stems/<int:stem_id>/sheet/", assign_views.sheet_open, name="sheet_open"),
    path("stems/<int:stem_id>/gear/", assign_views.assign, name="assign"),
    path("stems/<int:stem_id>/gear/fill/", assign_views.fill, name="fill_from_store"),
    path("stems/<int:stem_id>/gear/<slug:role>/", assign_views.position, name="position"),
    path("stems/<int:stem_id>/gear/<slug:role>/clear/", assign_views.position_clear, name="position_clear"),
    path("stems/<int:stem_id>/duties/", assign_views.duty_add, name="duty_add"),
    path("duties/<int:duty_id>/remove/", assign_views.duty_remove, name="duty_remove"),
    path("sheets/", sheets.sheets, name="sheets"),
    path("sheets/<int:sheet_id>/", sheets.sheet, name="sheet"),
    path("sheets/<int:sheet_id>/day/", sheets.sheet_day, name="sheet_day"),
    path("sheets/<int:sheet_id>/done/", field.sheet_done, name="sheet_done"),
    path("sheets/<int:sheet_id>/done/record/", field.sheet_done_record, name="sheet_done_record"),
    path("sheets/<int:sheet_id>/readings/new/", field.reading_new, name="reading_new"),
    path("sheets/<int:sheet_id>/readings/judge/", field.reading_judge, name="reading_judge"),
    path("sheets/<int:sheet_id>/issue/", sheets.sheet_issue, name="sheet_issue"),
    path("sheets/<int:sheet_id>/pdf/", sheets.sheet_pdf, name="sheet_pdf"),
    path("sheets/<int:sheet_id>/pdf/original/", sheets.sheet_pdf_original, name="sheet_pdf_original"),
    path("sheets/<int:sheet_id>/source/", sheets.sheet_source, name="sheet_source"),
    path("sheets/<int:sheet_id>/withdraw/", sheets.sheet_withdraw, name="sheet_withdraw"),
    path("withdrawals/<int:withdrawal_id>/seen/", sheets.withdrawal_seen, name="withdrawal_seen"),
]
