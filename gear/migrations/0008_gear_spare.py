from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("gear", "0007_search")]
    operations = []
