import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('crewlog', '0001_initial'),
        ('gear', '0004_assemblies'),
    ]

    operations = [
        migrations.CreateModel(
            name='LoadRecord',
            fields=[
                ('record', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, primary_key=True, related_name='%(class)s', serialize=False, to='crewlog.record')),
                ('day', models.DateField()),
                ('source', models.CharField(choices=[('measured', 'Measured'), ('derived', 'Worked out from a reading'), ('not_measured', 'Not measured'), ('not_used', 'Not used')], max_length=12)),
                ('peak_n', models.FloatField(blank=True, null=True)),
                ('limit_n', models.FloatField(blank=True, null=True)),
                ('share_ratio', models.FloatField(blank=True, null=True)),
                ('uses', models.PositiveSmallIntegerField(default=1)),
                ('position', models.CharField(blank=True, default='', max_length=80)),
                ('reference', models.CharField(max_length=120)),
                ('basis', models.CharField(blank=True, default='', max_length=300)),
                ('gauge', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='readings_given', to='gear.gearitem')),
                ('item', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='loads', to='gear.gearitem')),
                ('work', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='crewlog.record')),
            ],
            options={
                'ordering': ['-day', '-record_id'],
                'indexes': [models.Index(fields=['item', '-day'], name='gear_load_by_item')],
                'constraints': [models.CheckConstraint(condition=models.Q(('source__in', ['measured', 'derived', 'not_measured', 'not_used'])), name='gear_load_known_source'), models.CheckConstraint(condition=models.Q(models.Q(('peak_n__gte', 0), ('peak_n__isnull', False), ('source__in', ['measured', 'derived'])), models.Q(('peak_n__isnull', True), ('share_ratio__isnull', True), ('source__in', ['not_measured', 'not_used'])), _connector='OR'), name='gear_load_peak_as_its_source', violation_error_message='A measured load has its figure; one that was not measured has none.'), models.CheckConstraint(condition=models.Q(models.Q(('source', 'measured'), _negated=True), ('gauge__isnull', False), _connector='OR'), name='gear_load_measured_with', violation_error_message='Say which load cell measured it.'), models.CheckConstraint(condition=models.Q(models.Q(('source', 'derived'), _negated=True), models.Q(('basis', ''), _negated=True), _connector='OR'), name='gear_load_derived_has_basis', violation_error_message='Say which reading it was worked out from.'), models.CheckConstraint(condition=models.Q(('share_ratio__isnull', True), models.Q(('limit_n__gt', 0), ('limit_n__isnull', False), ('share_ratio__gte', 0)), _connector='OR'), name='gear_load_share_of_a_limit', violation_error_message='A share is of a limit above zero.'), models.CheckConstraint(condition=models.Q(models.Q(('source', 'not_used'), ('uses', 0)), models.Q(models.Q(('source', 'not_used'), _negated=True), ('uses__gte', 1)), _connector='OR'), name='gear_load_use_counted', violation_error_message='A used item counts a use; one that was not used counts none.'), models.CheckConstraint(condition=models.Q(('reference', ''), _negated=True), name='gear_load_names_work', violation_error_message='Name the sheet or the work.')],
            },
        ),
    ]
