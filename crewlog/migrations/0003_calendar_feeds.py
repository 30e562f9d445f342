import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('crewlog', '0002_company_address'),
    ]

    operations = [
        migrations.CreateModel(
            name='CalendarFeed',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('token_sha256', models.CharField(max_length=64, unique=True)),
                ('made_at', models.DateTimeField(auto_now_add=True)),
                ('membership', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='calendar', to='crewlog.membership')),
            ],
        ),
        migrations.CreateModel(
            name='DigestWish',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('membership', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='digest_wish', to='crewlog.membership')),
            ],
            options={
                'verbose_name_plural': 'digest wishes',
            },
        ),
        migrations.CreateModel(
            name='DigestSent',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('day', models.DateField()),
                ('membership', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='digests_sent', to='crewlog.membership')),
            ],
            options={
                'verbose_name_plural': 'digests sent',
                'constraints': [models.UniqueConstraint(fields=('membership', 'day'), name='crewlog_digest_once_a_day')],
            },
        ),
    ]
