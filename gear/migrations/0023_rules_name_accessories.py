"""Default rules for lifting accessories say so, instead of listing the classes there were."""

from django.db import migrations

LISTED = [
    "rope", "tackle_rope", "hitch_cord", "eye_to_eye_sling", "block", "pulley", "connector", "sling", "cleat",
    "rope_grab", "ring", "load_cell",
]  # fmt: skip
NAMED = ["accessories"]
OWN = "our own rule"  # what a company listed itself stays as its record has it


def rewrite(apps, schema_editor, before, after):
    rules = apps.get_model("gear", "SchemeRule").objects.using(schema_editor.connection.alias)
    keys = [rule.pk for rule in rules.exclude(how_obtained=OWN) if rule.gear_classes == before]
    rules.filter(pk__in=keys).update(gear_classes=after)


def name_accessories(apps, schema_editor):
    rewrite(apps, schema_editor, LISTED, NAMED)


def list_classes(apps, schema_editor):
    rewrite(apps, schema_editor, NAMED, LISTED)


class Migration(migrations.Migration):
    dependencies = [("gear", "0022_no_list_of_classes")]
    operations = [migrations.RunPython(name_accessories, list_classes)]
