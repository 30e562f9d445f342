"""Items out of use say the newest finding, no longer the event that led to it."""

from dataclasses import asdict

from django.db import migrations

from gear.classes import BY_CODE
from gear.history import Examined, Happened, LifeFacts, state_of
from gear.rules import ItemFacts
from gear.status_dates import status_dates_of

NAMES = (
    "quarantined_on",
    "quarantined_because",
    "examination_pending_since",
    "examination_pending_because",
)

# The columns that facts were read from when this was written; a column that comes later is not there yet.
READ = (
    "tag", "retired_on", "retired_because", "is_mistake", "quarantined_on", "quarantined_because",
    "examination_pending_since", "examination_pending_because", "pre_service_on", "pre_service_ends_on", "next_due_on",
    "next_due_basis", "remark_due_on", "remark", "life_ends_on", "life_date_missing", "permitted_uses", "uses_made",
    "uses_end_at", "recall_unresolved", "marking_illegible", "parts_expected",
)  # fmt: skip


def facts_of(item, parts=()):
    declared = BY_CODE[item.gear_class]
    return ItemFacts(
        carries_load=declared.carries_load,
        has_rating=any(getattr(item, name, None) is not None for name in declared.ratings),
        parts=tuple(facts_of(part) for part in parts),
        **{name: getattr(item, name) for name in READ},
    )


def standing_of(rows):
    """Rows that no later one corrects, each with the place of the first it goes back to."""
    by_record = {row.record_id: row for row in rows}
    corrected = {row.record.corrects_id for row in by_record.values()}
    for key, row in by_record.items():
        if key not in corrected:
            first = row
            while first.record.corrects_id in by_record:
                first = by_record[first.record.corrects_id]
            yield row, first.record.sequence


def say_newest_finding(apps, schema_editor):
    """Work the four columns out anew for every item that waits for an examination."""
    item_model, inspection = apps.get_model("gear", "GearItem"), apps.get_model("gear", "Inspection")
    event = apps.get_model("gear", "GearEvent")
    failed = inspection.objects.filter(verdict__in=["out_of_use", "retire"]).values("item")
    for item in item_model.objects.filter(pk__in=failed).iterator(chunk_size=500):
        examined = [
            Examined(sequence, row.examined_on, row.kind, row.verdict, findings=row.findings)
            for row, sequence in standing_of(inspection.objects.filter(item=item).select_related("record"))
        ]
        happened = [
            Happened(row.record.sequence, row.happened_on, row.kind, row.description)
            for row in event.objects.filter(item=item).select_related("record")
        ]
        state = state_of(examined=examined, happened=happened, ended=None, life=LifeFacts())
        said = {name: getattr(state, name) for name in NAMES}
        if any(getattr(item, name) != value for name, value in said.items()):
            item_model.objects.filter(pk=item.pk).update(**said)
            for each in item_model.objects.filter(pk__in=[item.pk, item.assembly_id or item.pk]):
                parts = item_model.objects.filter(assembly=each) if each.parts_expected is not None else ()
                dates = status_dates_of(facts_of(each, parts))
                item_model.objects.filter(pk=each.pk).update(
                    falls_due_on=dates.falls_due_on, over_from_on=dates.overdue_from, out_from_on=dates.unfit_from
                )


class Migration(migrations.Migration):
    dependencies = [("gear", "0014_findings_and_mistakes")]

    operations = [migrations.RunPython(say_newest_finding, migrations.RunPython.noop)]
