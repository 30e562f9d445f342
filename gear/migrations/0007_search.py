import datetime

import django.db.models.deletion
from django.db import migrations, models

LIVE = models.Q(retired_on__isnull=True)
NEVER = datetime.date(9999, 12, 31)


def live_index(name, *fields):
    index = models.Index(fields=["company", *fields], name=name, condition=LIVE)
    return migrations.AddIndex(model_name="gearitem", index=index)


def turning_day(name):
    return migrations.AddField(
        model_name="gearitem", name=name, field=models.DateField(default=NEVER, editable=False)
    )


class Migration(migrations.Migration):
    dependencies = [("crewlog", "0001_initial"), ("gear", "0006_imports")]

    operations = [
        turning_day("falls_due_on"),
        turning_day("out_from_on"),
        turning_day("over_from_on"),
        live_index("gear_item_live_by_fall", "falls_due_on", "tag", "over_from_on", "retired_on"),
        live_index("gear_item_live_by_over", "over_from_on", "tag", "out_from_on", "retired_on"),
        live_index("gear_item_live_by_out", "out_from_on", "tag", "retired_on"),
        migrations.AddIndex(
            model_name="gearitem",
            index=models.Index(condition=models.Q(retired_on__isnull=False), fields=["company", "-retired_on", "tag"], name="gear_item_gone"),
        ),
        migrations.CreateModel(
            name="SearchWord",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("word", models.CharField(max_length=40)),
                (
                    "company",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="+",
                        to="crewlog.company",
                    ),
                ),
                (
                    "item",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="search_words", to="gear.gearitem"
                    ),
                ),
            ],
            options={
                "indexes": [
                    models.Index(
                        fields=["company", "word", "item"],
                        name="gear_searchword_by_start",
                        opclasses=["int8_ops", "varchar_pattern_ops", "int8_ops"],
                    ),
                ],
            },
        ),
    ]
