"""The interface asks what the commands ask, and answers what ``--json`` prints; what is written is written once."""

import base64
import json
import re
from datetime import UTC, date, datetime, time, timedelta

import pytest
from click.testing import CliRunner
from starlette.testclient import TestClient

from ingle.faces.cli.main import cli
from ingle.faces.cli.offered import OFFERED
from ingle.faces.web.app import create_app
from ingle.faces.web.config import Config
from ingle.faces.web.security import hashed
from ingle.ground import tables

UID = "3b0c3a52-5a1e-4d53-9d0f-1d6f0a4f7e11"
FERN = tables.data_path("examples", "fernhollow")


@pytest.fixture
def place(tmp_path):
    return Config(str(tmp_path / "kitchen.notebook"), tmp_path / "page")


@pytest.fixture
def client(place):
    with TestClient(create_app(place, OFFERED)) as made:
        made.post("/api/record/kitchen", json={"name": "Fernhollow", "zone": "Europe/London", "prefix": "FH", "rules": "gb"})
        yield made


def warm_night(day=date(2026, 11, 4)):
    """A logger's file of three days; in the second night the fridge stood open."""
    first = datetime.combine(day, time(), UTC)
    rows = [(first + timedelta(minutes=30 * i), 12.0 if 50 <= i < 66 else 4.0) for i in range(144)]
    return ("time,temperature_c\n" + "".join(f"{at.isoformat()},{c}\n" for at, c in rows)).encode()


def said(*args):
    """What the command prints with --json."""
    told = CliRunner().invoke(cli, [*args, "--json"], catch_exceptions=False)
    return json.loads(told.stdout)


def lay(client, weight="1.38kg"):
    """A lot, a piece, a batch."""
    lot = client.post("/api/record/lot", json={"item": "pork collar", "amount": "5kg", "supplier": "Hill farm"}).json()["written"][0]["code"]
    piece = client.post("/api/record/piece", json={"lot": lot, "name": "Collar A", "weight": weight, "thickness": "52mm"}).json()["written"][0]["code"]
    batch = client.post("/api/record/batch", json={"name": "Collar", "part": "collar", "takes": [piece], "at": "2026-11-04 00:00"}).json()["written"][0]["code"]
    return lot, piece, batch


def test_a_log_is_withdrawn_and_the_same_bytes_are_taken_again(client):
    post = lambda: client.post("/api/logs?place=fridge&yes=true&name=night.csv", content=warm_night(), headers={"content-type": "text/csv"}).json()  # noqa: E731
    log = post()["kept"]["uid"]
    assert client.post("/api/record/withdraw", json={"log": log}).status_code == 422  # why is not said
    told = client.post("/api/record/withdraw", json={"log": log, "why": "another fridge", "who": "A", "uid": UID}).json()["written"]
    assert (told[0]["table"], told[0]["why"]) == ("log_withdrawn", "another fridge")
    again = client.post("/api/record/withdraw", json={"log": log, "why": "another fridge", "who": "A", "uid": UID})
    assert again.status_code == 200 and again.json()["written"][0]["id"] == told[0]["id"]  # sent twice, written once
    kept = post()["kept"]
    assert not kept["already"] and kept["added"] == 144 and kept["uid"] != log
    assert {r["uid"]: bool(r["withdrawn"]) for r in client.get("/api/logs").json()["logs"]} == {log: True, kept["uid"]: False}


