"""Every service that writes refuses, whoever calls it, an actor whose role, access or company does not allow it."""

import ast
import copy
import datetime as dt

import pytest
from django.db import transaction

from crewlog.errors import RuleBroken
from crewlog.models import Role
from tests.architecture.tree import functions, modules
from tests.factories.crewlog import CompanyFactory
from tests.services import crewlog_table, gear_table, jobs_table
from tests.services.world import make_world, staff

TABLE = (*crewlog_table.SERVICES, *gear_table.SERVICES, *jobs_table.SERVICES)
REFUSALS = ("role-not-allowed", "other-company")
APPENDS = {"append", "append_all", "append_row", "append_rows"}
OF_NOBODY = {  # what writes a record without either, and why
    "start_company": "makes the first member",
    "note_restore": "whoever runs the command restores for nobody who signs in",
    "enter_person": "the demo's first people",
    "add_competences": "the demo's first people",
}


@pytest.fixture
def world(company):
    return make_world(company)


@pytest.fixture
def strangers(db):
    return staff(CompanyFactory(name="Another Firm"))


def answer_of(service, actor, world):
    """The code a service answers with; the name of any other error, for a row here is made for refusals alone."""
    try:
        with transaction.atomic():
            service.do(actor=actor, **service.given(world))
            raise Done
    except RuleBroken as fault:
        return fault.code
    except Exception as other:
        return type(other).__name__


class Done(Exception):  # noqa: N818 - it went through; leaving by this undoes it
    pass


def lapsed(member):
    gone = copy.copy(member)
    gone.ends_on = gone.company.today() - dt.timedelta(days=1)
    return gone


def test_a_role_that_may_not_is_refused_by_every_service(world):
    wrong = [
        (service.name, role.value, answer)
        for service in TABLE
        for role in Role
        if role not in service.may and (answer := answer_of(service, world.members[role], world)) != "role-not-allowed"
    ]
    assert wrong == []


def test_a_member_whose_access_has_lapsed_is_refused_by_every_service(world):
    wrong = [
        (service.name, answer)
        for service in TABLE
        if (answer := answer_of(service, lapsed(world.members[service.may[0]]), world)) != "role-not-allowed"
    ]
    assert wrong == []


def test_a_stranger_is_refused_by_every_service_that_takes_a_row(world, strangers):
    wrong = [
        (service.name, answer)
        for service in TABLE
        if not service.own and (answer := answer_of(service, strangers[service.may[0]], world)) != "other-company"
    ]
    assert wrong == []


def test_a_role_that_may_is_not_refused_for_who_it_is(world):
    wrong = [
        (service.name, role.value, answer)
        for service in TABLE
        for role in service.may
        if (answer := answer_of(service, world.members[role], world)) in REFUSALS
    ]
    assert wrong == []


# the table is whole


def top_functions():
    for name, _, tree in modules():
        for node in tree.body:
            if isinstance(node, ast.FunctionDef):
                yield name.removesuffix(".py").replace("/", "."), node


def is_service(node):
    """A service takes the actor first and by keyword; an inner function of one takes it by place."""
    arguments = node.args
    return not arguments.args and bool(arguments.kwonlyargs) and arguments.kwonlyargs[0].arg == "actor"


def arguments_of(node):
    return [*node.args.args, *node.args.kwonlyargs]


def test_every_service_stands_in_the_table_once():
    services = [f"{module}.{node.name}" for module, node in top_functions() if is_service(node)]
    assert sorted(services) == sorted(service.name for service in TABLE)


def test_an_actor_is_a_membership():
    others = {
        f"{name}:{node.name}"
        for name, _, tree in modules()
        for node in functions(tree)
        for argument in arguments_of(node)
        if argument.arg == "actor" and ast.unparse(argument.annotation) != "Membership"
    }
    assert others == set()


def appends(node):
    called = {call.func.id for call in ast.walk(node) if isinstance(call, ast.Call) and isinstance(call.func, ast.Name)}
    return bool(called & APPENDS)


def test_what_writes_a_record_takes_an_actor_or_the_entry_of_one():
    nameless = {
        node.name
        for _, node in top_functions()
        if appends(node) and not {"actor", "entry"} & {argument.arg for argument in arguments_of(node)}
    }
    assert nameless == set(OF_NOBODY)
