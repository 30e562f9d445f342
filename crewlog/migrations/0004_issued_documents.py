"""What was handed out is an issued document, not a paper. Its rows, columns and kinds of record stay as they are.

Guards carry the name of their table: those of the old names go first, post_migrate lays them under the new ones. The
table of what records are about names rows by the label of their model, and follows.
"""

from typing import Any

from django.db import migrations

OLD, NEW = "crewlog.paper", "crewlog.issueddocument"
GUARDED = {"crewlog_paper": "crewlog_issueddocument", "crewlog_paperpurge": "crewlog_issueddocumentpurge"}
VERBS = ("update", "delete", "replace", "truncate")


def drop_guards(editor: Any, table: str, named: str) -> None:
    on = f" ON {table}" if editor.connection.vendor == "postgresql" else ""
    for verb in VERBS:
        editor.execute(f"DROP TRIGGER IF EXISTS {named}_no_{verb}{on}")


def drop_old_guards(apps: Any, editor: Any) -> None:
    for old in GUARDED:
        drop_guards(editor, old, old)


def drop_new_guards(apps: Any, editor: Any) -> None:
    for old, new in GUARDED.items():
        drop_guards(editor, old, new)


def name_anew(apps: Any, editor: Any) -> None:
    subjects = apps.get_model("crewlog", "RecordSubject").objects.using(editor.connection.alias)
    subjects.filter(kind=OLD).update(kind=NEW)


def name_as_before(apps: Any, editor: Any) -> None:
    subjects = apps.get_model("crewlog", "RecordSubject").objects.using(editor.connection.alias)
    subjects.filter(kind=NEW).update(kind=OLD)


class Migration(migrations.Migration):
    dependencies = [("crewlog", "0003_plain_words")]

    operations = [
        migrations.RunPython(drop_old_guards, drop_new_guards),
        migrations.RenameModel("Paper", "IssuedDocument"),
        migrations.RenameModel("PaperBytes", "IssuedDocumentBytes"),
        migrations.RenameModel("PaperPurge", "IssuedDocumentPurge"),
        migrations.RunPython(name_anew, name_as_before),
    ]