@pytest.mark.parametrize(
    ("name", "args", "body"),
    [
        ("weigh", ["--weight", "1.38kg", "--curing-salt", "6.25%", "--rules", "gb", "--on", "2026-11-04"],
         {"weight": ["1.38kg"], "curing_salt": "6.25%", "rules": "gb", "on": "2026-11-04"}),
        ("judge", ["--weight", "3 lb 1 oz", "--add", "salt=50g", "--add", "curing-salt@6.25%=2.5g", "--thickness", "50mm", "--days", "6", "--on", "2026-11-04"],
         {"weight": ["3 lb 1 oz"], "add": ["salt=50g", "curing-salt@6.25%=2.5g"], "thickness": ["50mm"], "days": "6", "on": "2026-11-04"}),
        ("cure", ["--weight", "1.38kg", "--thickness", "40mm", "--add", "salt=34g", "--temperature", "38F"],
         {"weight": ["1.38kg"], "thickness": ["40mm"], "add": ["salt=34g"], "temperature": "38F"}),
        ("cook", ["--part", "collar", "--weight", "1.3kg", "--thickness", "70mm", "--oven", "160C", "--still", "--core", "71C", "--rest", "20min"],
         {"part": "collar", "weight": "1.3kg", "thickness": "70mm", "oven": "160C", "fan": False, "core": "71C", "rest": "20min"}),
        ("chill", ["--part", "ham", "--weight", "2kg", "--thickness", "90mm", "--start", "72C", "--air", "4C", "--fan", "--first", "ice-bath=0C,1h"],
         {"part": "ham", "weight": "2kg", "thickness": "90mm", "start": "72C", "air": "4C", "fan": True, "first": ["ice-bath=0C,1h"]}),
        ("keep", ["--part", "bacon", "--fridge", "3C..7C", "--since", "2026-12-19", "--vacuum"],
         {"part": "bacon", "fridge": "3C..7C", "since": "2026-12-19", "vacuum": True}),
        ("mishap", ["--weight", "1kg", "--thickness", "40mm", "--fridge-off", "9h", "--found", "14C"],
         {"weight": ["1kg"], "thickness": ["40mm"], "fridge_off": "9h", "found": "14C"}),
        ("crackle", ["--weight", "180g", "--fridge", "12h", "--oven", "220C,20min", "--oven", "180C,60min"],
         {"weight": "180g", "fridge": "12h", "oven": ["220C,20min", "180C,60min"]}),
        ("smoke", ["--run", "8h,18C", "--run", "6h,12C"], {"run": ["8h,18C", "6h,12C"]}),
        ("brine", ["--salometer", "40", "--volume", "5l", "--to", "12%"], {"salometer": "40", "volume": "5l", "to": "12%"}),
        ("butter", ["--cream", "1kg", "--fat", "36%", "--salt", "1.5%", "--use", "sale"], {"cream": "1kg", "fat": "36%", "salt": "1.5%", "use": "sale"}),
        ("bread", ["--loaf", "800g", "--pieces", "2", "--preferment", "20%", "--also", "yeast=1%"], {"loaf": "800g", "pieces": "2", "preferment": "20%", "also": ["yeast=1%"]}),
        ("dough", ["--piece", "900g", "--fridge", "6C", "--in", "24C"], {"piece": "900g", "fridge": "6C", "in": "24C"}),
        ("sauce", ["--part", "2kg,6%", "--to", "30%", "--ph", "3.9"], {"part": ["2kg,6%"], "to": "30%", "ph": "3.9"}),
    ],
)  # fmt: skip
def test_an_answer_is_the_commands_own(client, name, args, body):
    told = client.post(f"/api/{name}", json=body)
    assert told.status_code == 200
    assert told.json() == said(name, *args)


def test_the_book_answers_as_its_commands(client, place):
    lot, piece, batch = lay(client)
    client.post("/api/record/dose", json={"about": piece, "add": ["salt=34g"], "who": "A"})
    assert client.get(f"/api/trace/{lot}").json() == said("trace", lot, "--notebook", place.notebook)
    now = "2026-12-04T18:05:00+00:00"
    assert client.get("/api/today", params={"now": now}).json() == said("today", "--notebook", place.notebook, "--now", now)
    assert client.get("/api/sources", params={"find": "eu nitrite"}).json() == said("sources", "eu", "nitrite")
    assert batch in client.get(f"/api/trace/{lot}").json()["unpacked"]


