"""Pages: what their templates may use, what they never do, how they speak, and the first start."""

import dataclasses
import importlib
import inspect
import pkgutil
import re

import jinja2.meta
import pytest
from tests.web.visitor import HOUSE, Visitor, text

from ingle.faces.tokens import LIGHT, contrast
from ingle.faces.web import pages
from ingle.faces.web.ink import in_page_ink, token_css
from ingle.faces.web.page import COMMON, TEMPLATES, environment

PAGES = sorted(
    {
        cls
        for module in pkgutil.iter_modules(pages.__path__)
        for cls in vars(importlib.import_module(f"ingle.faces.web.pages.{module.name}")).values()
        if inspect.isclass(cls) and dataclasses.is_dataclass(cls) and isinstance(vars(cls).get("template"), str)
    },
    key=lambda cls: cls.template,
)
PLACES = ("/", "/doors", "/meal", "/meal/new", "/salt", "/book", "/book/begun", "/drawer", "/grounds", "/grounds?find=nitrite", "/grounds/us-nitrite-whole-dry",
          "/grounds/trade-practice", "/house", "/parts", "/nowhere")  # fmt: skip


@pytest.mark.parametrize("page", PAGES, ids=lambda cls: cls.template)
def test_a_template_uses_its_pages_fields_and_no_other(page):
    env = environment()
    source = (TEMPLATES / page.template).read_text()
    used = jinja2.meta.find_undeclared_variables(env.parse(source))
    own = re.findall(r"\{% macro (\w+)|import \"[\w.]+\" as (\w+)|{% set (\w+) =|{% for ([\w, ]+) in", source)  # what it defines or brings itself
    known = {f.name for f in dataclasses.fields(page)} | set(COMMON) | {"bits"} | {name for found in own for names in found for name in names.split(", ")}
    assert used <= known, used - known


def test_every_field_of_a_page_is_used():
    for page in PAGES:
        source = (TEMPLATES / page.template).read_text() + "".join((TEMPLATES / name).read_text() for name in ("_salt_answer_in_page.html", "_salt_answer.html"))
        unused = [f.name for f in dataclasses.fields(page) if not re.search(rf"\b{f.name}\b", source)]
        assert not unused, (page, unused)


@pytest.mark.parametrize("place", PLACES)
def test_no_page_asks_anything_of_another_machine_or_runs_what_is_not_a_file_of_its_own(visitor, place):
    answer = visitor.get(place)
    html = answer.text
    assert not re.search(r'(?:src|href|action|data)\s*=\s*"(?:https?:)?//', html)
    assert not re.search(r"<script(?![^>]*\bsrc=)", html) and not re.search(r'\son\w+="', html) and "<style" not in html and 'style="' not in html
    policy = answer.headers["content-security-policy"]
    assert "default-src 'self'" in policy and "unsafe" not in policy and "frame-ancestors 'none'" in policy
    assert answer.headers["x-content-type-options"] == "nosniff" and answer.headers["cache-control"] == "no-store"


@pytest.mark.parametrize("place", PLACES)
def test_a_page_speaks_plainly_and_weighs_little(visitor, place):
    html = visitor.get(place).text
    said = text(html).lower()
    assert not re.search(r"\bsafe\b|guaranteed|should be fine|perfect|oops|please|!(?!=)", said), said
    linked = set(re.findall(r'(?:src|href)="(/static/[^"]+)"', html))
    faces = re.findall(r"/static/fonts/[\w.-]+", visitor.get("/static/tokens.css").text)
    assert len(html) + sum(len(visitor.get(f).content) for f in {*linked, *faces}) < 600_000
    assert html.count("<h1") == 1 or place == "/parts"


def test_the_first_start_has_three_doors_and_the_house_is_asked_once(fresh):
    first = fresh.get("/")
    assert str(first.url).endswith("/doors") and all(door in first.text for door in ("Plan my meal", "I have already begun", "Look at the demonstration"))
    assert "No kitchen is set up yet" in first.text
    answer = fresh.post("/house", **(HOUSE | {"then": "/book/begun"}))
    assert answer.url.path == "/book/begun"
    assert fresh.get("/").url.path == "/" and "Nothing is planned" in fresh.get("/").text


def test_a_refused_form_comes_back_whole_with_its_error_twice_and_a_title_that_says_so(fresh):
    answer = fresh.post("/house", **(HOUSE | {"zone": "Europe/Lundon", "name": "Mine <b>"}))
    assert answer.status_code == 422 and "<title>Error: " in answer.text
    words = "Zone 'Europe/Lundon' is not known. Write it like Europe/London."
    assert text(answer.text).count(words) == 2 and 'href="#zone"' in answer.text and 'id="zone"' in answer.text
    assert 'value="Europe/Lundon"' in answer.text and 'value="Mine &lt;b&gt;"' in answer.text and "data-focus" in answer.text
    assert fresh.get("/").url.path == "/doors"


