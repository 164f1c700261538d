"""A history worked out here, on two cores and on a cluster by its address: the same numbers, told as they come."""

import json
import pickle

import numpy as np
import pytest
from distributed import LocalCluster

from ingle.crafts.cure import history_parts
from ingle.crafts.cure.history import Stage, run
from ingle.crafts.cure.mix import mix
from ingle.faces.cli import cure_stages as cure_stages_cmd
from ingle.faces.cli.main import main
from ingle.ground.errors import BadBrief, OutOfRange
from ingle.ground.things import Piece
from ingle.jobs import cure_stages, workers

PIECE = Piece(1000.0, 50.0)
STAGES = (
    Stage("rub", 48.0, add=mix({"salt": "40g", "curing-salt@6.25%": "2g"}), drip="poured"),
    Stage("dry", 30.0, 12.0, humidity=0.6),
)
MEMBERS = 150
FILE = """
[piece]
weight = "1kg"
thickness = "50mm"
[[stage]]
kind = "rub"
lasts = "2d"
temperature = "4C"
add = { salt = "28g" }
"""


@pytest.fixture
def small_parts(monkeypatch):
    monkeypatch.setattr(history_parts, "PART", 40)
    monkeypatch.setattr(workers, "cores_here", lambda: 2)


@pytest.fixture(scope="module")
def alone():
    """All members at once, in this process."""
    return run(PIECE, STAGES, members=MEMBERS)


@pytest.fixture(scope="module")
def cluster():
    with LocalCluster(n_workers=2, threads_per_worker=1, processes=False, protocol="tcp", dashboard_address=":0") as made:
        yield made


def same(told, other):
    """Every number of two histories, bit by bit."""
    return pickle.dumps(plain(told)) == pickle.dumps(plain(other))


def plain(thing):
    if isinstance(thing, np.ndarray):
        return thing.shape, thing.tobytes()
    if isinstance(thing, tuple):
        return [plain(part) for part in thing]
    if hasattr(thing, "__dataclass_fields__"):
        return {name: plain(getattr(thing, name)) for name in thing.__dataclass_fields__}
    return repr(thing)


def counted():
    heard = []
    return heard, lambda done, total: heard.append((done, total))


def test_the_comparison_sees_one_bit(alone):
    other = run(PIECE, STAGES, members=MEMBERS)
    assert same(alone, other)
    other.mean_of[-1, -1] = np.nextafter(other.mean_of[-1, -1], 10)
    assert not same(alone, other)


