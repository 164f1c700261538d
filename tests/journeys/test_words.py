"""Every string that can reach a person: no bare safe, no promises, no exclamation marks, no places of this workshop."""

import ast
import re
import tomllib
from pathlib import Path

import numpy as np
import pytest

import ingle
from ingle.safety import cooling, lethality, lethality_rules

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


# What may not be claimed of germs and authorities, and how it may be said instead. A phrase stands only where the reason beside
# it holds; every allowance must still be in use.
CLAIMS = {
    "risk-free": re.compile(r"\b(risk[- ]free|no risk|without risk|harmless|cannot (harm|hurt)|nothing to fear|germ[- ]free|sterile)\b", re.I),
    "kills": re.compile(r"\bkill(s|ed|ing)?\b", re.I),
    "no growth": re.compile(r"\bno growth\b(?! of (it|toxin|[A-Z])| in that model| from spores| limit\b)|\b(does|do|will|can)( not|not) grow\b|\bcannot grow\b", re.I),
    "passes": re.compile(
        r"\b(pass(es|ed)?|approved by|accepted by|certified by|complies with|compliant with|meets)\s+(the\s+)?"
        r"(fsis|usda|fda|fsa|cfia|efsa|food code|food law|inspection|haccp)\b", re.I),
    "all-clear": re.compile(r"\ball[- ]clear\b|\bbotulism[- ]free\b|\bno botulism\b|\bfit to eat\b|\bfine to eat\b|\bok(ay)? to eat\b|\bmay be eaten\b", re.I),
}  # fmt: skip
ALLOWED = {
    "smoke kills indoors": "carbon monoxide kills people: a warning, no claim on germs",
    "A cold smoke kills nothing": "denies the claim",
    "above 60 it kills yeast": "of baker's yeast, which no verdict is about",
    "a gram can kill": "nitrite: a warning",
    "about a gram can kill an adult": "nitrite: a warning",
}


def claims_in(text):
    """Phrases that claim too much, allowances cut out."""
    for phrase in ALLOWED:
        text = text.replace(phrase, "")
    return [name for name, pattern in CLAIMS.items() if pattern.search(text)]


CODE = sorted(ROOT.rglob("*.py"))
DATA = sorted(
    p for p in (ROOT / "data").rglob("*.toml") if p.name != "sources.toml"
)  # titles of sources are quoted as they are
TABLES = sorted((ROOT / "data").rglob("*.csv"))


@pytest.mark.parametrize("path", CODE, ids=lambda p: str(p.relative_to(ROOT)))
def test_words_in_code(path):
    for text in strings_of_code(path):
        assert not FORBIDDEN.search(text), text
        assert not claims_in(text), text
        assert not re.search(r"[A-Za-z]!(\s|$)", text), text


@pytest.mark.parametrize("path", DATA, ids=lambda p: str(p.relative_to(ROOT)))
def test_words_in_data(path):
    for text in strings_of_data(tomllib.loads(path.read_text(encoding="utf-8"))):
        assert not FORBIDDEN.search(text), text
        assert not claims_in(text), text
        assert "!" not in text, text


def test_no_unit_is_told_in_the_spelling_of_the_data():
    """``degC`` is the unit of a column; whoever reads a sentence reads ``4 C``, which pages and paper set as degrees."""
    written = [t for p in CODE for t in strings_of_code(p)] + [t for p in DATA for t in strings_of_data(tomllib.loads(p.read_text(encoding="utf-8")))]
    assert [t for t in written if "degC" in t and t != "degC"] == []


def test_pages_and_templates():
    for path in ROOT.rglob("*.html"):
        markup = r"\{#[\s\S]*?#\}|\{%[\s\S]*?%\}|\{\{[\s\S]*?\}\}|<(style|script)[\s\S]*?</\1>|<!--[\s\S]*?-->|<[^>]+>"
        text = re.sub(markup, " ", path.read_text(encoding="utf-8"))
        assert not FORBIDDEN.search(text), path
        assert not claims_in(text), path


@pytest.mark.parametrize("path", TABLES, ids=lambda p: p.name)
def test_words_in_printed_tables(path):
    """Rows of tables reach a person through the list of sources."""
    for text in path.read_text(encoding="utf-8").splitlines():
        assert not FORBIDDEN.search(text), text
        assert not claims_in(text), text


def test_verdicts_on_heat_and_cooling_as_they_are_told():
    """Put together, no sentence says more than its parts: every rule, met and not met."""
    t = np.arange(0, 40 * 3600.0, 600.0)
    for top in (40.0, 58.0, 85.0):
        c = top - (top - 4) * np.exp(-t / 5000.0)
        for rule in lethality_rules.all_rules():
            told = lethality.judge(t, c, product=rule.products[0], rules=(rule.key,), dried_before=True)
            texts = [x for v in told for x in (v.title, v.act, v.doubt, v.basis, *v.not_checked)]
            assert not [x for x in texts if FORBIDDEN.search(x) or claims_in(x)]
        for nitrite in (None, 150.0):
            stages = cooling.judge(t, c[::-1], nitrite_mg_per_kg=nitrite, brine_pct=nitrite and 6.0, is_celsius=True)
            assert not [x for s in stages for x in (s.title, s.act, s.doubt, *s.not_checked) if FORBIDDEN.search(x) or claims_in(x)]


def test_every_allowance_is_still_needed():
    written = "\n".join(
        [t for p in CODE for t in strings_of_code(p)] + [t for p in DATA for t in strings_of_data(tomllib.loads(p.read_text(encoding="utf-8")))]
    )
    assert [phrase for phrase in ALLOWED if phrase not in written] == []


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("This cure is risk-free", "risk-free"), ("Smoke kills Listeria", "kills"), ("No growth at 4 C", "no growth"),
        ("Listeria does not grow in it", "no growth"), ("passes FSIS", "passes"), ("meets the Food Code", "passes"),
        ("an all-clear for botulism", "all-clear"),
    ],
)  # fmt: skip
def test_claims_are_caught(text, name):
    assert name in claims_in(text)


def test_what_may_be_said_is_let_through():
    for text in (
        "compared with FSIS Appendix A: within", "no growth of Listeria predicted by its model", "Existing cells may live on.",
        "the record ends at 12.0 C",
    ):  # fmt: skip
        assert not claims_in(text)


def test_the_filter_catches_what_it_is_for():
    assert FORBIDDEN.search("This is safe to eat")
    assert FORBIDDEN.search("A perfect cure")
    assert not FORBIDDEN.search("unsafely")
    assert not FORBIDDEN.search("keep it cold")
