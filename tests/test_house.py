"""What README.md and DEVELOPERS.md say is so."""

from __future__ import annotations

import ast
import re
import shutil
import subprocess
import sys
import tomllib
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

import pytest

from camtools.cli import COMMANDS, EXIT_CODES
from camtools.output.cautions import CAUTIONS


@pytest.fixture(scope="module")
def readme(house: Path) -> str:
    return (house / "README.md").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def developers(house: Path) -> str:
    return (house / "DEVELOPERS.md").read_text(encoding="utf-8")


def _words(text: str) -> str:
    return " ".join(text.split())


def test_readme_begins_with_the_job_a_picture_and_two_commands(readme: str, house: Path) -> None:
    blocks = [block for block in readme.split("\n\n") if not block.startswith("#")]
    assert len(blocks[0].split()) > 60
    picture = re.fullmatch(r"!\[.{10,}\]\((.+)\)", blocks[1])
    assert picture
    assert (house / picture[1]).is_file()
    assert re.findall(r"^make \w+", blocks[2], re.MULTILINE) == ["make demo", "make test"]


def test_readme_bears_every_caution_in_full(readme: str) -> None:
    safety = _words(readme.split("\n## Safety\n")[1].split("\n## ")[0])
    told = re.findall(r"- \*\*(.+?)\.\*\* (.+?)(?= - \*\*|$)", safety)
    assert told == [(caution.topic, _words(caution.full)) for caution in CAUTIONS]


def test_readme_job_file_is_the_sample_and_about_ten_lines(readme: str, samples: Path) -> None:
    block = re.search(r"```toml\n(.+?)```", readme, re.DOTALL)
    assert block
    assert block[1] == (samples / "first-drawer.toml").read_text(encoding="utf-8")
    assert len(block[1].splitlines()) <= 11


def test_readme_tells_every_command_and_exit_code(readme: str) -> None:
    assert re.findall(r"^\| `camtools (\w+)", readme, re.MULTILINE) == list(COMMANDS)
    assert dict(re.findall(r"^\| (\d+) \| (.+) \|$", readme, re.MULTILINE)) == {str(code): text for code, text in EXIT_CODES.items()}


def test_make_has_the_targets_that_are_told_of(house: Path, readme: str, developers: str) -> None:
    told = set(re.findall(r"make (demo|test|lint|bench|clean)\b", readme + developers))
    targets = set(re.findall(r"^(\w+):", (house / "Makefile").read_text(encoding="utf-8"), re.MULTILINE))
    assert {"demo", "test", "lint", "bench"} <= told <= targets


def test_every_path_that_developers_are_sent_to_exists(house: Path, developers: str) -> None:
    before_adding, adding = developers.split("\n## Adding to it\n")
    after = adding.split("\n## Rules of the house\n")[1]
    paths = re.findall(r"`((?:camtools|tests|postprocessors|benchmarks|samples)/[^`]*)`", before_adding + after)
    assert len(paths) > 15
    assert [path for path in paths if not (house / path).exists()] == []


