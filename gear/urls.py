"""Addresses of the gear store."""

from django.urls import URLPattern, path

from gear.views import alter, assembly, events, files, inspections, item, register, round_items, rounds, schemes

urlpatterns: list[URLPattern] = [
    path("store/", register.store, name="store"),
    path("store/due/", register.store_due, name="store_due"),
    path("store/new/", item.item_new, name="item_new"),
    path("store/recall/", events.recall_new, name="recall_new"),
    path("store/schemes/", schemes.schemes, name="schemes"),
    path("store/schemes/change/", schemes.scheme_change, name="scheme_change"),
    path("rounds/", rounds.rounds, name="rounds"),
    path("rounds/new/", rounds.round_new, name="round_new"),
    path("rounds/signed/<int:round_id>/", rounds.round_signed, name="round_signed"),
    path("rounds/<int:draft_id>/", rounds.round_draft, name="round"),
    path("rounds/<int:draft_id>/answers/", round_items.round_answers, name="round_answers"),
    path("rounds/<int:draft_id>/close/", rounds.round_close, name="round_close"),
    path("rounds/<int:draft_id>/sign/", rounds.round_sign, name="round_sign"),
    path("rounds/<int:draft_id>/<int:place>/", round_items.round_item, name="round_item"),
    path("rounds/<int:draft_id>/<int:place>/set/", round_items.round_set, name="round_set"),
    path("find/", register.find_tag, name="find_tag"),
    path("gear/<str:tag>/", item.item, name="item"),
    path("gear/<str:tag>/edit/", item.item_edit, name="item_edit"),
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
    path("gear/<str:tag>/recall/", events.item_recall, name="item_recall"),
]
