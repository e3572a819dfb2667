"""``python -m slinediag.layout`` as people and scripts run it."""

from __future__ import annotations

import json
import os
import signal
import stat
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from slinediag.layout.command import run

GRAPH: dict[str, Any] = {
    "nodes": [
        {
            "id": "a",
            "width": 20,
            "height": 16,
            "inputs": [],
            "outputs": [{"id": "o1", "y": 4}, {"id": "o2", "y": 12}],
        },
        {
            "id": "b",
            "width": 20,
            "height": 16,
            "inputs": [{"id": "i1", "y": 4}, {"id": "i2", "y": 12}],
            "outputs": [],
        },
    ],
    "edges": [{"from": ["a", "o1"], "to": ["b", "i2"]}, {"from": ["a", "o2"], "to": ["b", "i1"]}],
}


def written(folder: Path, data: object) -> Path:
    path = folder / "graph.json"
    path.write_text(data if isinstance(data, str) else json.dumps(data), encoding="utf-8")
    return path


def refused(folder: Path, capsys: pytest.CaptureFixture[str], data: object) -> list[str]:
    """The lines of the message; nothing is written."""
    result = folder / "result.json"
    assert run([str(written(folder, data)), str(result)]) == 2
    assert sorted(path.name for path in folder.iterdir()) == ["graph.json"]
    out, err = capsys.readouterr()
    assert out == ""
    assert "Traceback" not in err
    return err.splitlines()


def test_result(tmp_path: Path) -> None:
    result = tmp_path / "result.json"
    assert run([str(written(tmp_path, GRAPH)), str(result)]) == 0
    found = json.loads(result.read_text(encoding="utf-8"))
    assert set(found["nodes"]) == {"a", "b"}
    assert found["ports"] == {"a": {"o1": 4.0, "o2": 12.0}, "b": {"i1": 4.0, "i2": 12.0}}
    assert found["crossings"] == 1
    assert found["seconds"] >= 0
    for edge, run_ in zip(GRAPH["edges"], found["edges"], strict=True):
        (source, out), (target, into) = edge["from"], edge["to"]
        x, y = found["nodes"][source]
        assert run_[0] == pytest.approx([x + 20, y + found["ports"][source][out]])
        x, y = found["nodes"][target]
        assert run_[-1] == pytest.approx([x, y + found["ports"][target][into]])
    assert sorted(path.name for path in tmp_path.iterdir()) == ["graph.json", "result.json"]


def test_free_ports_uncross(tmp_path: Path) -> None:
    result = tmp_path / "result.json"
    assert run([str(written(tmp_path, GRAPH)), str(result), "--ports", "free"]) == 0
    found = json.loads(result.read_text(encoding="utf-8"))
    assert found["crossings"] == 0
    assert sorted(found["ports"]["a"].values()) == [4.0, 12.0]


def test_result_is_replaced_whole(tmp_path: Path) -> None:
    result = tmp_path / "result.json"
    result.write_text("before", encoding="utf-8")
    assert run([str(written(tmp_path, {"nodes": [], "edges": []})), str(result)]) == 0
    assert json.loads(result.read_text(encoding="utf-8"))["edges"] == []


def test_same_bytes_whatever_the_hash_seed(tmp_path: Path) -> None:
    graph = written(tmp_path, GRAPH)
    texts = []
    for seed in ("0", "4711"):
        result = tmp_path / f"result{seed}.json"
        subprocess.run(
            [sys.executable, "-m", "slinediag.layout", str(graph), str(result)],
            check=True,
            env={**os.environ, "PYTHONHASHSEED": seed},
            cwd=Path(__file__).parents[2],
        )
        found = json.loads(result.read_text(encoding="utf-8"))
        found.pop("seconds")
        texts.append(json.dumps(found))
    assert texts[0] == texts[1]


