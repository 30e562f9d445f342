"""Templates: what a reader of them, and of their changes, can follow."""

from tests.architecture.tree import ROOT, text_files


def test_no_line_of_a_template_is_longer_than_120_characters() -> None:
    paths = list(text_files("templates"))
    assert len(paths) > 200
    long = [
        f"{path.relative_to(ROOT)}:{number} has {len(line)}"
        for path in paths
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1)
        if len(line) > 120
    ]
    assert long == []
