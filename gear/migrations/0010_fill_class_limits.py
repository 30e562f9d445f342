"""Where the uses of items end that were registered before it was kept, and the days on which they turn."""

from collections import defaultdict

from django.db import migrations
from django.db.models import F

from gear.classes import BY_CODE
from gear.rules import ItemFacts
from gear.status_dates import status_dates_of

# The columns that facts were read from when this was written; a column that comes later is not there yet.
READ = (
    "tag", "retired_on", "retired_because", "quarantined_on", "quarantined_because", "examination_pending_since",
    "examination_pending_because", "pre_service_on", "pre_service_ends_on", "next_due_on", "next_due_basis",
    "remark_due_on", "remark", "life_ends_on", "life_date_missing", "permitted_uses", "uses_made", "uses_end_at",
    "recall_unresolved", "marking_illegible", "parts_expected",
)  # fmt: skip


def facts_of(item, parts=()):
    declared = BY_CODE[item.gear_class]
    return ItemFacts(
        carries_load=declared.carries_load,
        has_rating=any(getattr(item, name, None) is not None for name in declared.ratings),
        parts=tuple(facts_of(part) for part in parts),
        **{name: getattr(item, name) for name in READ},
    )


def dates_of(facts):
    dates = status_dates_of(facts)
    return {"falls_due_on": dates.falls_due_on, "over_from_on": dates.overdue_from, "out_from_on": dates.unfit_from}


def fill(apps, schema_editor):
    items = apps.get_model("gear", "GearItem").objects.using(schema_editor.connection.alias)
    items.filter(permitted_uses__isnull=False).update(uses_end_at=F("permitted_uses"))
    parts = defaultdict(list)
    for part in items.filter(assembly__isnull=False):
        parts[part.assembly_id].append(part)
    for item in items.iterator(chunk_size=500):
        items.filter(pk=item.pk).update(**dates_of(facts_of(item, parts[item.pk])))


class Migration(migrations.Migration):
    dependencies = [("gear", "0009_class_limits")]
    operations = [migrations.RunPython(fill, migrations.RunPython.noop)]
