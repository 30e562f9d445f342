"""Words of items registered before they were kept."""

from django.db import migrations

from gear.services.search_index import NAMES, NUMBERS
from gear.search_index import search_words

CHUNK = 500


def fill(apps, schema_editor):
    items = apps.get_model("gear", "GearItem").objects.using(schema_editor.connection.alias)
    words = apps.get_model("gear", "SearchWord").objects.using(schema_editor.connection.alias)
    found = []
    for item in items.iterator(chunk_size=CHUNK):
        names, numbers = ([getattr(item, name) for name in group] for group in (NAMES, NUMBERS))
        for word in sorted(search_words(names=names, numbers=numbers)):
            found.append(words.model(company_id=item.company_id, item=item, word=word))
        if len(found) > CHUNK:
            words.bulk_create(found)
            found = []
    words.bulk_create(found)


class Migration(migrations.Migration):
    dependencies = [("gear", "0007_search")]
    operations = [migrations.RunPython(fill, migrations.RunPython.noop)]
