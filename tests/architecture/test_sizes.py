"""Sizes: ceilings that fail, and soft ones printed at the end of a run for the review."""

from tests.architecture.tree import functions, module_paths, modules, text_of

FILE_LINES, FILE_LINES_SOFT = 500, 400
FUNCTION_LINES, FUNCTION_LINES_SOFT = 80, 40
POSITIONAL = 4
# Called by keyword wherever they are called.
TAKE_MORE = {
    "crewlog/templatetags/ui.py:group": "a template tag: templates name every argument",
    "crewlog/templatetags/ui.py:verdict": "a template tag: templates name every argument",
    "jobs/mechanics/defaults.py:record": "rows of a table of defaults, one column an argument",
    "jobs/mechanics/window.py:window": "a topic: its request's fields are named",
    "jobs/mechanics/uncertainty.py:uncertainty": "a topic: its request's fields are named",
}


def lengths_of_functions(*packages):
    return {
        f"{name}:{function.name}": function.end_lineno - function.lineno + 1
        for name, _, tree in modules(*packages)
        for function in functions(tree)
    }


def lengths_of_files(*packages):
    return {name: len(text_of(path).splitlines()) for name, path in module_paths(*packages).items()}


def above(lengths, ceiling):
    return {name: length for name, length in lengths.items() if length > ceiling}


def test_no_file_is_longer_than_a_reader_bears():
    assert above(lengths_of_files("crewlog", "gear", "jobs", "tests"), FILE_LINES) == {}


def test_no_function_is_longer_than_a_screen():
    assert above(lengths_of_functions("crewlog", "gear", "jobs"), FUNCTION_LINES) == {}


def test_long_files_and_functions_are_few():
    files, functions_found = lengths_of_files(), lengths_of_functions()
    long_files, long_functions = above(files, FILE_LINES_SOFT), above(functions_found, FUNCTION_LINES_SOFT)
    print("above the soft ceilings:", long_files, long_functions)
    assert len(long_files) <= len(files) * 0.02
    assert len(long_functions) <= len(functions_found) * 0.02


def positional(function):
    named = [a.arg for a in function.args.posonlyargs + function.args.args]
    return len([name for name in named if name not in ("self", "cls")])


def test_at_most_four_arguments_go_by_their_place():
    found = {
        f"{name}:{function.name}"
        for name, _, tree in modules()
        for function in functions(tree)
        if positional(function) > POSITIONAL
    }
    assert found - set(TAKE_MORE) == set()
    assert set(TAKE_MORE) - found == set()
