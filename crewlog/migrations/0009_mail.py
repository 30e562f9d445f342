import django.db.models.deletion
import django.utils.timezone
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [("crewlog", "0007_sent_forms")]

    operations = [
        migrations.CreateModel(
            name='MailStop',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('kind', models.CharField(max_length=32)),
            ],
        ),
        migrations.CreateModel(
            name='QueuedMail',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('kind', models.CharField(max_length=32)),
                ('key', models.CharField(max_length=96, unique=True)),
                ('to', models.EmailField(max_length=254)),
                ('subject', models.CharField(max_length=200)),
                ('body', models.TextField()),
                ('made_at', models.DateTimeField(default=django.utils.timezone.now)),
                ('attempts', models.PositiveSmallIntegerField(default=0)),
                ('next_try', models.DateTimeField(db_index=True, default=django.utils.timezone.now, null=True)),
                ('sent_at', models.DateTimeField(null=True)),
                ('last_error', models.CharField(blank=True, default='', max_length=300)),
            ],
        ),
        migrations.AddField(
            model_name='mailstop',
            name='membership',
            field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='mail_stops', to='crewlog.membership'),
        ),
        migrations.AddField(
            model_name='queuedmail',
            name='user',
            field=models.ForeignKey(null=True, on_delete=django.db.models.deletion.CASCADE, related_name='queued_mails', to=settings.AUTH_USER_MODEL),
        ),
        migrations.AddConstraint(
            model_name='mailstop',
            constraint=models.UniqueConstraint(fields=('membership', 'kind'), name='crewlog_mailstop_once'),
        ),
        migrations.AddConstraint(
            model_name='queuedmail',
            constraint=models.CheckConstraint(condition=models.Q(('next_try__isnull', False), ('body', ''), _connector='OR'), name='crewlog_queuedmail_done_keeps_no_text', violation_error_message='A mail that is done keeps no text.'),
        ),
        migrations.AddConstraint(
            model_name='queuedmail',
            constraint=models.CheckConstraint(condition=models.Q(('sent_at__isnull', True), ('next_try__isnull', True), _connector='OR'), name='crewlog_queuedmail_sent_waits_no_more', violation_error_message='A mail that went out is not tried again.'),
        ),
    ]
