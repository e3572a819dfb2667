"""The table of rules: complete, named and explained, each with its tests, safe in what it says."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

import slinediag
from slinediag.checks import check
from slinediag.checks.meant import meant_by
from slinediag.checks.table import RULES, rule_named
from slinediag.problems import RequestError
from tests.checks.test_shields import CORD, two

HERE = Path(__file__).parent
PACKAGE = HERE.parent.parent / "slinediag"
TESTS = "\n".join(p.read_text(encoding="utf-8") for p in sorted(HERE.glob("test_*.py")))

NAMES = [rule.name for rule in RULES]


def test_names_are_unique_and_spelt_alike():
    assert len(set(NAMES)) == len(NAMES)
    assert all(re.fullmatch(r"[a-z]+(-[a-z]+)*", name) for name in NAMES)


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)
def test_every_rule_says_what_why_and_what_to_do(rule):
    assert 10 < len(rule.summary) < 90
    assert not rule.summary.endswith(".")
    assert len(rule.explanation) > 80
    assert rule.explanation.endswith(".")
    assert rule.basis
    assert rule.cure.endswith(".")


@pytest.mark.parametrize("name", NAMES)
def test_every_rule_has_a_test_that_fires_and_one_that_does_not(name):
    # The parametrised tests of phantom name theirs through variables as well.
    fired = re.search(rf'fires\(\s*"{name}"', TESTS) or re.search(rf'found\("{name}"', TESTS)
    assert fired or name == "one-leg"
    assert re.search(rf'quiet\(\s*"{name}"', TESTS)


def test_an_unknown_rule_names_the_nearest():
    with pytest.raises(RequestError, match="Did you mean shield-loop"):
        rule_named("shield-lop")


@pytest.mark.parametrize(
    ("name", "meant"),
    [
        ("level", ("level-mismatch",)),
        ("Shields", ("shield-loop", "cord-shield-loop", "shield-floats")),
        ("loop shield", ("shield-loop", "cord-shield-loop")),
        ("shield-lop", ("shield-loop",)),
        ("levle", ("level-mismatch",)),
        ("cord_age", ("cord-shield-loop", "cord-note", "cord-date", "cord-old")),
        ("polarity-reversed", ("polarity",)),
        ("one", ("one-leg",)),
        ("pin", ()),
        ("", ()),
        ("x" * 100_000, ()),
    ],
)
def test_a_name_means_rules_that_bear_its_words_or_are_spelled_nearly_so(name, meant):
    assert meant_by(name, NAMES) == meant


def test_what_names_no_rule_is_looked_for_in_what_rules_are_about():
    with pytest.raises(RequestError, match="Did you mean shield-loop or cord-shield-loop"):
        rule_named("ground")


@pytest.mark.parametrize("name", ["zzz", "", "\x1b[31m"])
def test_where_nothing_is_near_all_rules_are_named(name):
    with pytest.raises(RequestError) as refused:
        rule_named(name)
    assert all(rule in str(refused.value) for rule in NAMES)
    assert str(refused.value).isprintable()


EARTH = re.compile(r"\bearth\w*|\bground(?!\s+loop)\w*|\bchassis\b", re.IGNORECASE)
TAKE_AWAY = re.compile(
    r"\b(lift|cut|remov|disconnect|unbond|isolat|defeat|break|detach|take off|open|float|without)\w*",
    re.IGNORECASE,
)


REFUSAL = re.compile(r"never|stays|Nothing here asks for")


def sentences(text):
    return [part for part in re.split(r"(?<=[.;:])\s+|\n", text) if part]


def advises_lifting_earth(text):
    """Whether a sentence has both a word for earth and one for taking away, no refusal in it."""
    return any(
        EARTH.search(part) and TAKE_AWAY.search(part) and not REFUSAL.search(part)
        for part in sentences(text)
    )


def test_the_scan_finds_what_it_must():
    assert advises_lifting_earth("Lift the earth of the console.")
    assert advises_lifting_earth("Disconnect the protective earth at the plug.")
    assert not advises_lifting_earth("Protective earth stays on every unit, always.")
    assert not advises_lifting_earth("Open the ground loop in the audio shield.")


STATEMENTS = {
    # What is said of a state of things, not advised.
    "Sleeves of bay",
    "Bays whose sleeves",
    "sleeves of a bay that have no way to earth",
    "A shield that is joined to nothing",
    "Shields that end on a sleeve without a way to earth float, and so does the shield of every "
    "cord patched there.",
}


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)
def test_no_rule_advises_lifting_a_protective_earth(rule):
    for text in (rule.summary, rule.explanation, rule.cure):
        for sentence in sentences(text):
            if sentence not in STATEMENTS:
                assert not advises_lifting_earth(sentence), sentence


def test_rules_on_loops_say_that_protective_earth_stays():
    for name in ("shield-loop", "cord-shield-loop"):
        rule = rule_named(name)
        for text in (rule.cure, rule.explanation):
            assert "Protective earth stays on every unit, always" in text


def string_literals(path):
    """Every text of a module that a person may read, filled-in places shown as a word."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    docstrings = {
        ast.get_docstring(node, clean=False)
        for node in ast.walk(tree)
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef)
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            yield "".join(
                str(part.value) if isinstance(part, ast.Constant) else "SOMETHING"
                for part in node.values
            )
        elif (
            isinstance(node, ast.Constant)
            and isinstance(node.value, str)
            and node.value not in docstrings
        ):
            yield node.value


def texts():
    """Every text in the package, and all that comes with it, with the file it stands in."""
    for path in sorted(PACKAGE.rglob("*.py")):
        yield from ((path.name, text) for text in string_literals(path))
    root = PACKAGE.parent
    beside = [
        *(root / "resources").rglob("*"),
        *(root / "samples").glob("*.yaml"),
        root / "README.md",
    ]
    for path in sorted(beside):
        if path.suffix in (".toml", ".md", ".yaml", ".desktop"):
            yield path.name, path.read_text(encoding="utf-8")


def test_a_text_put_together_is_scanned_as_a_whole(tmp_path):
    module = tmp_path / "bad.py"
    module.write_text("def f(box):\n    return f'Lift the {box} off its earth.'\n")
    assert any(advises_lifting_earth(text) for text in string_literals(module))


def test_no_text_anywhere_advises_lifting_a_protective_earth():
    seen = 0
    files = set()
    for name, text in texts():
        files.add(name)
        for sentence in sentences(text):
            seen += 1
            if sentence not in STATEMENTS:
                assert not advises_lifting_earth(sentence), f"{name}: {sentence}"
    assert seen > 10_000
    assert {"shield_words.py", "cards.py", "abbreviations.toml", "README.md"} <= files


def test_no_finding_of_any_plant_here_advises_lifting_a_protective_earth():
    samples = PACKAGE.parent / "samples"
    plants = [slinediag.load(samples / name) for name in ("quillmoor.yaml", "larkfen.yaml")]
    plants.append(slinediag.load(HERE.parent / "tracing" / "small_plant.yaml"))
    plants += [
        two(practice, sleeves, CORD, keys, earthed=earthed)
        for practice in ("bay", "equipment", "both", "none")
        for sleeves in ("single", "rows", "all", "pairs", "switched")
        for keys in ("", "balanced: false")
        for earthed in ("true", "false")
    ]
    findings = [finding for facility in plants for finding in check(facility)]
    for finding in findings:
        for sentence in sentences(f"{finding.message} {finding.cure}"):
            assert not advises_lifting_earth(sentence), sentence
    assert {"shield-loop", "cord-shield-loop", "sleeves-float"} <= {f.rule for f in findings}
