from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('crewlog', '0009_mail'),
    ]

    operations = [
        migrations.CreateModel(
            name='SignInLimit',
            fields=[
                ('key', models.CharField(max_length=64, primary_key=True, serialize=False)),
                ('empty_at', models.DateTimeField(db_index=True)),
            ],
        ),
        migrations.AddField(
            model_name='company',
            name='second_step_inspectors',
            field=models.BooleanField(default=False, verbose_name='Inspectors need a second step to sign in'),
        ),
        migrations.AddField(
            model_name='company',
            name='second_step_owners',
            field=models.BooleanField(default=False, verbose_name='Owners need a second step to sign in'),
        ),
        migrations.AddField(
            model_name='company',
            name='shared_idle_min',
            field=models.PositiveSmallIntegerField(default=20, verbose_name='Minutes until a shared device signs out'),
        ),
        migrations.AddField(
            model_name='user',
            name='session_epoch',
            field=models.PositiveIntegerField(default=0),
        ),
        migrations.AddConstraint(
            model_name='company',
            constraint=models.CheckConstraint(condition=models.Q(('shared_idle_min__gte', 5), ('shared_idle_min__lte', 240)), name='crewlog_company_idle_minutes_sensible', violation_error_message='A shared device signs out after 5 to 240 minutes.'),
        ),
    ]
