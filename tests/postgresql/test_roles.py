"""The two roles of the recipe, tried: what the application does works, what would change evidence does not."""

import datetime as dt
import io
import subprocess

import psycopg
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import call_command
from django.test import Client
from django.utils import timezone

from crewlog.backup.databases import config_of, opened, standing_in
from crewlog.evidence import verify
from crewlog.evidence.guards import evidence_tables, missing_triggers
from crewlog.models import Role
from gear.examinations.services import EmployerNotice, Verdict, record_inspection
from gear.files.services import store_photograph
from gear.models import GearItem, Inspection
from gear.register.services import add_item
from jobs.field.services import record_reading
from jobs.models import Reading, SheetWithdrawal
from jobs.sheets.emergency import EVERYTHING
from jobs.sheets.services import issue_sheet
from tests.demo_made import manage
from tests.factories.crewlog import PASSWORD, CompanyFactory, MembershipFactory
from tests.factories.gear import examiner, good_examination
from tests.factories.jobs import passing_sheet
from tests.files import jpeg
from tests.needs import program
from tests.postgresql.server import make_database

pytestmark = pytest.mark.postgres
APP = "crew-app"


@pytest.fixture(scope="module")
def owners(own_server):
    """Address of a database that a plain owner made and migrated, and whose rights are laid."""
    url = make_database(own_server, "roles", owner="crew_owner")
    with psycopg.connect(f"{own_server}roles", autocommit=True) as server:
        server.execute(f'CREATE ROLE "{APP}" LOGIN')
    for command in (("migrate", "-v", "0"), ("createcachetable",)):
        done = manage(*command, DATABASE_URL=url)
        assert done.returncode == 0, done.stderr
    lay_roles(url)
    return url


def lay_roles(url, app=APP):
    printed = manage("postgresql_roles", "--app", app, DATABASE_URL=url)
    assert printed.returncode == 0, printed.stderr
    done = psql(url, printed.stdout)
    assert done.returncode == 0, done.stderr


def psql(url, text):
    words = [program("psql"), "-q", "-X", url.replace("postgres://", "postgresql://")]
    return subprocess.run(words, input=text, capture_output=True, text=True, check=False)


@pytest.fixture(scope="module")
def apps(owners):
    """Address of the same database for the application's role."""
    return owners.replace("//crew_owner@", f"//{APP}@")


@pytest.fixture
def as_app(apps, django_db_blocker):
    """The application's role stands in for the default database."""
    with django_db_blocker.unblock(), opened(config_of(apps), "as_app") as connection, standing_in(connection):
        yield connection


@pytest.fixture
def as_owner(owners, django_db_blocker):
    with django_db_blocker.unblock(), opened(config_of(owners), "as_owner") as connection, standing_in(connection):
        yield connection


def test_owner_migrates_and_every_guard_stands(as_owner):
    call_command("migrate", verbosity=0)
    assert missing_triggers(as_owner) == []
    with as_owner.cursor() as cursor:
        cursor.execute("SELECT DISTINCT tableowner FROM pg_tables WHERE schemaname = 'public'")
        assert cursor.fetchall() == [("crew_owner",)]


def test_application_starts_without_a_right_to_create(apps):
    for command in (("check", "--database", "default"), ("migrate", "--check")):
        done = manage(*command, DATABASE_URL=apps)
        assert done.returncode == 0, done.stderr


def test_main_writes_work_as_the_application(as_app):
    company = CompanyFactory(name="Withy Cut Crew")
    owner, lead, inspector = (
        MembershipFactory(company=company, role=role, person__company=company)
        for role in (Role.OWNER, Role.CREW_LEAD, Role.INSPECTOR)
    )
    examiner(inspector)
    item = add_item(
        actor=owner, tag="B-77", gear_class="block", description="Block", working_load_limit_n=12_000.0,
        pulls_at_ground=True,
    )  # fmt: skip
    record_inspection(actor=inspector, item=item, examination=good_examination(item), verdict=Verdict("fit"))
    store_photograph(actor=lead, item=item, upload=SimpleUploadedFile("a.jpg", jpeg(), "image/jpeg"))
    sheet = passing_sheet(company, lead=lead.person)
    issue_sheet(actor=lead, sheet=sheet, looked_at=EVERYTHING)
    record_reading(
        actor=lead, sheet=sheet, kind="line", moment="full_pull", force_n=2000.0,
        gauge=GearItem.objects.get(company=company, tag="L-01"), read_at=timezone.now() - dt.timedelta(seconds=5),
    )  # fmt: skip
    block = GearItem.objects.get(company=company, tag="B-06")
    told = EmployerNotice(at=timezone.now(), how="in writing")
    record_inspection(
        actor=inspector, item=block, examination=good_examination(block, findings="cracked"),
        verdict=Verdict("out_of_use", told=told),
    )  # fmt: skip
    assert SheetWithdrawal.objects.filter(sheet__stem__job__company=company).count() == 1
    assert Reading.objects.filter(sheet=sheet).count() == 1
    assert Inspection.objects.filter(item=item).count() == 1
    sign_in(owner)
    assert verify(company, files=True).holds


