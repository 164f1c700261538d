"""Every string that can reach a person: no bare safe, no promises, no exclamation marks, no places of this workshop."""

import ast
import re
import tomllib
from pathlib import Path

import pytest

import ingle

ROOT = Path(ingle.__file__).parent
FORBIDDEN = re.compile(
    r"\b(safe|safely|guaranteed|guarantee|perfect|perfectly|should be fine|oops|please|thanks|thank you)\b",
    re.IGNORECASE,
)


def strings_of_code(path):
    tree = ast.parse(path.read_text(encoding="utf-8"))
    docs = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef) and ast.get_docstring(node):
            docs.add(id(node.body[0].value))
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in docs:
            yield node.value


def strings_of_data(value):
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for inner in value.values():
            yield from strings_of_data(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from strings_of_data(inner)


CODE = sorted(ROOT.rglob("*.py"))
DATA = sorted(
    p for p in (ROOT / "data").rglob("*.toml") if p.name != "sources.toml"
)  # titles of sources are quoted as they are


@pytest.mark.parametrize("path", CODE, ids=lambda p: str(p.relative_to(ROOT)))
def test_words_in_code(path):
    for text in strings_of_code(path):
        assert not FORBIDDEN.search(text), text
        assert not re.search(r"[A-Za-z]!(\s|$)", text), text


@pytest.mark.parametrize("path", DATA, ids=lambda p: str(p.relative_to(ROOT)))
def test_words_in_data(path):
    for text in strings_of_data(tomllib.loads(path.read_text(encoding="utf-8"))):
        assert not FORBIDDEN.search(text), text
        assert "!" not in text, text


def test_pages_and_templates():
    for path in ROOT.rglob("*.html"):
        text = re.sub(r"<(style|script)[\s\S]*?</\1>|<!--[\s\S]*?-->|<[^>]+>", " ", path.read_text(encoding="utf-8"))
        assert not FORBIDDEN.search(text), path


def test_the_filter_catches_what_it_is_for():
    assert FORBIDDEN.search("This is safe to eat")
    assert FORBIDDEN.search("A perfect cure")
    assert not FORBIDDEN.search("unsafely")
    assert not FORBIDDEN.search("keep it cold")
