"""Where the uses of items end that were registered before it was kept, and the days on which they turn."""

from collections import defaultdict
from dataclasses import asdict

from django.db import migrations
from django.db.models import F

from gear.facts import item_facts
from gear.turns import turns_of


def fill(apps, schema_editor):
    items = apps.get_model("gear", "GearItem").objects.using(schema_editor.connection.alias)
    items.filter(permitted_uses__isnull=False).update(uses_end_at=F("permitted_uses"))
    parts = defaultdict(list)
    for part in items.filter(assembly__isnull=False):
        parts[part.assembly_id].append(part)
    for item in items.iterator(chunk_size=500):
        items.filter(pk=item.pk).update(**asdict(turns_of(item_facts(item, parts[item.pk]))))


class Migration(migrations.Migration):
    dependencies = [("gear", "0009_class_limits")]
    operations = [migrations.RunPython(fill, migrations.RunPython.noop)]
