"""The pages of the project stand: what they name exists, and what they tell a person to type answers as they show it."""

import re
from pathlib import Path, PurePosixPath

import pytest

ROOT = Path(__file__).parents[2]
PAGES = sorted([*ROOT.glob("*.md"), *(ROOT / "docs").rglob("*.md")])
FILES = [PurePosixPath(p.relative_to(ROOT).as_posix()) for top in ("src", "docs", "tests", "tools", "benchmarks") for p in (ROOT / top).rglob("*") if p.is_file()]
README = (ROOT / "README.md").read_text("utf-8")
ELSEWHERE = {"/api/openapi.json", "/salt.json"}  # addresses of the page
EXITS = {"judge": 3, "chill": 3, "mishap": 3}  # over a line, and the README says so or shows it


@pytest.mark.parametrize("page", PAGES, ids=lambda p: str(p.relative_to(ROOT)))
def test_what_a_page_names_exists(page):
    text = page.read_text("utf-8")
    named = {w for w in re.findall(r"`([\w./*-]+\.(?:py|toml|csv|md|js|css|html|json|txt))`", text) if w not in ELSEWHERE}
    given = ("kitchen.toml", "meal.toml")  # a cook's own files
    missing = [w for w in named if w not in given and not any(f.match(w) for f in FILES) and not (ROOT / w).exists()]
    assert not missing
    links = [w.partition("#")[0] for w in re.findall(r"\]\(([^)]+)\)", text) if "://" not in w]
    assert not [w for w in links if w and not (page.parent / w).exists()]


def test_pages_named_in_the_code_exist():
    named = {w for p in (ROOT / "src").rglob("*.py") for w in re.findall(r"docs/[\w/-]+\.md", p.read_text("utf-8"))}
    assert named and not [w for w in named if not (ROOT / w).is_file()]


def shown():
    """Commands of the README, each with the lines it shows up to its dots."""
    for block in re.findall(r"```\n(.*?)```", README, re.S):
        for part in re.split(r"^\$ ", block.replace("\\\n", " "), flags=re.M)[1:]:
            command, *lines = part.splitlines()
            yield " ".join(command.split()), tuple(s for s in lines if s.strip() and s.strip() != "...")
    for command in re.findall(r"`(ingle [^`]+)`", README):
        yield " ".join(command.split()), ()


def test_the_book_of_the_readme_is_kept_as_it_says(call, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("INGLE_NOTEBOOK", raising=False)
    (tmp_path / "src").symlink_to(ROOT / "src")
    call("plan src/ingle/data/examples/fernhollow/fernhollow.toml")
    block = next(b for b in re.findall(r"```\n(.*?)```", README, re.S) if "ingle record kitchen" in b)
    lines = [line.partition("  #")[0].strip().removeprefix("ingle ") for line in block.splitlines()]
    assert len(lines) > 8 and {line.split()[0] for line in lines} == {"record", "today", "read", "print", "trace", "backup"}
    for line in lines:
        code, out, err = call(line)
        assert code in ((0, 3) if line.split()[0] in ("read", "today") else (0,)) and (out + err).strip(), f"{line}: {err}"


@pytest.mark.parametrize(("command", "lines"), [pytest.param(*c, id=c[0][:48]) for c in shown() if not c[0].endswith("serve")])
def test_the_readme_answers_as_it_shows(call, tmp_path, monkeypatch, command, lines):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "src").symlink_to(ROOT / "src")
    if "sheet fernhollow.plan" in command:
        call("plan src/ingle/data/examples/fernhollow/fernhollow.toml")
    code, out, err = call(command.removeprefix("ingle "))
    assert code == EXITS.get(command.split()[1], 0), err
    assert out.strip() and not [s for s in lines if s not in out]
