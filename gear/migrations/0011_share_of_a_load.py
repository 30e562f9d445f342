from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('crewlog', '0004_retention'),
        ('gear', '0010_fill_class_limits'),
    ]

    operations = [
        migrations.AddField(
            model_name='loadrecord',
            name='overload_above_ratio',
            field=models.FloatField(blank=True, null=True),
        ),
        migrations.AddConstraint(
            model_name='loadrecord',
            constraint=models.CheckConstraint(condition=models.Q(('overload_above_ratio__isnull', True), ('overload_above_ratio__gt', 0), _connector='OR'), name='gear_load_overload_share', violation_error_message='The share above which a peak is an overload is above 0.'),
        ),
    ]
