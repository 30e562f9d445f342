"""An item out of use gives its newest reason; items that have several are worked out anew."""

from collections import defaultdict

from django.db import migrations

from gear.history import Examined, Happened, LifeFacts, state_of


def standing(rows):
    """Inspections that no later one corrects, each with the place in the chain of the first it goes back to."""
    by_record = {row.record_id: row for row in rows}
    corrected = {row.record.corrects_id for row in rows}
    for row in rows:
        if row.record_id not in corrected:
            first = row
            while first.record.corrects_id in by_record:
                first = by_record[first.record.corrects_id]
            yield row, first.record.sequence


def give_newest_reason(apps, schema_editor):
    items = apps.get_model("gear", "GearItem").objects.filter(quarantined_on__isnull=False)
    examined, happened = defaultdict(list), defaultdict(list)
    inspections = apps.get_model("gear", "Inspection").objects.filter(item__in=items).select_related("record")
    for row, sequence in standing(list(inspections)):
        examined[row.item_id].append(Examined(sequence, row.examined_on, row.kind, row.verdict, findings=row.findings))
    for row in apps.get_model("gear", "GearEvent").objects.filter(item__in=items).select_related("record"):
        happened[row.item_id].append(Happened(row.record.sequence, row.happened_on, row.kind, row.description))
    for item in items:
        state = state_of(examined=examined[item.pk], happened=happened[item.pk], ended=None, life=LifeFacts())
        if state.quarantined_on == item.quarantined_on and state.quarantined_because != item.quarantined_because:
            item.quarantined_because = state.quarantined_because
            item.save(update_fields=["quarantined_because"])


class Migration(migrations.Migration):
    dependencies = [("gear", "0016_failures")]

    operations = [migrations.RunPython(give_newest_reason, migrations.RunPython.noop)]
