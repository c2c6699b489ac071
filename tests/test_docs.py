"""What the documents and the comments cite is there, and says what it is cited for."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest

from camtools.drawer import drawers_of
from camtools.job import read_job
from camtools.output.cautions import safety_text
from camtools.toolpath.programs import programs_of

TEXT = {".py", ".md", ".toml", ".j2", ".js", ".css", ".csv", ""}
FOLDERS = ("camtools", "tests", "docs", "benchmarks", "samples", "postprocessors")
NAMED = re.compile(r"`([\w./-]+\.\w+)`(?: \|)? `([\w.]+)`")  # a file and a name in it
SECTIONS = re.compile(r"`?((?:[\w.-]+/)*[\w-]+\.md)`? sections? (\d+(?:(?:, | and | to )\d+)*)")


def _files(house: Path) -> Iterator[tuple[str, str]]:
    """Yield every text of the project by its path from the root."""
    roots = [house / folder for folder in FOLDERS]
    paths = [*house.glob("*.*"), house / "Makefile", house / ".ci" / "run", *(path for root in roots for path in root.rglob("*"))]
    for path in sorted(paths):
        if path.is_file() and path.suffix in TEXT and "__pycache__" not in path.parts:
            yield path.relative_to(house).as_posix(), path.read_text(encoding="utf-8", errors="replace")


@pytest.fixture(scope="module")
def texts(house: Path) -> dict[str, str]:
    found = dict(_files(house))
    assert len(found) > 300
    return found


def _to_be_written(texts: dict[str, str]) -> set[str]:
    """Return the files that DEVELOPERS.md tells a reader to write."""
    return set(re.findall(r"Write `([^`]+)`:", texts["DEVELOPERS.md"]))


def _there(house: Path, mention: str, every: set[str]) -> bool:
    """Tell whether a file is mentioned by its path from the root or from a folder above it, or by its name alone."""
    return (house / mention).exists() or any(path.endswith(f"/{mention}") for path in every)


def test_every_module_and_document_that_is_mentioned_is_there(texts: dict[str, str], house: Path) -> None:
    every = {path.relative_to(house).as_posix() for folder in FOLDERS for path in (house / folder).rglob("*.*")}
    written = _to_be_written(texts) | {"script.py"}  # which a test writes for itself
    missing = []
    for name, text in texts.items():
        for mention in re.findall(r"(?<![\w/.-])(?:[\w.-]+/)*\w[\w-]*\.(?:py|md)\b", text):
            if mention not in written and not _there(house, mention, every):
                missing.append((name, mention))
    assert missing == []


def test_every_path_into_the_project_is_there(texts: dict[str, str], house: Path) -> None:
    written = _to_be_written(texts)
    missing = []
    for name, text in texts.items():
        if not name.endswith(".md"):
            continue
        for mention in re.findall(rf"`((?:{'|'.join(FOLDERS)})/[^`<> ]*)`", text) + re.findall(r"\]\((?!#)([^)]+)\)", text):
            beside = (house / name).parent / mention
            if mention not in written and not (house / mention).exists() and not beside.exists():
                missing.append((name, mention))
    assert missing == []


def test_every_section_that_is_cited_is_there(texts: dict[str, str], house: Path) -> None:
    cited, missing = 0, []
    for name, text in texts.items():
        for document, numbers in SECTIONS.findall(re.sub(r"\s*\n[ #]*", " ", text)):
            headings = set(re.findall(r"^## (\d+)\. ", texts.get(document, ""), re.MULTILINE))
            first_last = re.fullmatch(r"(\d+) to (\d+)", numbers)
            wanted = range(int(first_last[1]), int(first_last[2]) + 1) if first_last else [int(n) for n in re.findall(r"\d+", numbers)]
            cited += 1
            missing += [(name, document, number) for number in wanted if str(number) not in headings]
    assert cited > 60
    assert missing == []


def test_nothing_cites_a_sheet_of_facts_that_is_not_in_the_project(texts: dict[str, str]) -> None:
    sheet = re.compile(r"\(facts: [a-z]|\bfacts o[fn]\b|\bthe facts\b|\b(?:facts|design|shared)/")
    citing = [(name, found[0]) for name, text in texts.items() if name != "tests/test_docs.py" for found in sheet.finditer(text)]
    assert citing == []


def _names_of(path: Path) -> set[str]:
    """Return what a module defines at its top, and the fields and methods of its classes."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    names: set[str] = set()

    def add(body: list[ast.stmt], before: str) -> None:
        for node in body:
            if isinstance(node, ast.FunctionDef | ast.ClassDef):
                names.add(before + node.name)
            targets = node.targets if isinstance(node, ast.Assign) else [node.target] if isinstance(node, ast.AnnAssign) else []
            names.update(before + target.id for target in targets if isinstance(target, ast.Name))
            if isinstance(node, ast.ClassDef):
                add(node.body, f"{node.name}.")

    add(tree.body, "")
    return names


def test_every_name_that_a_document_gives_stands_in_its_file(texts: dict[str, str], house: Path) -> None:
    pairs = [(name, *pair) for name, text in texts.items() if name.endswith(".md") for pair in NAMED.findall(text)]
    assert len(pairs) > 60
    assert [pair for pair in pairs if not (house / pair[1]).is_file() or pair[2] not in _names_of(house / pair[1])] == []


