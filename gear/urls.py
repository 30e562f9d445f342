"""Addresses of the gear store."""

from django.urls import URLPattern, path

from gear.alterations import views as alter
from gear.events import views as events
from gear.examinations import views as inspections
from gear.fact_changes import views as fact_changes
from gear.failures import views as failures
from gear.files import views as files
from gear.labels import views as labels
from gear.lists import views_in, views_out
from gear.recalls import views as recalls
from gear.register import item_views as item
from gear.register import views as register
from gear.reminders import views as reminders
from gear.reports import views as reports
from gear.rounds import item_views as round_items
from gear.rounds import views as rounds
from gear.schemes import limit_views
from gear.schemes import views as schemes
from gear.sets import views as assembly

urlpatterns: list[URLPattern] = [
    path("store/", register.store, name="store"),
    path("store/due/", register.store_due, name="store_due"),
    path("store/new/", item.item_new, name="item_new"),
    path("store/recall/", recalls.recall_new, name="recall_new"),
    path("store/labels/", labels.labels, name="labels"),
    path("store/schemes/", schemes.schemes, name="schemes"),
    path("store/schemes/change/", schemes.scheme_change, name="scheme_change"),
    path("store/limits/", limit_views.class_limits, name="class_limits"),
    path("store/limits/change/", limit_views.class_limit_change, name="class_limit_change"),
    path("store/changes/", fact_changes.fact_changes, name="fact_changes"),
    path("store/changes/check/", fact_changes.fact_check, name="fact_check"),
    path("rounds/", rounds.rounds, name="rounds"),
    path("rounds/worker.js", rounds.round_worker, name="round_worker"),
    path("rounds/new/", rounds.round_new, name="round_new"),
    path("rounds/signed/<int:round_id>/", rounds.round_signed, name="round_signed"),
    path("rounds/<int:draft_id>/", rounds.round_draft, name="round"),
    path("rounds/<int:draft_id>/answers/", round_items.round_answers, name="round_answers"),
    path("rounds/<int:draft_id>/close/", rounds.round_close, name="round_close"),
    path("rounds/<int:draft_id>/sign/", rounds.round_sign, name="round_sign"),
    path("rounds/<int:draft_id>/<int:place>/", round_items.round_item, name="round_item"),
    path("rounds/<int:draft_id>/<int:place>/set/", round_items.round_set, name="round_set"),
    path("rounds/<int:draft_id>/<int:place>/mistake/", failures.round_mistake, name="round_mistake"),
    path(
        "rounds/<int:draft_id>/<int:place>/photographs/<int:photograph_id>/",
        round_items.round_photograph,
        name="round_photograph",
    ),
    path("reports/", reports.reports, name="reports"),
    path("reports/new/", reports.report_new, name="report_new"),
    path("reports/<int:report_id>/", reports.report, name="report"),
    path("reports/<int:report_id>/paper.pdf", reports.report_pdf, name="report_pdf"),
    path("store/checklists/<slug:code>.pdf", reports.class_checklist, name="class_checklist"),
    path("gear/<str:tag>/checklist.pdf", reports.item_checklist, name="item_checklist"),
    path("reminders/", reminders.reminders, name="reminders"),
    path("calendar/<str:token>/gear.ics", reminders.calendar_feed, name="calendar_feed"),
    path("store/bring-in/", views_in.list_new, name="list_new"),
    path("store/bring-in/<uuid:upload_id>/", views_in.list_check, name="list_check"),
    path("store/bring-in/<uuid:upload_id>/columns/", views_in.list_columns, name="list_columns"),
    path("store/bring-in/template/", views_out.list_template, name="list_template"),
    path("store/take-out/", views_out.list_out, name="list_out"),
    path("store/take-out/list/", views_out.list_file, name="list_file"),
    path("find/", register.find_tag, name="find_tag"),
    path("gear/<str:tag>/", item.item, name="item"),
    path("gear/<str:tag>/edit/", item.item_edit, name="item_edit"),
    path("gear/<str:tag>/change/", fact_changes.item_change, name="item_change"),
    path("gear/<str:tag>/changes/<int:change_id>/", fact_changes.fact_change, name="fact_change"),
    path("gear/<str:tag>/alter/", alter.item_alter, name="item_alter"),
    path("gear/<str:tag>/loads/", item.item_loads, name="item_loads"),
    path("gear/<str:tag>/parts/", assembly.set_parts, name="set_parts"),
    path("gear/<str:tag>/parts/change/", assembly.set_change, name="set_change"),
    path("gear/<str:tag>/parts/<int:change_id>/correct/", assembly.set_correct, name="set_correct"),
    path("gear/<str:tag>/inspect/", inspections.item_inspect, name="item_inspect"),
    path("gear/<str:tag>/measure/<slug:name>/", inspections.item_measure, name="item_measure"),
    path("gear/<str:tag>/files/", files.item_files, name="item_files"),
    path("gear/<str:tag>/files/<int:file_id>/", files.item_file, name="item_file"),
    path("gear/<str:tag>/files/<int:file_id>/small/", files.item_file_thumb, name="item_file_thumb"),
    path("uploads/<uuid:key>/", files.held_upload, name="held_upload"),
    path("gear/<str:tag>/event/", events.item_event, name="item_event"),
    path("gear/<str:tag>/out-of-use/", events.item_out, name="item_out"),
    path("gear/<str:tag>/retire/", events.item_retire, name="item_retire"),
    path("gear/<str:tag>/told/", failures.item_told, name="item_told"),
    path("gear/<str:tag>/mistake/", events.item_mistake, name="item_mistake"),
    path("gear/<str:tag>/recall/", recalls.item_recall, name="item_recall"),
]
