import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('crewlog', '0001_initial'),
        ('gear', '0002_files'),
    ]

    operations = [
        migrations.CreateModel(
            name='Round',
            fields=[
                ('record', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, primary_key=True, related_name='%(class)s', serialize=False, to='crewlog.record')),
                ('kind', models.CharField(choices=[('thorough', 'Thorough examination'), ('interim', 'Interim inspection')], max_length=12)),
                ('title', models.CharField(max_length=160)),
                ('started_at', models.DateTimeField()),
                ('statement', models.CharField(max_length=200)),
                ('items', models.PositiveSmallIntegerField()),
                ('inspector', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='crewlog.person')),
            ],
            options={
                'ordering': ['-record_id'],
                'constraints': [models.CheckConstraint(condition=models.Q(('kind__in', ['thorough', 'interim'])), name='gear_round_known_kind'), models.CheckConstraint(condition=models.Q(('items__gte', 1), models.Q(('title', ''), _negated=True), models.Q(('statement', ''), _negated=True)), name='gear_round_holds_items', violation_error_message='A signed round names what it is about and holds one item at least.')],
            },
        ),
        migrations.CreateModel(
            name='RoundDraft',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('kind', models.CharField(choices=[('thorough', 'Thorough examination'), ('interim', 'Interim inspection')], max_length=12)),
                ('title', models.CharField(max_length=160)),
                ('started_at', models.DateTimeField()),
                ('closed_at', models.DateTimeField(blank=True, null=True)),
                ('company', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='round_drafts', to='crewlog.company')),
                ('inspector', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='round_drafts', to='crewlog.person')),
            ],
            options={
                'ordering': ['-started_at', '-id'],
                'indexes': [models.Index(condition=models.Q(('closed_at__isnull', True)), fields=['company', 'inspector'], name='gear_draft_open')],
                'constraints': [models.CheckConstraint(condition=models.Q(('kind__in', ['thorough', 'interim'])), name='gear_rounddraft_known_kind')],
            },
        ),
        migrations.CreateModel(
            name='RoundDraftItem',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('position', models.PositiveSmallIntegerField()),
                ('seconds', models.JSONField(blank=True, default=dict)),
                ('draft', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='rows', to='gear.rounddraft')),
                ('failed_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='gear.inspection')),
                ('item', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='gear.gearitem')),
                ('signed_in', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='gear.round')),
            ],
            options={
                'ordering': ['draft', 'position'],
                'constraints': [models.UniqueConstraint(fields=('draft', 'position'), name='gear_draftitem_one_a_place'), models.UniqueConstraint(fields=('draft', 'item'), name='gear_draftitem_once')],
            },
        ),
        migrations.CreateModel(
            name='RoundDraftAnswer',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=60)),
                ('value', models.TextField(blank=True, default='')),
                ('answered_at', models.DateTimeField()),
                ('device', models.CharField(blank=True, default='', max_length=40)),
                ('device_time', models.DateTimeField()),
                ('device_offset_min', models.SmallIntegerField(blank=True, null=True)),
                ('other_value', models.TextField(blank=True, default='')),
                ('other_device_time', models.DateTimeField(blank=True, null=True)),
                ('row', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='answers', to='gear.rounddraftitem')),
            ],
            options={
                'ordering': ['row', 'name'],
                'constraints': [models.UniqueConstraint(fields=('row', 'name'), name='gear_draftanswer_once')],
            },
        ),
        migrations.CreateModel(
            name='RoundLine',
            fields=[
                ('record', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, primary_key=True, related_name='%(class)s', serialize=False, to='crewlog.record')),
                ('outcome', models.CharField(choices=[('fit', 'Fit'), ('remark', 'Fit, with a remark'), ('out_of_use', 'Out of use'), ('retire', 'Retire'), ('not_examined', 'Not examined: clean and dry first'), ('not_presented', 'Not presented')], max_length=16)),
                ('seconds', models.PositiveIntegerField(blank=True, null=True)),
                ('inspection', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='round_lines', to='gear.inspection')),
                ('item', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='round_lines', to='gear.gearitem')),
                ('round', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='lines', to='gear.round')),
            ],
            options={
                'ordering': ['record_id'],
                'constraints': [models.CheckConstraint(condition=models.Q(('outcome__in', ['fit', 'remark', 'out_of_use', 'retire', 'not_examined', 'not_presented'])), name='gear_roundline_known_outcome'), models.CheckConstraint(condition=models.Q(models.Q(('inspection__isnull', True), ('outcome', 'not_presented')), models.Q(models.Q(('outcome', 'not_presented'), _negated=True), ('inspection__isnull', False)), _connector='OR'), name='gear_roundline_names_its_inspection', violation_error_message='An item that was presented has an inspection; one that was not has none.'), models.UniqueConstraint(fields=('round', 'item'), name='gear_roundline_item_once'), models.UniqueConstraint(condition=models.Q(('inspection__isnull', False)), fields=('inspection',), name='gear_roundline_inspection_once')],
            },
        ),
    ]
