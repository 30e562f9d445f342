import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('crewlog', '0001_initial'),
        ('gear', '0003_rounds'),
    ]

    operations = [
        migrations.CreateModel(
            name='PartChange',
            fields=[
                ('record', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, primary_key=True, related_name='%(class)s', serialize=False, to='crewlog.record')),
                ('change', models.CharField(choices=[('in', 'Put in'), ('out', 'Taken out')], max_length=3)),
                ('day', models.DateField()),
                ('because', models.CharField(max_length=200)),
                ('assembly', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='part_changes', to='gear.gearitem')),
                ('part', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='set_changes', to='gear.gearitem')),
            ],
            options={
                'ordering': ['-day', '-record_id'],
                'indexes': [models.Index(fields=['assembly', '-day'], name='gear_partchange_by_set'), models.Index(fields=['part', '-day'], name='gear_partchange_by_part')],
                'constraints': [models.CheckConstraint(condition=models.Q(('change__in', ['in', 'out'])), name='gear_partchange_known_change'), models.CheckConstraint(condition=models.Q(('because', ''), _negated=True), name='gear_partchange_says_why', violation_error_message='Say why.'), models.CheckConstraint(condition=models.Q(('assembly', models.F('part')), _negated=True), name='gear_partchange_not_into_itself', violation_error_message='A set cannot be a part of itself.')],
            },
        ),
    ]