def test_a_house_in_pounds_and_fahrenheit_reads_and_shows_them(visitor):
    visitor.begin(mass="lb", temperature="F")
    code = visitor.lay_in(weight="3", temperature="39")
    page = text(visitor.get(f"/book/{code}").text)
    assert "3.00 lb" in page and "32.1 g" in page  # a dose stays in grams
    visitor.post(f"/book/{code}/read", temperature="41")
    assert "41 °F" in text(visitor.get(f"/book/{code}").text)
    visitor.begin(mass="kg", temperature="C")
    assert "1.36 kg" in text(visitor.get(f"/book/{code}").text) and "5 °C" in text(visitor.get(f"/book/{code}").text)


def test_rules_of_the_house_reach_the_bench(visitor):
    assert "No country named" in visitor.get("/").text
    visitor.begin(rules="gb")
    said = text(visitor.get("/salt").text)
    assert "GB " in said and "EU " not in said and "Rules of Great Britain." in said


def test_every_number_of_the_bench_leads_to_its_ground(visitor):
    links = set(re.findall(r'href="(/grounds/[^"?]+)"', visitor.get("/salt").text))
    assert len(links) > 5
    for link in links:
        answer = visitor.get(link)
        assert answer.status_code == 200 and ("How sure" in answer.text), link


def test_tokens_stand_in_one_place_and_a_drawing_follows_them():
    css = token_css()
    assert all(f"--{name.replace('_', '-')}:{value};" in css for name, value in LIGHT.items()) and "prefers-color-scheme:dark" in css and "@media print" in css
    svg = '<svg viewBox="0 0 4 4" width="4" height="4"><rect fill="#1A6780" stroke="#123456"/></svg>'
    assert str(in_page_ink(svg)) == '<svg viewBox="0 0 4 4"><rect fill="var(--brine)" stroke="#123456"/></svg>'
    house = (TEMPLATES.parent / "static" / "house.css").read_text()
    assert not re.search(r"#[0-9A-Fa-f]{6}\b", house)
    assert contrast("#FFD02E", "#1A1D1C") > 11  # the focus line on its ring; 3 is asked


def test_a_notebook_that_cannot_be_read_is_said_and_nothing_is_lost(tmp_path):
    (tmp_path / "own.notebook").write_text("not a notebook")
    answer = Visitor(tmp_path).get("/")
    assert answer.status_code == 503 and "is not a notebook" in answer.text
    assert (tmp_path / "own.notebook").read_text() == "not a notebook"


def test_the_first_start_leads_on_and_a_piece_in_its_cure_is_no_empty_kitchen(fresh):
    answer = fresh.post("/house", **HOUSE)
    assert answer.url.path == "/house" and all(f'href="{way}"' in answer.text for way in ("/meal/new", "/book/begun", "/"))
    fresh.lay_in()
    said = text(fresh.get("/").text)
    assert "Nothing to do by hand now" in said and "Nothing is planned" not in said and "Pull no sooner than" in said


def test_what_is_merely_not_there_is_no_alarm(visitor):
    for place, plainly in (("/nowhere", True), ("/book/TK-000000-A", True), ("/papers/day/x.pdf", False)):
        answer = visitor.get(place)
        assert ("plainly" in answer.text) is plainly and 'href="/book"' in answer.text, place


def test_what_no_verdict_of_a_list_checked_is_said_once_below_it(visitor):
    code = visitor.lay_in()
    visitor.begin(rules="gb")
    leaf = text(visitor.get(f"/book/{code}").text)
    assert leaf.count("Not checked: ") >= 1  # one verdict alone says it itself
    env = environment()
    from ingle.safety.verdict import Verdict

    one = Verdict("r", "nitrite put in", "within", 118.0, 150.0, "mg/kg", "clause 1", "trade-practice", "gap", not_checked=("the packet",))
    two = dataclasses.replace(one, title="nitrite, again", not_checked=("the packet",))
    other = dataclasses.replace(one, not_checked=("the packet", "the scale"))
    told = env.from_string('{% import "_bits.html" as bits %}{{ bits.verdicts(all, false) }}')
    assert text(told.render(all=(one, two))).count("the packet") == 1 and "Not checked, by any of these: the packet." in text(told.render(all=(one, two)))
    assert text(told.render(all=(one, other))).count("the packet") == 2 and text(told.render(all=(one,))).count("Not checked: the packet.") == 1
