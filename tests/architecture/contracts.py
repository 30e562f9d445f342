"""Contracts of the import linter for apps that are cut by capability: layers by the names of modules, and an order.

`pyproject.toml` says which names make which layer; `lint-imports` holds both.
"""

from collections.abc import Iterator
from fnmatch import fnmatchcase
from typing import Any

from grimp import ImportGraph
from importlinter import Contract, ContractCheck, fields, output

Import = tuple[str, str, int]


class Layers:
    """Layers from the lowest up, each "name: pattern pattern"; the first that fits counts, `other` takes the rest."""

    def __init__(self, rows: list[str], other: str) -> None:
        parted = [row.partition(":") for row in rows]
        self.names = [name.strip() for name, _, _ in parted]
        self.patterns = [(name.strip(), patterns.split()) for name, _, patterns in parted]
        self.other = other

    def of(self, module: str) -> str:
        for name, patterns in self.patterns:
            if any(fnmatchcase(module, pattern) for pattern in patterns):
                return name
        return self.other

    def height(self, module: str) -> int:
        return self.names.index(self.of(module))


def imports(graph: ImportGraph, apps: set[str]) -> Iterator[Import]:
    """Every import between two modules of one of the apps, with its line."""
    for importer in sorted(graph.modules):
        app = importer.partition(".")[0]
        if app not in apps:
            continue
        for imported in sorted(graph.find_modules_directly_imported_by(importer)):
            if imported.partition(".")[0] == app:
                details = graph.get_import_details(importer=importer, imported=imported)
                yield importer, imported, details[0]["line_number"] if details else 0


def package_of(module: str) -> list[str]:
    """The app and the package of it that a module stands in; the app alone for a module at its root."""
    parts = module.split(".")
    return parts[: 2 if len(parts) > 2 else 1]


class FoundContract(Contract):
    """A contract that lists the imports it does not allow, but for those that `allowed` names."""

    allowed: Any

    def found(self, graph: ImportGraph) -> Iterator[Import]:
        raise NotImplementedError

    def check(self, graph: ImportGraph, verbose: bool) -> ContractCheck:
        allowed = {tuple(part.strip() for part in row.split("->")) for row in self.allowed or ()}
        wrong = [row for row in self.found(graph) if row[:2] not in allowed]
        return ContractCheck(kept=not wrong, metadata={"wrong": wrong})

    def render_broken_contract(self, check: ContractCheck) -> None:
        for importer, imported, line in check.metadata["wrong"]:
            output.print_error(f"- {importer} -> {imported} (l.{line})" if line else f"- {importer}: {imported}")
            output.new_line()


class LayersByName(FoundContract):
    """No module imports one of a higher layer. `layers` from the lowest up; `other` is the layer of the rest."""

    type_name = "layers_by_name"
    apps: Any = fields.SetField(subfield=fields.StringField())
    layers: Any = fields.ListField(subfield=fields.StringField())
    other: Any = fields.StringField()
    allowed: Any = fields.SetField(subfield=fields.StringField(), required=False)

    def found(self, graph: ImportGraph) -> Iterator[Import]:
        layers = Layers(self.layers, self.other)
        for importer, imported, line in imports(graph, self.apps):
            if layers.height(imported) > layers.height(importer):
                yield importer, imported, line


class CapabilityOrder(FoundContract):
    """Packages of one app in an order, highest first: one imports only those below it, and each stands in the list.

    Modules that fit `exempt` are left out on both sides: facts and rows lie below every capability, and pages may show
    what any of them has.
    """

    type_name = "capability_order"
    app: Any = fields.StringField()
    order: Any = fields.ListField(subfield=fields.StringField())
    exempt: Any = fields.ListField(subfield=fields.StringField())
    allowed: Any = fields.SetField(subfield=fields.StringField(), required=False)

    def found(self, graph: ImportGraph) -> Iterator[Import]:
        place = {name: len(self.order) - n for n, row in enumerate(self.order) for name in row.split()}
        packages = {parts[1] for parts in map(package_of, graph.modules) if parts[0] == self.app and len(parts) > 1}
        for name in sorted(packages - place.keys() - {"migrations"}):
            yield f"{self.app}.{name}", "stands in no row of the order", 0
        for importer, imported, line in imports(graph, {self.app}):
            if self.is_exempt(importer) or self.is_exempt(imported):
                continue
            here, there = package_of(importer), package_of(imported)
            if here != there and len(here) == len(there) == 2 and place.get(here[1], 0) <= place.get(there[1], 0):
                yield importer, imported, line

    def is_exempt(self, module: str) -> bool:
        return any(fnmatchcase(module, pattern) for pattern in self.exempt)
