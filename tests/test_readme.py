"""README and CI keep their word: the same commands, and examples that answer as printed."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from slinediag.cli.main import main

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
SHELL = re.findall(r"```sh\n(.*?)```", README, re.DOTALL)
YAML = re.findall(r"```yaml\n(.*?)```", README, re.DOTALL)
FIRST = re.search(r"open `((.*)\.svg)` in any browser", README)


def test_ci_runs_the_test_command_of_the_readme():
    (block,) = [block for block in SHELL if "pytest" in block]
    ci = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    packages, setup = block.strip().splitlines()
    assert set(packages.split("--no-install-recommends ")[1].split()) <= set(ci.split())
    for command in setup.split(" && "):
        assert command in ci


def commands():
    """Every slinediag command of the README as its arguments, comments left out."""
    for block in SHELL:
        for part in re.split(r"&&|\n", block.replace("&&\n", "\n")):
            words = shlex.split(part, comments=True)
            if words and words[0].endswith("slinediag"):
                yield words[1:]


@pytest.mark.parametrize("arguments", list(commands()), ids=" ".join)
def test_every_command_of_the_readme_works(arguments, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "samples").symlink_to(ROOT / "samples")
    (tmp_path / "my-room.yaml").write_text(YAML[0], encoding="utf-8")
    quick = ["--effort", "quick"] if arguments[0] == "draw" else []
    assert main([*arguments, *quick]) in (0, 1)
    assert capsys.readouterr().out
    if FIRST and arguments == ["draw", f"samples/{FIRST[2]}.yaml"]:
        assert (tmp_path / FIRST[1]).is_file()


def test_the_chart_to_open_is_one_that_is_drawn():
    assert FIRST
    assert ["draw", f"samples/{FIRST[2]}.yaml"] in list(commands())


def test_the_answer_is_as_printed(monkeypatch, capsys):
    monkeypatch.chdir(ROOT)
    main(["ask", "samples/quillmoor.yaml", "--cord", "DISC 1 L=LINK L"])
    assert f"```\n{capsys.readouterr().out}```" in README


def test_links_lead_somewhere():
    for target in re.findall(r"\]\(([^)#:]+)\)", README):
        assert (ROOT / target).is_file(), target