def _numbers(value: Any) -> list[float]:
    """Return every number of a constant, tables flattened."""
    if isinstance(value, tuple | list):
        return [number for part in value for number in _numbers(part)]
    return [float(value)] if isinstance(value, int | float) else []


def _constant(path: str, name: str) -> Any:
    return getattr(import_module(path.removesuffix(".py").replace("/", ".")), name)


def test_values_in_the_sources_are_those_of_the_code(texts: dict[str, str]) -> None:
    compared = 0
    for row in texts["docs/sources.md"].splitlines():
        cells = [cell.strip() for cell in row.strip("|").split(" | ")]
        if len(cells) != 4:
            continue
        told = {float(number) for number in re.findall(r"(?<![\w.(-])\d+(?:\.\d+)?", f"{cells[0]} {cells[1]}")}
        for path, name in NAMED.findall(cells[2]):
            value = _constant(path, name)
            if name.isupper() and name != "COMMON_BUSHES_MM":  # of which first and last are told
                assert set(_numbers(value)) <= told, row
                compared += bool(_numbers(value))
    assert compared > 40


@pytest.mark.parametrize("package", ["job", "drawer", "toolpath", "templates"])
def test_every_figure_of_the_trade_in_the_code_has_a_row_in_the_sources(package: str, texts: dict[str, str]) -> None:
    """Constants without a leading underscore whose name bears a unit; those with one are tolerances of their module."""
    told = {f"{path}:{name}" for path, name in NAMED.findall(texts["docs/sources.md"])}
    used = {
        f"{path}:{name}"
        for path, text in texts.items()
        if path.startswith(f"camtools/{package}/") and path.endswith(".py")
        for name in re.findall(r"^([A-Z][A-Z_]*_(?:MM|DEG|PERCENT|S|MM_MIN)) = ", text, re.MULTILINE)
    }
    assert used
    assert sorted(used - told) == []


def test_every_stage_of_the_work_is_held_against_something_outside(texts: dict[str, str]) -> None:
    table = texts["docs/sources.md"].split("\n| stage | ")[1]
    told = re.findall(r"^\| (\S[^|]*?) \| [^|]{20,} \| (?:`tests/[^`]+`(?:, )?)+ \|$", table, re.MULTILINE)
    stages = ["sizing", "movement", "layout", "joint geometry", "cutter offsets", "toolpath", "RS-274", "carving", "DXF", "feeds", "times"]
    assert [stage for stage in stages if stage not in told] == []


def test_pictures_of_the_joints_are_those_that_the_code_draws(house: Path, tmp_path: Path) -> None:
    code = "import sys, pathlib; from docs.joinery import pictures; " + (
        "[(pathlib.Path(sys.argv[1]) / name).write_bytes(content) for name, content in pictures().items()]"
    )
    run = subprocess.run([sys.executable, "-c", code, str(tmp_path)], cwd=house, capture_output=True, text=True, check=False, timeout=120)
    assert run.returncode == 0, run.stderr
    drawn = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    kept = {path.name: path.read_bytes() for path in (house / "docs").glob("joinery-*.svg")}
    assert drawn.keys() == kept.keys()
    assert [name for name in drawn if drawn[name] != kept[name]] == [], "draw them anew: python -m docs.joinery"


def _index(texts: dict[str, str]) -> dict[str, tuple[str, str]]:
    """Return what the index of DEVELOPERS.md says to edit, by what it changes."""
    section = texts["DEVELOPERS.md"].split("\n## To change one thing\n")[1].split("\n## ")[0]
    return {what: (path, name) for what, path, name in re.findall(r"^\| ([^|`]+?) \| `([^`]+)` \| `([^`]+)` \|$", section, re.MULTILINE)}


def test_the_index_has_one_file_and_one_name_for_each_change(texts: dict[str, str], house: Path) -> None:
    index = _index(texts)
    assert len(index) > 20
    assert [what for what, (path, name) in index.items() if name not in _names_of(house / path)] == []


def _tail_mm(job: Any) -> float:
    return drawers_of(job)[0].left.piece.half_blind.tails[0].width_mm


@pytest.mark.parametrize(
    ("what", "other", "seen"),
    [
        ("how wide a tail is sought, beside its pin", 3.0, _tail_mm),
        ("the room left above a drawer", 4.0, lambda job: drawers_of(job)[0].outside_mm[2]),
        ("a feed, where the job does not say", ((6.35, 0.03, 0.1), (12.7, 0.03, 0.1)), lambda job: job.cutters[1].feed_mm_min),
        ("the depth of a pass", ((0.0, 1.0), (25.0, 1.0)), lambda job: job.cutters[1].depth_per_pass_mm),
        ("how deep a groove is, where the job does not say", None, lambda job: job.drawers[0].groove.depth_mm),
        ("the order of the programs", lambda groups, *_: sorted(groups), lambda job: [p.stem for p in programs_of(job, drawers_of(job))]),
        ("a caution", (), lambda job: safety_text()),
    ],
)
def test_what_the_index_names_decides(
    what: str, other: Any, seen: Any, texts: dict[str, str], samples: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path, name = _index(texts)[what]
    module = import_module(path.removesuffix(".py").replace("/", "."))

    def read() -> Any:
        return seen(read_job(samples / "first-drawer.toml")[0])

    before = read()
    if other is None:
        kept = getattr(module, name)
        monkeypatch.setattr(module, name, lambda *given: replace(kept(*given), depth_mm=5.0))
    else:
        monkeypatch.setattr(module, name, other)
    assert read() != before
