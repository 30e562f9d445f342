"""Which words of felling a company uses. Those who are here already keep the words they have."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("crewlog", "0004_issued_documents")]

    operations = [
        migrations.AddField(
            model_name="company",
            name="felling_words",
            field=models.CharField(
                choices=[
                    ("north_american", "North American: back cut, notch"),
                    ("british", "British: felling cut, sink"),
                ],
                default="north_american",
                max_length=14,
            ),
        ),
        migrations.AddConstraint(
            model_name="company",
            constraint=models.CheckConstraint(
                condition=models.Q(("felling_words__in", ["north_american", "british"])),
                name="crewlog_company_known_felling_words",
            ),
        ),
    ]
