"""System checks of the classes of gear, which the database knows no list of."""

from collections.abc import Iterable
from typing import Any

from django.core.checks import CheckMessage, Error, Tags, register
from django.db import connections

from gear.catalogue.classes import ACCESSORIES, BY_CODE, CLASSES
from gear.models import ClassLimit, GearItem

LONGEST_CODE = 20  # what every column that keeps a class's code holds


@register()
def check_codes(app_configs: Any, **_: Any) -> list[CheckMessage]:
    """A class's code is its own and fits the columns that keep it."""
    codes = [ACCESSORIES, *(declared.code for declared in CLASSES)]
    wrong = {code for code in codes if codes.count(code) > 1 or not 0 < len(code) <= LONGEST_CODE}
    hint = f"A code is used once, has at most {LONGEST_CODE} characters and is not {ACCESSORIES!r}."
    return [Error(f"{code!r} cannot be the code of a class of gear.", hint=hint, id="gear.E001") for code in wrong]


@register(Tags.database)
def check_stored_classes(app_configs: Any, databases: Iterable[str] | None = None, **_: Any) -> list[CheckMessage]:
    """Every class in the store is declared. Two queries a database, and none before its tables are there."""
    wrong = {code for alias in databases or () for code in undeclared(alias)}
    hint = "Declare it in gear/catalogue/classes.py again: a class that items were registered in stays."
    return [Error(f"The store has {code!r}, which is no class.", hint=hint, id="gear.E002") for code in sorted(wrong)]


def undeclared(alias: str) -> Iterable[str]:
    there = connections[alias].introspection.table_names()
    for model in (GearItem, ClassLimit):
        if model._meta.db_table in there:
            rows = model._default_manager.using(alias).order_by().exclude(gear_class__in=BY_CODE)
            yield from rows.values_list("gear_class", flat=True).distinct()