def test_missing_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run([str(tmp_path / "none.json"), str(tmp_path / "result.json")]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert "none.json" in line
    assert not list(tmp_path.iterdir())


def test_missing_file_leaves_an_old_result(tmp_path: Path) -> None:
    result = tmp_path / "result.json"
    result.write_text("before", encoding="utf-8")
    assert run([str(tmp_path / "none.json"), str(result)]) == 2
    assert result.read_text(encoding="utf-8") == "before"


def test_unwritable_place(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    graph = written(tmp_path, GRAPH)
    assert run([str(graph), str(tmp_path / "no" / "such" / "result.json")]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert "result.json" in line


def test_an_unwritable_place_is_told_before_long_work(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("slinediag.layout.command.arrange", pytest.fail)
    graph = written(tmp_path, GRAPH)
    for name in ("no/result.json", "graph.json/result.json", "", "x" * 300, "x/" * 3000):
        assert run([str(graph), str(tmp_path / name)]) == 2
    assert sorted(path.name for path in tmp_path.iterdir()) == ["graph.json"]


@pytest.mark.skipif(os.name != "posix", reason="no pipes with a name")
def test_what_is_no_file_is_never_replaced(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    assert run([str(written(tmp_path, GRAPH)), str(pipe)]) == 2
    assert stat.S_ISFIFO(pipe.stat().st_mode)
    assert "pipe, socket or device" in capsys.readouterr().err


@pytest.mark.skipif(os.name != "posix", reason="no symbolic links for everybody")
def test_link_and_permissions_of_an_old_result_stay(tmp_path: Path) -> None:
    result, link = tmp_path / "result.json", tmp_path / "link.json"
    result.write_text("before", encoding="utf-8")
    result.chmod(0o640)
    link.symlink_to(result)
    assert run([str(written(tmp_path, GRAPH)), str(link)]) == 0
    assert link.is_symlink()
    assert json.loads(result.read_text(encoding="utf-8"))["crossings"] == 1
    assert stat.S_IMODE(result.stat().st_mode) == 0o640


@pytest.mark.parametrize("press_at", ["loading", "arrange", "read_graph"])
def test_stopped(press_at: str, tmp_path: Path) -> None:
    """Ctrl-C while it works or reads, and while it loads: one sentence, and nothing is left."""
    code = f"""
import signal, sys
press = lambda *given: signal.raise_signal(signal.SIGINT)
if {press_at!r} == "loading":
    class Presses:
        def find_spec(self, name, path=None, target=None):
            if name == "slinediag.layout.pipeline":
                press()
    sys.meta_path.insert(0, Presses())
else:
    import slinediag.layout.command as command
    setattr(command, {press_at!r}, press)
from slinediag.layout.__main__ import begin
sys.exit(begin())
"""
    graph = written(tmp_path, GRAPH)
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    try:
        done = subprocess.run(
            [sys.executable, "-c", code, str(graph), str(tmp_path / "result.json")],
            capture_output=True,
            text=True,
            check=False,
            cwd=Path(__file__).parents[2],
        )
    finally:
        signal.signal(signal.SIGINT, before)
    words = "slinediag: stopped; nothing half written is left behind\n"
    assert (done.returncode, done.stdout, done.stderr) == (130, "", words)
    assert [path.name for path in tmp_path.iterdir()] == ["graph.json"]


def test_a_graph_for_which_memory_does_not_do(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def arrange(*_: object) -> None:
        raise MemoryError

    monkeypatch.setattr("slinediag.layout.command.arrange", arrange)
    (line,) = refused(tmp_path, capsys, GRAPH)
    assert "graph.json: there is not enough memory" in line


def test_not_json(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (line,) = refused(tmp_path, capsys, '{"nodes": [,]}')
    assert "graph.json:1:12: not JSON" in line


@pytest.mark.parametrize("text", ["", "[]", "3", "null", '"x"', "[" * 100000, "\x00"])
def test_no_graph_at_all(tmp_path: Path, capsys: pytest.CaptureFixture[str], text: str) -> None:
    assert len(refused(tmp_path, capsys, text)) == 1


def test_not_utf8(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "graph.json"
    path.write_bytes(b'{"nodes": "\xff"}')
    assert run([str(path), str(tmp_path / "result.json")]) == 2
    assert "UTF-8" in capsys.readouterr().err


def test_a_byte_order_mark_is_read_over(tmp_path: Path) -> None:
    graph = tmp_path / "graph.json"
    graph.write_bytes(b"\xef\xbb\xbf" + json.dumps(GRAPH).encode())
    assert run([str(graph), str(tmp_path / "result.json")]) == 0


def changed(*steps: object, to: object) -> dict[str, Any]:
    """The good graph with one value changed; the last step is its key."""
    data = json.loads(json.dumps(GRAPH))
    place: Any = data
    for step in steps[:-1]:
        place = place[step]
    place[steps[-1]] = to
    return data


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (changed("edges", 0, "from", to=["c", "o1"]), ["edge 0, from", "'c'"]),
        (changed("edges", 1, "to", to=["b", "o1"]), ["edge 1, to", "'o1'", "i1, i2"]),
        (changed("edges", 0, "from", to=["b", "i1"]), ["edge 0, from", "'i1'"]),
        (changed("edges", 0, "to", to="b"), ["edges[0].to", "pair"]),
        (changed("nodes", 1, "id", to="a"), ["'a'", "2 times"]),
        (changed("nodes", 0, "outputs", 1, "id", to="o1"), ["'a'", "'o1'", "2 times"]),
        (changed("nodes", 0, "width", to=-1), ["'a'", "width", "-1"]),
        (changed("nodes", 0, "height", to=float("nan")), ["'a'", "height", "nan"]),
        (changed("nodes", 0, "width", to=float("inf")), ["'a'", "width", "inf"]),
        (changed("nodes", 0, "width", to=10**400), ["'a'", "width"]),
        (changed("nodes", 0, "width", to="20"), ["nodes[0].width", "not a number"]),
        (changed("nodes", 0, "width", to=True), ["nodes[0].width", "not a number"]),
        (changed("nodes", 0, "outputs", 0, "y", to=40), ["'o1'", "off the box"]),
        (changed("nodes", 0, "outputs", 0, "y", to=12), ["'o2'", "'o1'"]),
        (changed("nodes", 0, "outputs", to={}), ["nodes[0].outputs", "list"]),
        (changed("nodes", 0, to=7), ["nodes[0]", "object"]),
        (changed("nodes", 0, "id", to=None), ["nodes[0].id", "missing"]),
    ],
)
def test_bad_graph(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], data: object, words: list[str]
) -> None:
    lines = refused(tmp_path, capsys, data)
    assert any(all(word in line for word in words) for line in lines), lines


def test_every_problem_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    data = changed("edges", 0, "from", to=["c", "o1"])
    data["edges"][1]["to"] = ["b", "i9"]
    data["nodes"][0]["width"] = -2
    lines = refused(tmp_path, capsys, data)
    assert len(lines) == 3
    assert all("graph.json" in line for line in lines)


def test_one_id_on_both_sides(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    data = changed("nodes", 0, "inputs", to=[{"id": "o1", "y": 4}])
    (line,) = refused(tmp_path, capsys, data)
    assert "'o1'" in line


def test_a_key_given_twice(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (line,) = refused(tmp_path, capsys, '{"nodes": [], "edges": [], "nodes": []}')
    assert "nodes: is given twice" in line


def test_a_number_without_end(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (line,) = refused(tmp_path, capsys, '{"nodes": ' + "9" * 5000 + "}")
    assert "too many digits" in line


def test_the_graph_is_never_overwritten(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    graph = written(tmp_path, GRAPH)
    assert run([str(graph), str(graph)]) == 2
    assert "graph itself" in capsys.readouterr().err
    assert json.loads(graph.read_text(encoding="utf-8")) == GRAPH


def test_half_a_character_pair_as_an_id(tmp_path: Path) -> None:
    data = {
        "nodes": [{"id": "\ud800", "width": 1, "height": 1, "inputs": [], "outputs": []}],
        "edges": [],
    }
    result = tmp_path / "result.json"
    assert run([str(written(tmp_path, data)), str(result)]) == 0
    assert list(json.loads(result.read_text(encoding="utf-8"))["nodes"]) == ["\ud800"]


def test_bad_option(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as stop:
        run([str(written(tmp_path, GRAPH)), str(tmp_path / "r.json"), "--effort", "enormous"])
    assert stop.value.code == 2
    assert "--effort" in capsys.readouterr().err
