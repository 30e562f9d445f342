"""The contracts that hold layers by name and the order of capabilities find what breaks them, and nothing else."""

import pytest
from grimp import ImportGraph

from tests.architecture.contracts import CapabilityOrder, LayersByName

LAYERS = ["models: *.models.*", "rules: shop.errors", "services: *.services", "views: *.views"]


def graph_of(*rows):
    graph = ImportGraph()
    for importer, imported in rows:
        graph.add_import(importer=importer, imported=imported, line_number=3, line_contents="")
    return graph


def contract(kind, **options):
    session = {"root_packages": ["shop"]}
    return kind("a contract", session, options)


@pytest.fixture
def layers():
    allowed = ["shop.a.tax -> shop.b.services"]
    return contract(LayersByName, apps=["shop"], layers=LAYERS, other="rules", allowed=allowed)


def test_import_of_a_higher_layer_is_found(layers):
    graph = graph_of(("shop.a.services", "shop.b.views"), ("shop.models.row", "shop.a.tax"))
    check = layers.check(graph, verbose=False)
    assert not check.kept
    assert check.metadata["wrong"] == [("shop.a.services", "shop.b.views", 3), ("shop.models.row", "shop.a.tax", 3)]


def test_imports_down_to_the_side_and_allowed_ones_are_kept(layers):
    down = ("shop.a.views", "shop.a.services"), ("shop.a.tax", "shop.models.row"), ("shop.a.tax", "shop.a.sums")
    assert layers.check(graph_of(*down, ("shop.a.tax", "shop.b.services")), verbose=False).kept


def test_capability_imports_only_those_below_it():
    order = contract(CapabilityOrder, app="shop", order=["till", "stock", "models"], exempt=["*.views"])
    up = ("shop.stock.rules", "shop.till.services")
    graph = graph_of(("shop.till.services", "shop.stock.rules"), up, ("shop.stock.views", "shop.till.views"))
    assert order.check(graph, verbose=False).metadata["wrong"] == [(*up, 3)]


def test_package_that_stands_in_no_row_is_found():
    order = contract(CapabilityOrder, app="shop", order=["till"], exempt=[])
    wrong = order.check(graph_of(("shop.till.rules", "shop.new.rules")), verbose=False).metadata["wrong"]
    assert ("shop.new", "stands in no row of the order", 0) in wrong
