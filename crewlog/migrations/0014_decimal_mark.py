"""How a company writes numbers."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("crewlog", "0013_trainee_of_skills")]

    operations = [
        migrations.AddField(
            model_name="company",
            name="decimal_mark",
            field=models.CharField(
                choices=[("point", "A point: 12.5"), ("comma", "A comma: 12,5")], default="point", max_length=5
            ),
        ),
        migrations.AddConstraint(
            model_name="company",
            constraint=models.CheckConstraint(
                condition=models.Q(("decimal_mark__in", ["point", "comma"])),
                name="crewlog_company_known_decimal_mark",
            ),
        ),
    ]