def sign_in(member):
    client = Client()
    answer = client.post("/accounts/login/", {"login": member.user.email, "password": PASSWORD})
    assert answer.status_code == 302
    assert client.get("/").status_code == 200
    client.post("/accounts/logout/")


def test_commands_of_cron_work_as_the_application(apps, as_app, tmp_path):
    CompanyFactory()
    for command in ("verify_records", "sweep_files", "send_digest", "clearsessions"):
        call_command(command, stdout=io.StringIO())
    done = manage("backup", tmp_path / "backups", "--allow-missing", DATABASE_URL=apps, CREWLOG_VAR=tmp_path / "var")
    assert done.returncode == 0, done.stderr


def test_cache_is_written_as_the_application(apps):
    with psycopg.connect(apps) as connection:
        connection.execute("INSERT INTO crewlog_cache VALUES ('k', 'v', now())")
        connection.execute("UPDATE crewlog_cache SET value = 'w'")
        connection.execute("DELETE FROM crewlog_cache")


FORBIDDEN = [
    "UPDATE {t} SET {c} = {c}",
    "DELETE FROM {t}",
    "TRUNCATE {t} CASCADE",
    "SELECT 1 FROM {t} FOR UPDATE",
    "INSERT INTO {t} SELECT * FROM {t} ON CONFLICT ({c}) DO UPDATE SET {c} = {t}.{c}",
    "ALTER TABLE {t} DISABLE TRIGGER ALL",
    "ALTER TABLE {t} DISABLE TRIGGER USER",
    "ALTER TABLE {t} ENABLE REPLICA TRIGGER {t}_no_update",
    "DROP TRIGGER {t}_no_update ON {t}",
    "CREATE OR REPLACE TRIGGER {t}_no_update BEFORE UPDATE ON {t} FOR EACH ROW EXECUTE FUNCTION "
    "suppress_redundant_updates_trigger()",
    "CREATE RULE away AS ON INSERT TO {t} DO INSTEAD NOTHING",
    "ALTER TABLE {t} ADD COLUMN more int",
    "ALTER TABLE {t} RENAME TO other",
    "ALTER TABLE {t} OWNER TO \"crew-app\"",
    "LOCK TABLE {t} IN ACCESS EXCLUSIVE MODE",
    "DROP TABLE {t} CASCADE",
]  # fmt: skip
ELSEWHERE = [
    "CREATE OR REPLACE FUNCTION crewlog_append_only() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN RETURN NEW; END $$",
    "ALTER FUNCTION crewlog_append_only() RENAME TO other",
    "DROP FUNCTION crewlog_append_only() CASCADE",
    "SET session_replication_role = replica",
    "SET ROLE crew_owner",
    "ALTER ROLE \"crew-app\" SUPERUSER",
    "CREATE TABLE mine (x int)",
    "CREATE TEMPORARY TABLE crewlog_record (x int)",
    "CREATE SCHEMA mine",
    "CREATE VIEW mine AS SELECT 1",
    "COPY crewlog_record FROM PROGRAM 'true'",
    "SELECT setval('crewlog_record_id_seq', 1)",
    "DELETE FROM django_migrations",
    "INSERT INTO django_migrations (app, name, applied) VALUES ('gear', 'x', now())",
]  # fmt: skip


def is_refused(url, *statements):
    """Whether PostgreSQL says of each that the right is lacking; a trigger that stops it does not count."""
    with psycopg.connect(url) as connection:
        return all(refused_on(connection, statement) for statement in statements)


