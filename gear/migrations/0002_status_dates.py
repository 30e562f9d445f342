"""The days an item turns are called by what they say."""

from django.db import migrations, models

LIVE = models.Q(("retired_on__isnull", True))
INDEXES = ("gear_item_live_by_fall", "gear_item_live_by_over", "gear_item_live_by_out")


def live_index(name, *columns):
    return migrations.AddIndex("gearitem", models.Index(fields=["company", *columns], name=name, condition=LIVE))


class Migration(migrations.Migration):
    dependencies = [("gear", "0001_first")]
    operations = [
        *(migrations.RemoveIndex("gearitem", name) for name in INDEXES),
        migrations.RenameField("gearitem", "over_from_on", "overdue_from"),
        migrations.RenameField("gearitem", "out_from_on", "unfit_from"),
        live_index("gear_item_live_by_fall", "falls_due_on", "tag", "overdue_from", "retired_on"),
        live_index("gear_item_live_by_overdue", "overdue_from", "tag", "unfit_from", "retired_on"),
        live_index("gear_item_live_by_unfit", "unfit_from", "tag", "retired_on"),
        live_index("gear_item_live_by_class", "gear_class", "overdue_from", "retired_on"),
    ]