def test_street_is_told_as_the_linter_holds_it(house: Path, developers: str) -> None:
    told = re.findall(r"^\| `camtools/(\w+)/` \|", developers, re.MULTILINE)
    linter = tomllib.loads((house / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["importlinter"]
    layers = next(contract for contract in linter["contracts"] if contract["type"] == "layers")["layers"]
    packages = {path.parent.name for path in (house / "camtools").glob("*/__init__.py")}
    assert told == [layer for layer in reversed(layers) if layer in packages]
    assert set(told) == packages - {"verify"}


def _trees(house: Path) -> dict[Path, ast.Module]:
    return {path.relative_to(house): ast.parse(path.read_text(encoding="utf-8")) for path in sorted((house / "camtools").rglob("*.py"))}


def _twice(named: Iterable[tuple[str, Path]]) -> dict[str, list[str]]:
    places: dict[str, list[str]] = {}
    for name, path in named:
        places.setdefault(name, []).append(path.as_posix())
    return {name: found for name, found in places.items() if len(found) > 1}


def test_no_package_holds_more_than_sixteen_modules(house: Path) -> None:
    counts = Counter(path.parent.as_posix() for path in _trees(house))
    assert {package: count for package, count in counts.items() if count > 16} == {}


def test_no_module_and_no_class_has_the_name_of_another(house: Path) -> None:
    trees = _trees(house)
    assert _twice((path.name, path) for path in trees if path.name != "__init__.py") == {}
    assert _twice((node.name, path) for path, tree in trees.items() for node in ast.walk(tree) if isinstance(node, ast.ClassDef)) == {}


def test_no_function_takes_more_than_nine_arguments(house: Path) -> None:
    long = []
    for path, tree in _trees(house).items():
        for node in ast.walk(tree):
            if isinstance(node, ast.FunctionDef | ast.Lambda):
                names = [each.arg for each in (*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs)]
                if len([name for name in names if name not in ("self", "cls")]) > 9:
                    long.append(f"{path.as_posix()}:{node.lineno}")
    assert long == []


@dataclass(frozen=True, slots=True)
class Recipe:
    """A file to write, and lines to add to others: where, after which line, and what."""

    file: str
    content: str
    added: tuple[tuple[str, str, str], ...]


def _recipe(developers: str, heading: str) -> Recipe:
    section = developers.split(f"\n### {heading}\n")[1].split("\n### ")[0]
    written = re.search(r"Write `([^`]+)`:\n\n```\w+\n(.+?)```", section, re.DOTALL)
    added = tuple(re.findall(r"one line to `([^`]+)`, after `([^`]+)`:\n\n```\w+\n(.+?)```", section, re.DOTALL))
    assert written
    assert all(line.count("\n") == 1 for *_, line in added)
    return Recipe(written[1], written[2], added)


@pytest.fixture
def copy(house: Path, tmp_path: Path) -> Path:
    """Return a copy of all that runs, to be changed."""
    for folder in ("camtools", "postprocessors", "samples"):
        shutil.copytree(house / folder, tmp_path / folder, ignore=shutil.ignore_patterns("__pycache__"))
    return tmp_path


def _follow(recipe: Recipe, copy: Path) -> None:
    path = copy / recipe.file
    assert not path.exists()
    path.write_text(recipe.content, encoding="utf-8")
    for file, after, line in recipe.added:
        text = (copy / file).read_text(encoding="utf-8")
        assert text.count(f"{after}\n") == 1
        (copy / file).write_text(text.replace(f"{after}\n", f"{after}\n{line}"), encoding="utf-8")


def _run(copy: Path, code: str) -> str:
    """Run code that knows the copy alone."""
    run = subprocess.run([sys.executable, "-c", code], cwd=copy, capture_output=True, text=True, check=False, timeout=120)
    assert run.returncode == 0, run.stderr
    return run.stdout


PLAN = """
from dataclasses import replace
from camtools.drawer import drawers_of
from camtools.job import read_job
from camtools.toolpath.programs import programs_of
job, _ = read_job("samples/specimen-chest.toml")
"""


def test_a_layout_style_is_added_as_told(developers: str, copy: Path) -> None:
    _follow(_recipe(developers, "A layout style"), copy)
    sample = copy / "samples" / "specimen-chest.toml"
    text = sample.read_text(encoding="utf-8")
    sample.write_text(re.sub(r'^style = "\w+"', 'style = "framed"', text, flags=re.MULTILINE), encoding="utf-8")
    code = PLAN + (
        "drawers = drawers_of(job)\n"
        "for d in drawers: print(*(t.width_mm for t in d.left.piece.half_blind.tails))\n"
        "print(len(programs_of(job, drawers)))"
    )
    *rows, count = _run(copy, code).splitlines()
    tails = [[float(width) for width in row.split()] for row in rows]
    assert int(count) > 10
    wide = [row for row in tails if len(row) > 2]
    assert wide
    for row in wide:
        assert row[0] == pytest.approx(0.8 * row[1], abs=1e-5)
        assert row == row[::-1]


def test_a_joint_is_added_as_told(developers: str, copy: Path) -> None:
    code = PLAN + (
        "for p in programs_of(job, drawers_of(job)):\n"
        "    if p.setup.end == 'groove': print(p.stem.partition('-')[2], '|', p.title, '|', p.setup.piece.size_mm[1], '|',\n"
        "        *sorted({round(m.end[1], 3) for c in p.cuts for m in c.moves if m.end[2] < 0}))"
    )
    before = sorted(_run(copy, code).splitlines())
    _follow(_recipe(developers, "A joint"), copy)
    after = sorted(_run(copy, code).splitlines())
    assert len(after) == len(before)
    for old, new in zip(before, after, strict=True):
        stem, title, width, heights = (part.strip() for part in new.split("|"))
        if "side" in stem:
            assert "tray groove" in title
            middle = float(width) / 2 + 3.0  # the cutter of 6 mm runs along the near wall first
            assert min(abs(float(height) - middle) for height in heights.split()) < 0.6
        else:
            assert new == old


def test_a_dialect_is_added_as_told(developers: str, copy: Path) -> None:
    recipe = _recipe(developers, "A dialect")
    _follow(recipe, copy)
    sample = copy / "samples" / "specimen-chest.toml"
    section = developers.split("\n### A dialect\n")[1]
    line = re.search(r"```toml\n(postprocessor = .+?)\n```", section)
    assert line
    text = sample.read_text(encoding="utf-8").replace("[machine]\n", f"[machine]\n{line[1]}\n")
    sample.write_text(text, encoding="utf-8")
    code = PLAN + (
        "from camtools.output.dialects import dialect_of\n"
        "from camtools.output.rs274 import program_file\n"
        "program = programs_of(job, drawers_of(job))[0]\n"
        "file = program_file(program, dialect_of(job.machine.postprocessor), job); print(file.name); print(file.text)"
    )
    text = _run(copy, code)
    assert re.search(r"^programs/.+\.nc$", text, re.MULTILINE)
    assert "G20" in text
    assert not re.search(r"^[^(\n]*\b(G0?[23]|M0?6)\b", text, re.MULTILINE)