def refused_on(connection, statement):
    try:
        connection.execute(statement)
    except psycopg.errors.InsufficientPrivilege:
        return True
    except psycopg.Error as error:
        raise AssertionError(f"{statement}: {error}") from error
    finally:
        connection.rollback()
    return False


def test_no_statement_that_changes_evidence_or_its_guards_is_permitted(apps, as_owner):
    key = {}
    with as_owner.cursor() as cursor:
        for table in evidence_tables():
            key[table] = as_owner.introspection.get_primary_key_column(cursor, table)
    assert len(key) > 15
    tried = [form.format(t=table, c=column) for table, column in key.items() for form in FORBIDDEN]
    with psycopg.connect(apps) as connection:
        assert [statement for statement in (*tried, *ELSEWHERE) if not refused_on(connection, statement)] == []


def test_application_gives_itself_no_right(apps):
    with psycopg.connect(apps) as connection:
        connection.execute(f'GRANT UPDATE ON crewlog_record TO "{APP}"')  # PostgreSQL warns, and grants nothing
    assert is_refused(apps, "UPDATE crewlog_record SET body = body")


def test_owner_could_and_so_the_statements_are_real(owners):
    """The same statements as the owner: refused by no right, so the list above tries what it says."""
    for form in ("ALTER TABLE {t} DISABLE TRIGGER USER", "DROP TRIGGER {t}_no_update ON {t}"):
        assert not is_refused(owners, form.format(t="crewlog_record"))


def test_table_of_a_later_version_can_be_added_to_and_no_more(owners, apps):
    with psycopg.connect(owners) as owner:
        owner.execute("CREATE TABLE later_evidence (id bigint GENERATED BY DEFAULT AS IDENTITY, said text)")
    try:
        with psycopg.connect(apps) as app:
            app.execute("INSERT INTO later_evidence (said) VALUES ('once')")
            assert app.execute("SELECT said FROM later_evidence").fetchall() == [("once",)]
        assert is_refused(apps, "UPDATE later_evidence SET said = 'twice'")
        assert is_refused(apps, "DELETE FROM later_evidence")
    finally:
        with psycopg.connect(owners) as owner:
            owner.execute("DROP TABLE later_evidence")


def test_right_that_was_granted_by_hand_is_taken_back(owners, apps):
    with psycopg.connect(owners) as owner:
        owner.execute(f'GRANT UPDATE, DELETE ON crewlog_record TO "{APP}"')
        owner.execute("GRANT TRUNCATE ON gear_inspection TO PUBLIC")
    assert not is_refused(apps, "SELECT 1 FROM crewlog_record FOR UPDATE")
    lay_roles(owners)
    assert is_refused(apps, "SELECT 1 FROM crewlog_record FOR UPDATE")
    assert is_refused(apps, "TRUNCATE gear_inspection CASCADE")


def test_member_of_the_owner_is_no_role_for_the_application(own_server, owners):
    with psycopg.connect(f"{own_server}roles", autocommit=True) as server:
        server.execute("CREATE ROLE near_owner LOGIN IN ROLE crew_owner")
    printed = manage("postgresql_roles", "--app", "near_owner", DATABASE_URL=owners)
    done = psql(owners, printed.stdout)
    assert done.returncode == 3
    assert "may be neither the owner" in done.stderr


@pytest.mark.parametrize(
    ("role", "says"), [("crew_owner", "is the owner"), ("a'; DROP TABLE x", "letters, digits"), ("", "letters, digits")]
)
def test_role_that_cannot_be_is_said_in_one_line(owners, role, says):
    done = manage("postgresql_roles", "--app", role, DATABASE_URL=owners)
    assert (done.returncode, done.stderr.count("\n")) == (1, 1)
    assert says in done.stderr


def test_role_that_does_not_exist_stops_the_statements(owners):
    printed = manage("postgresql_roles", "--app", "nobody_yet", DATABASE_URL=owners)
    done = psql(owners, printed.stdout)
    assert done.returncode == 3
    assert "Make the role first" in done.stderr


def test_sqlite_has_no_roles(tmp_path):
    done = manage("postgresql_roles", "--app", APP, CREWLOG_VAR=tmp_path)
    assert (done.returncode, done.stderr.count("\n")) == (1, 1)
