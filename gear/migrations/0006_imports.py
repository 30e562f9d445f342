import uuid

import django.db.models.deletion
import django.utils.timezone
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("crewlog", "0001_initial"), ("gear", "0005_loads")]
    operations = [
        migrations.CreateModel(
            name="ColumnMapping",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("columns", models.JSONField(blank=True, default=dict)),
                (
                    "date_order",
                    models.CharField(
                        blank=True,
                        choices=[("dmy", "Day first: 25/11/2026"), ("mdy", "Month first: 11/25/2026")],
                        default="",
                        max_length=3,
                    ),
                ),
                ("uses", models.JSONField(blank=True, default=list)),
                (
                    "company",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="column_mapping",
                        to="crewlog.company",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("date_order__in", ["", "dmy", "mdy"])),
                        name="gear_columnmapping_known_order",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="ListUpload",
            fields=[
                ("id", models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ("name", models.CharField(max_length=120)),
                ("data", models.BinaryField()),
                ("sha256", models.CharField(max_length=64)),
                ("choices", models.JSONField(blank=True, default=dict)),
                ("report", models.JSONField(blank=True, null=True)),
                ("seal", models.CharField(blank=True, default="", max_length=64)),
                ("kept_at", models.DateTimeField(default=django.utils.timezone.now)),
                (
                    "company",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="list_uploads",
                        to="crewlog.company",
                    ),
                ),
                (
                    "member",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="list_uploads",
                        to="crewlog.membership",
                    ),
                ),
            ],
            options={
                "indexes": [models.Index(fields=["member", "-kept_at"], name="gear_listupload_by_member")],
            },
        ),
    ]
