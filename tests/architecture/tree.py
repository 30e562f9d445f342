"""The project's own files, for the tests that read them."""

import ast
from collections.abc import Iterator
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


def text_files(*folders: str) -> Iterator[Path]:
    """Text files under the folders, or of the whole project; not what a machine has gathered."""
    for folder in folders or (".",):
        for path in sorted((ROOT / folder).rglob("*")):
            parts = path.relative_to(ROOT).parts
            if any(part in GATHERED or part.endswith("_cache") or part.endswith(".egg-info") for part in parts):
                continue
            if path.is_file() and path.suffix in SUFFIXES:
                yield path


def modules(*packages: str) -> Iterator[tuple[str, Path, ast.Module]]:
    """Name relative to the project, path and syntax tree of each module; migrations are Django's."""
    for path in text_files(*(packages or PACKAGES)):
        if path.suffix == ".py" and "migrations" not in path.parts:
            yield path.relative_to(ROOT).as_posix(), path, ast.parse(path.read_text(encoding="utf-8"))


def functions(tree: ast.Module) -> Iterator[ast.FunctionDef | ast.AsyncFunctionDef]:
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            yield node
