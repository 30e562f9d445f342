"""The SQL that gives the application's role what it needs, table by table, from the models."""

import re
from collections.abc import Iterable

from django.db.backends.base.base import BaseDatabaseWrapper

from crewlog.evidence.guards import evidence_tables

SCHEMA = "public"
ROLE_NAME = re.compile(r"[A-Za-z_][A-Za-z0-9_-]{0,62}")
READ_ONLY = {"django_migrations", "django_content_type", "auth_permission", "crewlog_demo_mark"}  # written by migrate


def role_statements(connection: BaseDatabaseWrapper, *, app: str, owner: str) -> list[str]:
    """Statements the owner runs after every migrate; running them twice is harmless.

    They take everything away first, so that a right that somebody granted by hand does not outlive them.
    """
    quote = connection.ops.quote_name
    there = set(connection.introspection.table_names())
    evidence, fixed = there & set(evidence_tables()), there & READ_ONLY
    state = there - evidence - fixed
    name, schema, holder = quote(app), quote(SCHEMA), quote(owner)
    return [
        must_be_plain(app, owner),
        f"REVOKE CREATE, TEMPORARY ON DATABASE {quote(str(connection.settings_dict['NAME']))} FROM PUBLIC, {name}",
        f"GRANT CONNECT ON DATABASE {quote(str(connection.settings_dict['NAME']))} TO {name}",
        f"REVOKE ALL ON SCHEMA {schema} FROM PUBLIC, {name}",
        f"GRANT USAGE ON SCHEMA {schema} TO {name}",
        f"REVOKE ALL ON ALL TABLES IN SCHEMA {schema} FROM PUBLIC, {name}",
        f"REVOKE ALL ON ALL SEQUENCES IN SCHEMA {schema} FROM PUBLIC, {name}",
        *grants("SELECT, INSERT", map(quote, sorted(evidence)), name),
        *grants("SELECT", map(quote, sorted(fixed)), name),
        *grants("SELECT, INSERT, UPDATE, DELETE", map(quote, sorted(state)), name),
        # SELECT: a back-up reads the last number given out. No UPDATE: nobody sets one back.
        f"GRANT USAGE, SELECT ON ALL SEQUENCES IN SCHEMA {schema} TO {name}",
        # A table of a later version can be read and added to until these statements are run again.
        f"ALTER DEFAULT PRIVILEGES FOR ROLE {holder} IN SCHEMA {schema} GRANT SELECT, INSERT ON TABLES TO {name}",
        f"ALTER DEFAULT PRIVILEGES FOR ROLE {holder} IN SCHEMA {schema} GRANT USAGE, SELECT ON SEQUENCES TO {name}",
        must_have_no_more(app, evidence),
    ]


def grants(rights: str, tables: Iterable[str], to: str) -> list[str]:
    return [f"GRANT {rights} ON {table} TO {to}" for table in tables]


def must_be_plain(app: str, owner: str) -> str:
    """A block that stops where the application's role could go round every right: it is the owner, or above all."""
    above = "rolsuper OR rolcreaterole OR rolcreatedb OR rolreplication OR rolbypassrls"
    member = f"pg_has_role('{app}', '{owner}', 'MEMBER')"
    return block(
        f"NOT EXISTS (SELECT FROM pg_roles WHERE rolname = '{app}')",
        f"Make the role first: CREATE ROLE {app} LOGIN",
        f"EXISTS (SELECT FROM pg_roles WHERE rolname = '{app}' AND ({above} OR {member}))",
        f"{app} may be neither the owner nor above rights",
    )


def must_have_no_more(app: str, evidence: Iterable[str]) -> str:
    """A block that stops where rights are left that somebody else granted: only who granted them takes them away."""
    tables = ", ".join(f"'{table}'" for table in sorted(evidence))
    return block(
        f"has_schema_privilege('{app}', '{SCHEMA}', 'CREATE')",
        f"{app} can still create in the schema {SCHEMA}: its owner has to revoke it",
        f"EXISTS (SELECT FROM unnest(ARRAY[{tables}]) AS t WHERE "
        f"has_table_privilege('{app}', t, 'UPDATE, DELETE, TRUNCATE, TRIGGER, REFERENCES'))",
        f"{app} can still change evidence: another role granted it",
    )


def block(*checks: str) -> str:
    """Conditions, each with what is said when it holds. The names in them are those of `ROLE_NAME` and our tables."""
    pairs = zip(checks[::2], checks[1::2], strict=True)
    return f"DO $$ BEGIN {' '.join(f'IF {one} THEN RAISE EXCEPTION {text!r}; END IF;' for one, text in pairs)} END $$"