@pytest.mark.parametrize("size", [149, 64, 20])
def test_the_size_of_a_part_changes_no_number(alone, monkeypatch, size):
    monkeypatch.setattr(history_parts, "PART", size)
    heard, seen = counted()
    assert same(run(PIECE, STAGES, members=MEMBERS, seen=seen), alone)
    parts = -(-MEMBERS // size)
    assert heard == [(n + 1, 2 * parts) for n in range(2 * parts)]  # two stages of each part


@pytest.mark.usefixtures("small_parts")
def test_two_cores_give_the_same_numbers_and_tell_how_far_they_are(alone):
    heard, seen = counted()
    with workers.workers(2) as each:
        assert same(run(PIECE, STAGES, members=MEMBERS, each=each, seen=seen), alone)
    assert heard == [(2, 8), (4, 8), (6, 8), (8, 8)]


@pytest.mark.usefixtures("small_parts")
def test_a_cluster_gives_the_same_numbers_and_tells_how_far_it_is(alone, cluster):
    heard, seen = counted()
    assert cluster.scheduler_address.startswith("tcp://127.0.0.1:")
    with workers.workers(cluster=cluster.scheduler_address) as each:
        assert same(run(PIECE, STAGES, members=MEMBERS, each=each, seen=seen), alone)
        again = run(PIECE, STAGES, members=MEMBERS, each=each)  # the connection serves more than one
    assert same(again, alone)
    assert heard == [(2, 8), (4, 8), (6, 8), (8, 8)]


def refuse(part):
    """Work that meets something that cannot be."""
    raise OutOfRange(f"{part} is too much.", field="part", value=part, limit=1, remedy="Take less.")


@pytest.mark.usefixtures("small_parts")
@pytest.mark.parametrize("where", ["cores", "cluster"])
def test_a_refusal_far_away_arrives_as_it_was_said(where, request):
    given = {"cores": 2} if where == "cores" else {"cluster": request.getfixturevalue("cluster").scheduler_address}
    with workers.workers(**given) as each, pytest.raises(OutOfRange, match="too much") as caught:
        each(refuse, [2, 3, 4], print)
    assert (caught.value.field, caught.value.limit, caught.value.remedy) == ("part", 1, "Take less.")
    assert caught.value.value in (2, 3, 4)


def end_now(_part):
    import os

    os._exit(1)


@pytest.mark.usefixtures("small_parts")
def test_a_process_that_ends_is_said():
    with workers.workers(2) as each, pytest.raises(BadBrief, match="ended before") as caught:
        each(end_now, [1, 2], print)
    assert caught.value.field == "cores"


def test_one_core_is_this_process():
    with workers.workers(1) as one, workers.workers() as none:
        assert one is None
        assert none is None


@pytest.mark.usefixtures("small_parts")
@pytest.mark.parametrize(
    ("given", "field", "said"),
    [
        ({"cores": 0}, "cores", "this machine has 2"),
        ({"cores": 3}, "cores", "this machine has 2"),
        ({"cores": 2, "cluster": "tcp://127.0.0.1:9"}, "cluster", "both given"),
        ({"cluster": "kitchen"}, "cluster", "not an address"),
        ({"cluster": "tcp://127.0.0.1:9"}, "cluster", "No scheduler answers"),
    ],
    ids=str,
)
def test_workers_that_are_not_there_are_refused(monkeypatch, given, field, said):
    monkeypatch.setattr(workers, "CONNECT_S", 0.5)
    with pytest.raises(BadBrief, match=said) as caught, workers.workers(**given):
        pass
    assert caught.value.field == field
    assert caught.value.remedy


def test_a_cluster_of_another_version_is_refused(cluster, monkeypatch):
    told = iter([{"ingle": "0.0.1", "numpy": "2.0.0"}])
    monkeypatch.setattr(workers, "versions", lambda: next(told, {"ingle": "9", "numpy": "9"}))
    with pytest.raises(BadBrief, match="The numbers could differ"), workers.workers(cluster=cluster.scheduler_address):
        pass


def test_a_scheduler_without_workers_is_refused():
    with (
        LocalCluster(n_workers=0, processes=False, protocol="tcp", dashboard_address=":0") as empty,
        pytest.raises(BadBrief, match="has no workers"),
        workers.workers(cluster=empty.scheduler_address),
    ):
        pass


@pytest.mark.usefixtures("small_parts")
def test_the_job_draws_as_many_as_are_asked_and_refuses_what_tells_no_band(tmp_path):
    file = tmp_path / "history.toml"
    file.write_text(FILE)
    heard = []
    answers = [
        cure_stages.cure_by_stages(file, members=90, cores=cores, progress=lambda *told: heard.append(told)) for cores in (None, 2)
    ]
    assert [len(answer.told.ready_h) for answer in answers] == [90, 90]
    assert same(answers[0].told, answers[1].told)
    assert heard[-1] == (90, 1, 3, 3)
    for wrong in ({"members": 39}, {"members": 50_001}, {"members": 90, "diffusivity": 3e-10}):
        with pytest.raises(BadBrief) as caught:
            cure_stages.cure_by_stages(file, **wrong)
        assert caught.value.field == "members"


@pytest.mark.usefixtures("small_parts")
def test_the_command_prints_the_same_whoever_works(tmp_path, capsys, cluster):
    file = tmp_path / "history.toml"
    file.write_text(FILE)
    told = []
    for who in ([], ["--cores", "2"], ["--cluster", cluster.scheduler_address]):
        assert main(["cure", "--stages", str(file), "--members", "90", *who, "--json"]) == 0
        told.append(capsys.readouterr().out)
    assert told[0] == told[1] == told[2]
    assert json.loads(told[0])["basis"].startswith("90 members")


@pytest.mark.parametrize("who", [["--members", "90"], ["--cores", "2"], ["--cluster", "tcp://127.0.0.1:9"]], ids=str)
def test_workers_without_a_history_are_refused_in_words(capsys, who):
    assert main(["cure", "--weight", "1kg", "--thickness", "40mm", "--add", "salt=25g", *who]) == 2
    told = capsys.readouterr().err
    assert f"{who[0]} {who[1]} was given" in told
    assert "Give --stages" in told


def test_how_far_it_is_stands_on_one_line_or_stage_by_stage(capsys):
    for done in (1, 2, 3, 4):
        cure_stages_cmd.progress(1024, 2, done, 4)
    assert capsys.readouterr().err.split("\r") == [
        "", "256 of 1,024 members worked out", "512 of 1,024 members worked out", "768 of 1,024 members worked out",
        "1,024 of 1,024 members worked out\n",
    ]  # fmt: skip
    cure_stages_cmd.progress(512, 4, 3, 4)
    assert capsys.readouterr().err == "stage 3 of 4\n"
