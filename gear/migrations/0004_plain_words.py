"""Words of choices and constraints; the tables stay as they are."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("gear", "0003_retired_is_unfit"), ("crewlog", "0003_plain_words")]

    operations = [
        migrations.AlterField(
            model_name="gearevent",
            name="kind",
            field=models.CharField(
                choices=[
                    ("shock_load", "Shock load"),
                    ("overload", "Overload"),
                    ("drop", "Drop from height"),
                    ("heat_or_chemical", "Heat or chemical contact"),
                    ("cut_or_abrasion", "Cut or abrasion"),
                    ("contamination", "Contamination: mud, salt, oil, sap"),
                    ("loss", "Lost, or lent without record"),
                    ("marking_illegible", "Marking cannot be read"),
                    ("near_miss_not_loaded", "Near miss, gear not loaded"),
                    ("taken_out_of_use", "Taken out of use"),
                    ("shortened", "Shortened"),
                    ("divided", "Divided"),
                    ("re_terminated", "New end made"),
                    ("marking_renewed", "Marking renewed"),
                    ("part_swapped", "Part swapped"),
                    ("recall", "Recall"),
                    ("recall_resolved", "Recall resolved"),
                    ("used", "Used"),
                ],
                max_length=24,
            ),
        ),
        migrations.AlterField(
            model_name="loadrecord",
            name="source",
            field=models.CharField(
                choices=[
                    ("measured", "Measured"),
                    ("derived", "Calculated from a reading"),
                    ("not_measured", "Not measured"),
                    ("not_used", "Not used"),
                ],
                max_length=12,
            ),
        ),
        migrations.AlterConstraint(
            model_name="factchangeanswer",
            name="gear_factchangeanswer_not_own",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("answer__in", ["agrees", "differs"]), _negated=True),
                    models.Q(("by", models.F("author")), _negated=True),
                    _connector="OR",
                ),
                name="gear_factchangeanswer_not_own",
                violation_error_message="You cannot confirm your own change.",
            ),
        ),
        migrations.AlterConstraint(
            model_name="inspection",
            name="gear_inspection_defect_is_told",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("verdict__in", ["out_of_use", "retire"]), _negated=True),
                    models.Q(("employer_told_at__isnull", False), models.Q(("employer_told_how", ""), _negated=True)),
                    ("failure__isnull", False),
                    _connector="OR",
                ),
                name="gear_inspection_defect_is_told",
                violation_error_message="The employer must be told at once of a defect that is or could become a danger: say when and how.",
            ),
        ),
        migrations.AlterConstraint(
            model_name="schemerule",
            name="gear_schemerule_has_basis",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("basis", ""), _negated=True), models.Q(("how_obtained", ""), _negated=True)
                ),
                name="gear_schemerule_has_basis",
                violation_error_message="Name the law or standard, and its source.",
            ),
        ),
    ]