def test_a_reading_sent_twice_stands_once(client):
    _, _, batch = lay(client)
    body = {"about": batch, "weight": "1.33kg", "at": "2026-11-04 18:05"}
    first = client.post("/api/record/reading", json=body, headers={"idempotency-key": UID})
    again = client.post("/api/record/reading", json={**body, "uid": UID})
    assert first.status_code == again.status_code == 200
    assert first.json() == again.json()
    assert first.json()["written"][0]["weight_g"] == 1330.0
    other = client.post("/api/record/reading", json={**body, "weight": "1.34kg", "uid": UID})
    assert other.status_code == 409  # one UUID, one row
    assert other.json()["field"] == "uid"


def test_an_error_names_field_value_limit_and_remedy(client):
    told = client.post("/api/weigh", json={"weight": ["1.38"]})
    assert told.status_code == 422
    assert told.json()["field"] == "weight"
    assert "1.38" in told.json()["value"]
    assert told.json()["remedy"]
    unknown = client.post("/api/weigh", json={"weight": ["1kg"], "colour": "red"})
    assert unknown.status_code == 422
    assert unknown.json()["field"] == "colour"
    second = client.post("/api/record/kitchen", json={"name": "Another", "zone": "Europe/London"})
    assert second.status_code == 409


def test_a_second_dosing_says_who_and_when(client):
    _, piece, _ = lay(client)
    body = {"about": piece, "add": ["salt=34g"], "who": "A"}
    assert client.post("/api/record/dose", json=body).status_code == 200
    told = client.post("/api/record/dose", json=body)
    assert told.status_code == 409
    assert re.search(r"by A on \w{3} \d", told.json()["message"])
    assert client.post("/api/record/dose", json={**body, "again": True}).status_code == 200


def test_no_file_of_this_machine_is_read(client, tmp_path):
    secret = tmp_path / "secret.csv"
    secret.write_text("time,temperature_c\n0,1\n3600,2\n7200,3\n")
    stages = f'[piece]\nweight = "1kg"\nshape = "slab"\nthickness = "40mm"\n[[stage]]\nkind = "rub"\nlasts = "2d"\nrecord = "{secret}"\nadd = {{ salt = "30g" }}\n'
    for name, body in (
        ("cure", {"stages_file": stages}), ("mishap", {"stages_file": stages, "after": "1d", "fridge_off": "9h"}), ("cure", {"section": str(secret)}),
        ("keep", {"part": str(secret)}), ("keep", {"part": "../limits/us"}), ("keep", {"part": "bacon", "record": str(secret)}),
        ("cure", {"chart": str(tmp_path / "out.svg"), "weight": ["1kg"]}), ("cure", {"cluster": "tcp://192.0.2.1:1", "weight": ["1kg"]}),
    ):  # fmt: skip
        told = client.post(f"/api/{name}", json=body)
        assert told.status_code == 422, (name, body, told.text)
    assert not (tmp_path / "out.svg").exists()
    brief = (FERN / "fernhollow.toml").read_text()
    for use in ('kit = "/etc/passwd"', 'kit = "../kitchen.toml"', 'parts = ["/etc"]'):
        told = client.post("/api/plan", json={"brief": re.sub(r"(?m)^kit = .*$", use, brief)})
        assert told.status_code == 422, told.text
        assert told.json()["field"].startswith("use.")


def test_a_photo_is_known_by_its_bytes(client):
    _, _, batch = lay(client)
    for content in (b"<svg onload=alert(1)>", b"GIF89a", b"", b"%PDF-1.7"):
        told = client.post("/api/record/reading", json={"about": batch, "photo": base64.b64encode(content).decode()})
        assert told.status_code == 422, content
        assert told.json()["field"] == "photo"
    assert client.post("/api/record/reading", json={"about": batch, "photo": "not base64!"}).status_code == 422


