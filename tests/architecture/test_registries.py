"""What apps add to each other's lists goes through the one class made for it."""

import ast

from tests.architecture.tree import modules

# The mechanics know nothing of the rest: their table of defaults is filled by the modules beside it.
OWN = {"jobs/mechanics/defaults.py": "DEFAULTS"}


def begins_empty(value: ast.expr | None) -> bool:
    if isinstance(value, ast.List | ast.Set):
        return not value.elts
    if isinstance(value, ast.Dict):
        return not value.keys
    return isinstance(value, ast.Call) and ast.unparse(value.func) in ("list", "dict", "set", "defaultdict")


def test_no_module_keeps_an_empty_list_for_others_to_fill_beside_the_registries():
    found = {}
    for name, _, tree in modules():
        for node in tree.body:
            if isinstance(node, ast.Assign | ast.AnnAssign) and begins_empty(node.value):
                target = node.target if isinstance(node, ast.AnnAssign) else node.targets[0]
                if not (isinstance(node.value, ast.Call) and node.value.args):
                    found[name] = ast.unparse(target)
    assert found == OWN
