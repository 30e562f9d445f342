"""The working of a result as page and annex print it, in SI throughout."""

from itertools import groupby

from jobs.mechanics.plan.result import PlanResult
from jobs.mechanics.sources import SOURCES, Source
from jobs.mechanics.working.line import WorkingLine as Worked
from jobs.mechanics.working.line import power_of_ten
from jobs.mechanics.working.whole import working_of
from jobs.paper.words import NBSP
from jobs.sheets.content import WorkingGroup, WorkingLine


def working_groups(result: PlanResult) -> tuple[WorkingGroup, ...]:
    """Each figure with formula, numbers, result, unit and source, by subject."""
    return tuple(
        WorkingGroup(title=title, lines=tuple(working_line(line) for line in lines))
        for title, lines in groupby(working_of(result), key=lambda line: line.group)
    )


def working_line(line: Worked) -> WorkingLine:
    basis = f"; {line.default_basis}" if line.default_basis else ""
    return WorkingLine(
        name=line.title,
        formula=line.formula,
        numbers=line.substituted,
        result=line.result_words or significant(line.result),
        unit="" if line.unit == "1" or line.result_words in ("yes", "no", "none") else line.unit.replace(" ", NBSP),
        source=f"{line.source}{basis}",
    )


def sources_used(result: PlanResult) -> tuple[Source, ...]:
    """The sources behind the working, in the order of the list."""
    used = {line.source for line in working_of(result)}
    return tuple(source for source in SOURCES.values() if source.id in used)


def significant(value: float) -> str:
    """Four significant digits with thousands marked; small values in powers of ten."""
    if value == 0:
        return "0"
    if abs(value) < 1e-3:
        return power_of_ten(value)
    if abs(value) >= 1000:
        return f"{value:,.0f}"
    return f"{value:.4g}"
