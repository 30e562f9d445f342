"""The working of a result in SI, and the values it rests on: the same rows for pages and papers."""

from itertools import groupby

from crewlog.dates import NBSP
from jobs.mechanics.defaults import Default
from jobs.mechanics.plan.result import PlanResult
from jobs.mechanics.sources import SOURCES, Source
from jobs.mechanics.working.line import WorkingLine as Worked
from jobs.mechanics.working.whole import working_of
from jobs.plans.presentation import Assumption, WorkingGroup, WorkingLine
from jobs.plans.si_text import significant
from jobs.wording.felling import felling


def working_groups(result: PlanResult) -> tuple[WorkingGroup, ...]:
    """Each figure with formula, numbers, result, unit and source, by subject."""
    return tuple(
        WorkingGroup(title=felling(title), lines=tuple(working_line(line) for line in lines))
        for title, lines in groupby(working_of(result), key=lambda line: line.group)
    )


def working_line(line: Worked) -> WorkingLine:
    basis = f"; {line.default_basis}" if line.default_basis else ""
    return WorkingLine(
        name=felling(line.title),
        formula=felling(line.formula),
        numbers=felling(line.substituted),
        result=felling(line.result_words) or significant(line.result),
        unit="" if line.unit == "1" or line.result_words in ("yes", "no", "none") else line.unit.replace(" ", NBSP),
        source=felling(f"{line.source}{basis}"),
    )


def sources_used(result: PlanResult) -> tuple[Source, ...]:
    """The sources behind the working, in the order of the list."""
    used = {line.source for line in working_of(result)}
    return tuple(source for source in SOURCES.values() if source.id in used)


def assumption(default: Default) -> Assumption:
    """A default or limit as the row that pages and papers list."""
    return Assumption(
        id=default.name,
        name=felling(default.name.replace("_", " ")),
        value=default.value,
        unit=default.unit,
        basis=default.basis,
        note=felling(default.note),
        source=default.source,
    )