def test_a_log_is_kept_once_and_moves_its_forecast(client):
    _, piece, batch = lay(client)
    client.post("/api/record/dose", json={"about": piece, "add": ["salt=34g"]})
    log = warm_night()
    kind = {"content-type": "text/csv"}
    looked = client.post("/api/logs", params={"name": "../../night.csv", "place": "fridge"}, content=log, headers=kind)
    assert looked.status_code == 200
    assert looked.json()["kept"] is None
    assert looked.json()["log"]["name"] == "night.csv"
    assert client.get("/api/logs").json()["count"] == 0
    ask = {"place": "fridge", "yes": True, "batch": [batch], "zone": "Europe/London"}
    first, second = (client.post("/api/logs", params=ask, content=log, headers=kind).json() for _ in range(2))
    assert first["kept"]["added"] > 0
    assert second["kept"] | {"notes": 0, "added": 0} == first["kept"] | {"notes": 0, "added": 0, "already": True, "known": second["kept"]["known"]}
    assert client.get("/api/logs").json()["count"] == 1
    assert "sooner than at 4 C" in first["fed"][0]["sentence"]
    assert first["deviations"][0]["level"] == "stop"
    row = client.get("/api/logs").json()["logs"][0]
    assert client.get(f"/api/logs/{row['uid']}").json()["deviations"] == first["deviations"]
    assert client.post("/api/logs", content=log).status_code == 415  # a form of another site can send no other kind unasked
    assert client.post("/api/logs", data={"a": "b"}).status_code == 415


def test_a_plan_is_begun_looked_at_and_done(client):
    body = {"brief": (FERN / "fernhollow.toml").read_text(), "kit": (FERN / "kitchen.toml").read_text(), "longest": "1s"}
    begun = client.post("/api/plan", json=body)
    assert begun.status_code == 202
    for _ in range(600):
        told = client.get(begun.headers["location"]).json()
        if told["state"] != "going":
            break
    else:
        pytest.fail("the plan never ended")
    assert told["state"] == "done"
    assert told["plan"]["name"] == "Fernhollow midwinter table"
    assert client.delete(begun.headers["location"]).status_code == 200
    assert client.get("/api/plan/nothing").status_code == 404


def test_it_stands_behind_the_same_door_as_the_pages(tmp_path):
    config = Config(str(tmp_path / "k.notebook"), tmp_path / "page", host="0.0.0.0", pass_phrase=hashed("four words that hold"))
    with TestClient(create_app(config, OFFERED)) as made:
        for path in ("/api/today", "/api/logs", "/api/openapi.json"):
            assert made.get(path).status_code == 401
        assert made.post("/api/weigh", json={"weight": ["1kg"]}).status_code == 401
    with TestClient(create_app(Config(str(tmp_path / "k.notebook"), tmp_path / "page"), OFFERED)) as made:
        other = made.post("/api/weigh", json={"weight": ["1kg"]}, headers={"origin": "https://elsewhere.example"})
        assert other.status_code == 403
        assert made.get("/api/today", headers={"host": "elsewhere.example"}).status_code == 421


def test_the_description_needs_no_other_machine(client):
    told = client.get("/api/openapi.json").json()
    assert "/api/weigh" in told["paths"]
    assert client.get("/docs").status_code == 404


def test_a_kitchen_comes_along_as_text(client):
    kit = '[[oven]]\nkey = "old"\nholds = 2\noffset = { mean = "10C" }\nfan = true\n[[cook]]\nkey = "A"\nhours = [{ days = "every day", from = "08:00", to = "20:00" }]\n'
    body = {"part": "collar", "weight": "1.3kg", "thickness": "70mm", "oven": "160C", "core": "71C"}
    stage = client.post("/api/cook", json={**body, "kit_file": kit}).json()["stages"][0]
    assert (stage["chamber_c"], stage["fan"]) == (170.0, True)
    wrong = client.post("/api/cook", json={**body, "kit_file": "[[oven]]\nkey = 1"})
    assert wrong.status_code == 422 and "oven[0].key" in wrong.text
