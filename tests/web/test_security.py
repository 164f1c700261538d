"""Who may ask, and what a request must carry. Nothing is stored by a request that is refused."""

import re
import stat

import pytest
from tests.web.visitor import HOUSE, Visitor, text

from ingle.faces.web.config import Config, kept_secret
from ingle.faces.web.pages import ROUTERS, more
from ingle.faces.web.security import COOKIE, Tries, hashed, pass_phrase_fits
from ingle.ground.errors import Refused
from ingle.jobs.book import batches
from ingle.notebook.store import open_notebook

PHRASE = "four words that do not belong"


def flat(router):
    """All routes of a router and of those it includes."""
    for route in router.routes:
        yield from flat(route.original_router) if hasattr(route, "original_router") else [route]


def posts():
    """Every address of the pages that takes a form, its places filled with something."""
    paths = [route.path for router in (*ROUTERS, more.router) for route in flat(router) if "POST" in route.methods]
    return sorted(re.sub(r"\{\w+(:\w+)?\}", "x", path) for path in paths)


def test_a_post_without_the_sessions_token_is_refused_wherever_it_goes(visitor):
    addresses = posts()
    assert {"/house", "/step", "/undo", "/book/begun", "/meal/plan", "/book/x/weigh", "/book/x/dose", "/sign-in", "/demonstration", "/theme", "/phone", "/book/x/pack"} <= set(addresses)
    for address in addresses:
        for token in ("", "0" * 64, Visitor(visitor.config.keep.parent, book="other.notebook").token()):
            answer = visitor.client.post(address, data={"csrf": token, "name": "x", "what": "done"})
            assert answer.status_code == 403 and "Nothing was stored" in answer.text, (address, answer.status_code)
    with open_notebook(visitor.config.notebook) as book:
        assert batches(book) == ()


def test_a_post_from_another_origin_is_refused_even_with_the_token(visitor):
    for header in ({"origin": "http://elsewhere.example"}, {"origin": "null"}, {"sec-fetch-site": "cross-site"}):
        answer = visitor.client.post("/house", data={"csrf": visitor.token(), **HOUSE, "name": "Theirs"}, headers=header)
        assert answer.status_code == 403 and "another page" in answer.text
    assert "Theirs" not in visitor.get("/house").text


def test_another_name_for_this_machine_is_not_answered(visitor):
    assert visitor.client.get("/", headers={"host": "rebound.example"}).status_code == 421
    assert visitor.client.get("/", headers={"host": "localhost:8023"}).status_code == 200


@pytest.mark.parametrize("told", [True, False])
def test_more_than_is_taken_is_refused_whether_its_size_is_told_or_not(tmp_path, told):
    small = Visitor(tmp_path, upload_most=20_000).begin()
    body = b"csrf=" + small.token().encode() + b"&name=" + b"x" * 30_000
    head = {"content-type": "application/x-www-form-urlencoded"}
    content = body if told else (body[i : i + 4096] for i in range(0, len(body), 4096))
    answer = small.client.post("/house", content=content, headers=head)
    assert answer.status_code == 413 and "Nothing was stored" in answer.text and '<a class="btn go" href="/">At hand</a>' in answer.text  # a page, with a way on


def test_a_wider_address_needs_a_pass_phrase(tmp_path):
    with pytest.raises(Refused, match="no pass phrase"):
        Config(str(tmp_path / "n"), tmp_path, host="0.0.0.0")
    Config(str(tmp_path / "n"), tmp_path, host="0.0.0.0", pass_phrase=hashed(PHRASE))


def test_signing_in_opens_under_a_new_session_and_five_wrong_ones_wait(tmp_path):
    locked = Visitor(tmp_path, host="0.0.0.0", pass_phrase=hashed(PHRASE))
    for place in ("/", "/book", "/house", "/salt", "/grounds", "/meal/new"):
        assert locked.get(place).url.path == "/sign-in", place
    assert locked.client.get("/api/openapi.json").status_code == 401
    token = re.search(r'name="csrf" value="(\w+)"', locked.get("/sign-in").text)[1]
    before = locked.client.cookies[COOKIE]
    for n in range(5):
        answer = locked.client.post("/sign-in", data={"csrf": token, "pass_phrase": f"wrong {n}"})
        assert answer.status_code == 403 and "not the pass phrase" in answer.text
    answer = locked.client.post("/sign-in", data={"csrf": token, "pass_phrase": PHRASE})
    assert answer.status_code == 429 and "wait 5 min" in text(answer.text)
    locked.app.state.tries = Tries()
    answer = locked.client.post("/sign-in", data={"csrf": token, "pass_phrase": PHRASE})
    assert answer.url.path == "/doors" and locked.client.cookies[COOKIE] != before
    told = [h for h in answer.history[0].headers.get_list("set-cookie") if h.startswith(COOKIE)]
    assert told and all("HttpOnly" in h and "SameSite=lax" in h for h in told)
    locked.client.cookies.clear()
    locked.client.cookies.set(COOKIE, before)
    assert locked.get("/book").url.path == "/sign-in"


def test_a_wait_ends_and_a_right_one_clears():
    now = [0.0]
    tries = Tries(lambda: now[0])
    for _ in range(5):
        assert tries.wait_s("a") == 0
        tries.wrong("a")
    assert tries.wait_s("a") == 300 and tries.wait_s("b") == 0
    now[0] = 299.0
    assert tries.wait_s("a") == 1
    now[0] = 301.0
    assert tries.wait_s("a") == 0
    tries.right("a")
    assert tries.wait_s("a") == 0


def test_a_cookie_that_was_changed_is_a_stranger(visitor):
    visitor.get("/")
    cookie = visitor.client.cookies[COOKIE]
    token = visitor.token()
    visitor.client.cookies.clear()
    visitor.client.cookies.set(COOKIE, cookie[:-3] + ("aaa" if not cookie.endswith("aaa") else "bbb"))
    assert visitor.client.post("/theme", data={"csrf": token}).status_code == 403


def test_pass_phrases_are_kept_as_argon2_and_the_secret_by_its_owner_alone(tmp_path):
    made = hashed(PHRASE)
    config = Config(str(tmp_path / "n"), tmp_path, pass_phrase=made)
    assert made.startswith("$argon2id$") and PHRASE not in made and pass_phrase_fits(config, PHRASE) and not pass_phrase_fits(config, PHRASE + " ")
    secret = kept_secret(tmp_path / "page")
    assert kept_secret(tmp_path / "page") == secret and len(secret) == 32
    assert stat.S_IMODE((tmp_path / "page" / "secret").stat().st_mode) == 0o600


def test_a_way_back_never_leads_off_the_page(visitor):
    code = visitor.lay_in()
    row = re.search(r"/correct/dose/([0-9a-f-]+)", visitor.get(f"/book/{code}").text)[1]
    for back in ("https://elsewhere.example/", "//elsewhere.example", "javascript:alert(1)", "\\\\elsewhere.example"):
        answer = visitor.post("/undo", follow=False, kind="dose", row=row, back=back, uid="7c0f4d3a-1111-4111-8111-000000000001")
        assert answer.headers["location"] == "/", back
