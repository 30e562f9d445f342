"""The SQLite file removed, and then replaced, under the running site: nothing is acknowledged that is not stored."""

import sys
import tempfile
from pathlib import Path

from tests.trials.small_site import SmallSite, prepare


def main():
    with tempfile.TemporaryDirectory(prefix="crewlog-gone-") as folder:
        path = Path(folder) / "site.sqlite3"
        prepare(database_url=f"sqlite:///{path}", var=Path(folder) / "var")
        wrong = run(path)
    print("\n".join(f"WRONG: {each}" for each in wrong) or "Nothing is wrong.")
    return 1 if wrong else 0


def run(path):
    from django.db import connection

    site = SmallSite()
    wrong = expect("while the file is there", site.record_event()[1], 302, "")
    moved = path.with_name("moved.sqlite3")
    path.rename(moved)
    wrong += expect("the file removed", site.record_event()[1], 503, "database file is missing")
    wrong += expect("reading, the file removed", site.client.get("/"), 503, "database file is missing")
    if path.exists():
        wrong.append("an empty file was made in its place")
    path.write_bytes(moved.read_bytes())
    wrong += expect("another file in its place", site.record_event()[1], 503, "removed or replaced")
    path.unlink()
    moved.rename(path)
    wrong += expect("the right file put back", site.record_event()[1], 302, "")
    wrong += removed_while_writing(site, path)
    connection.close()
    return wrong


def removed_while_writing(site, path):
    """The file goes between the look at it and the write."""
    from gear.models import GearEvent

    before = GearEvent.objects.count()

    def remove(execute, sql, params, many, context):
        if sql.startswith('INSERT INTO "gear_gearevent"') and path.exists():
            path.unlink()
        return execute(sql, params, many, context)

    from django.db import connection

    with connection.execute_wrapper(remove):
        wrong = expect("the file removed while writing", site.record_event()[1], 503, "database file is missing")
    print(f"  {before} events were acknowledged, as many are in the file that was removed or one more")
    return wrong


def expect(what, answer, status, words):
    print(f"  {what}: {answer.status_code}")
    if answer.status_code != status or words not in answer.content.decode():
        return [f"{what}: {answer.status_code}, {answer.content.decode()[:200]}"]
    return []


if __name__ == "__main__":
    sys.exit(main())
