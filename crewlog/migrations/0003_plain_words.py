"""Words of choices and constraints; the tables stay as they are."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("crewlog", "0002_record_subjects")]

    operations = [
        migrations.AlterConstraint(
            model_name="company",
            name="crewlog_company_wind_stop_within_default",
            constraint=models.CheckConstraint(
                condition=models.Q(("wind_stop_m_s__gt", 0), ("wind_stop_m_s__lte", 11.0)),
                name="crewlog_company_wind_stop_within_default",
                violation_error_message="The wind limit may be set below 11 m/s, not above.",
            ),
        ),
        migrations.AlterConstraint(
            model_name="competence",
            name="crewlog_competence_has_evidence",
            constraint=models.CheckConstraint(
                condition=models.Q(("evidence", ""), _negated=True),
                name="crewlog_competence_has_evidence",
                violation_error_message="Give the basis of the qualification: a certificate, or who assessed it.",
            ),
        ),
        migrations.AlterConstraint(
            model_name="hold",
            name="crewlog_hold_has_reason",
            constraint=models.CheckConstraint(
                condition=models.Q(models.Q(("because", ""), _negated=True), models.Q(("subject", ""), _negated=True)),
                name="crewlog_hold_has_reason",
                violation_error_message="Say what the legal hold is for.",
            ),
        ),
        migrations.AlterConstraint(
            model_name="holdlift",
            name="crewlog_hold_lift_has_reason",
            constraint=models.CheckConstraint(
                condition=models.Q(("because", ""), _negated=True),
                name="crewlog_hold_lift_has_reason",
                violation_error_message="Say why the legal hold ends.",
            ),
        ),
        migrations.AlterConstraint(
            model_name="membership",
            name="crewlog_membership_auditor_access_lapses",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("role", "auditor"), _negated=True), ("ends_on__isnull", False), _connector="OR"
                ),
                name="crewlog_membership_auditor_access_lapses",
                violation_error_message="An auditor's access needs an end date.",
            ),
        ),
        migrations.AlterConstraint(
            model_name="paperpurge",
            name="crewlog_paper_purge_has_reason",
            constraint=models.CheckConstraint(
                condition=models.Q(("because", ""), _negated=True),
                name="crewlog_paper_purge_has_reason",
                violation_error_message="Say why the PDF is deleted.",
            ),
        ),
        migrations.AlterConstraint(
            model_name="retentionperiod",
            name="crewlog_retention_not_below_minimum",
            constraint=models.CheckConstraint(
                condition=models.Q(("months__gte", models.F("minimum_months")), ("months__lte", 1200)),
                name="crewlog_retention_not_below_minimum",
                violation_error_message="A period may be longer than the minimum, not shorter.",
            ),
        ),
        migrations.AlterConstraint(
            model_name="retentionperiod",
            name="crewlog_retention_has_basis",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("basis", ""), _negated=True), models.Q(("how_obtained", ""), _negated=True)
                ),
                name="crewlog_retention_has_basis",
                violation_error_message="Name the law or the reason, and its source.",
            ),
        ),
    ]
