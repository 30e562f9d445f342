"""The project's own files, for the tests that read them: found, read and parsed once in a run."""

import ast
from collections.abc import Iterator
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PACKAGES = ("crewlog", "gear", "jobs")
SUFFIXES = {
    ".py",
    ".md",
    ".toml",
    ".html",
    ".css",
    ".js",
    ".mjs",
    ".json",
    ".svg",
    ".txt",
    ".lock",
    ".cfg",
    ".yaml",
    "",
}
GATHERED = {".git", ".venv", "var", "__pycache__", ".hypothesis", "node_modules", "mutants"}


@cache
def text_files(*folders: str) -> tuple[Path, ...]:
    """Text files under the folders, or of the whole project; not what a machine has gathered."""
    return tuple(path for folder in folders or (".",) for path in files_under(ROOT / folder))


def files_under(folder: Path) -> Iterator[Path]:
    for path in sorted(folder.iterdir()):
        if is_gathered(path.name):
            continue
        if path.is_dir():
            yield from files_under(path)
        elif path.is_file() and path.suffix in SUFFIXES:
            yield path


def is_gathered(name: str) -> bool:
    return name in GATHERED or name.endswith(("_cache", ".egg-info"))


@cache
def text_of(path: Path) -> str:
    return path.read_text(encoding="utf-8")


@cache
def tree_of(path: Path) -> ast.Module:
    return ast.parse(text_of(path))


@cache
def nodes(tree: ast.AST) -> tuple[ast.AST, ...]:
    """Every node of a module, as `ast.walk` gives them."""
    return tuple(ast.walk(tree))


def module_paths(*packages: str) -> dict[str, Path]:
    """Path of each module by its name relative to the project; migrations are Django's."""
    return {
        path.relative_to(ROOT).as_posix(): path
        for path in text_files(*(packages or PACKAGES))
        if path.suffix == ".py" and "migrations" not in path.parts
    }


@cache
def modules(*packages: str) -> tuple[tuple[str, Path, ast.Module], ...]:
    """Name relative to the project, path and syntax tree of each module; migrations are Django's."""
    return tuple((name, path, tree_of(path)) for name, path in module_paths(*packages).items())


def functions(tree: ast.Module) -> Iterator[ast.FunctionDef | ast.AsyncFunctionDef]:
    for node in nodes(tree):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            yield node
