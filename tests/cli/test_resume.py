"""`camtools resume`: whatever line a program stopped at, it goes on from the air, passes every rule and leaves the same board."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from manifold3d import Manifold

from camtools.cli import group
from camtools.cli.taking_up import NotTakenUp, take_up
from camtools.job import read_job
from camtools.output.dialects import dialect_of
from camtools.output.folder import write_packet
from camtools.output.sections import files_of, work_of
from camtools.verify.carving.carve import BoardWork, Carving, carve, solid_of
from camtools.verify.packet_files import read_packet
from camtools.verify.reader.interpreter import run as run_program
from camtools.verify.reader.motion import Motion

SAMPLES = Path(__file__).parent.parent.parent / "samples"


def run(*arguments: object) -> Result:
    return CliRunner().invoke(group, list(map(str, arguments)), catch_exceptions=False)


@pytest.fixture(scope="module", params=["millimetres", "inches-numbered"])
def packet(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("made")
    dialect = folder / "shop.toml"
    if request.param == "millimetres":
        dialect.write_text('about = "as it comes"\nunits = "mm"\n')
    else:
        keys = 'units = "inch"\nline_numbers = true\nlengths = "table"\nspindle = "hand"\ncomments = "semicolon"\nline_length = 70\n'
        dialect.write_text(f'about = "inches, numbered"\n{keys}header = ["M8"]\nfooter = ["M9"]\n')
    job = SAMPLES / "first-drawer.toml"
    assert run("packet", job, "-o", folder / "packet", "--no-pictures", "--post", dialect).exit_code == 0
    return folder / "packet"


def cut_programs(packet: Path, *kinds: str) -> list[str]:
    """Return the first program of each kind of work, as its name tells it."""
    names = sorted(path.name for path in (packet / "programs").glob("*.*"))
    return [next(name for name in names if kind in name) for kind in kinds]


def boards_left(packet: Path, file: str, done: tuple[Motion, ...], text: str) -> Manifold:
    """Carve a board by what was done before the stop and by what was taken up."""
    manifest = read_packet(packet).manifest
    assert manifest is not None
    entry = next(one for one in manifest.programs if one.file == file)
    board = next(one for one in manifest.boards if one.id == entry.board)
    fitted = entry.tools[0]
    motions = (*done, *run_program(text, file, fitted=fitted).motions)
    tools = {tool.number: tool for tool in manifest.tools}
    carved = carve(Carving(board.size, (BoardWork(file, entry.to_machine, motions),), tools, ()))
    return solid_of(carved)


@pytest.mark.parametrize(
    ("packet", "kind"),
    [*(("millimetres", kind) for kind in ("rear-end", "front-1-right-end", "back-1-right-end", "groove")), ("inches-numbered", "rear-end")],
    indirect=["packet"],
)
def test_from_every_line_it_passes_the_rules_and_leaves_the_same_board(packet: Path, kind: str) -> None:
    """Every line leads back to one of the entries that are tried here, last one first."""
    (name,) = cut_programs(packet, kind)
    file = f"programs/{name}"
    text = (packet / file).read_text()
    whole = run_program(text, file, fitted=read_packet(packet).manifest.programs[0].tools[0]).motions  # type: ignore[union-attr]
    as_it_was = boards_left(packet, file, (), text)
    line = len(text.splitlines())
    entries = 0
    while line > 0:
        taken = take_up(packet, name, line)  # every rule is judged in it
        done = tuple(motion for motion in whole if motion.line < taken.line)
        left = boards_left(packet, file, done, taken.text)
        differs = (left + as_it_was).volume() - (left ^ as_it_was).volume()
        assert differs < 0.01  # cubic mm
        entries += 1
        first = next(motion.line for motion in whole if motion.kind != "rapid")
        line = 0 if taken.line <= first else taken.line - 1
    assert entries >= (1 if kind == "groove" else 4)


def test_it_comes_down_as_far_from_the_wood_as_the_program_itself_does(packet: Path) -> None:
    """The front lies below Y0: the farther up, the farther off it."""
    (name,) = cut_programs(packet, "front-1-right-end")
    text = (packet / "programs" / name).read_text()
    fitted = read_packet(packet).manifest.programs[0].tools[0]  # type: ignore[union-attr]
    own_mm = next(motion.end[1] for motion in run_program(text, name, fitted=fitted).motions if motion.end[1] > 1.0)
    line, found = len(text.splitlines()), []
    for _ in range(3):
        taken = take_up(packet, name, line)
        found.append(taken.entry_mm[1])
        line = taken.line - 1
    assert min(found) >= own_mm - 1e-4


def test_it_does_not_do_again_what_lies_before_the_entry(packet: Path) -> None:
    (name,) = cut_programs(packet, "rear-end")
    last = len((packet / "programs" / name).read_text().splitlines())
    taken = take_up(packet, name, last)
    assert len(taken.text.splitlines()) < last - 20
    assert "M3 (" in taken.text or "switch the spindle on at 18000 rpm" in taken.text
    assert "M3 (" not in taken.dry_text
    assert max(map(len, taken.text.splitlines())) <= max(map(len, (packet / "programs" / name).read_text().splitlines()))


@pytest.mark.parametrize(("kind", "radius_mm"), [("rear-end", 6.35), ("back-1-right-end", 3.0)])
def test_it_goes_back_no_further_than_to_the_last_place_in_front_of_the_board(packet: Path, kind: str, radius_mm: float) -> None:
    """The job's cutters, and the board's face at Y -12 mm."""
    (name,) = cut_programs(packet, kind)
    text = (packet / "programs" / name).read_text()
    motions = run_program(text, name, fitted=1).motions
    last = len(text.splitlines())
    in_front = [motion.line for motion in motions if motion.kind != "rapid" and motion.start[1] <= -12.0 - radius_mm + 0.01]
    assert take_up(packet, name, last).line == in_front[-1]
    assert take_up(packet, name, in_front[-1] - 1).line < in_front[-1]


def test_both_files_are_written_and_told(packet: Path, tmp_path: Path) -> None:
    done = run("resume", packet, "1", "--line", 80, "-o", tmp_path / "again", "--json")
    assert done.exit_code == 0, done.output
    told = json.loads(done.stdout)
    assert sorted(told["files"]) == sorted(map(str, (tmp_path / "again").iterdir()))
    assert told["line"] <= 80


def test_where_the_cutter_comes_down_is_told_as_the_machine_shows_it(packet: Path, tmp_path: Path) -> None:
    done = run("resume", packet, "1", "--line", 80, "-o", tmp_path / "again")
    (text,) = (path.read_text() for path in (tmp_path / "again").iterdir() if "-dry" not in path.name)
    told = re.search(r"comes down in the air at X (\S+) (mm|in), Y (\S+) (mm|in), to Z (\S+) (mm|in)\.", " ".join(done.stderr.split()))
    assert told is not None, done.stderr
    x, x_unit, y, y_unit, _, z_unit = told.groups()
    assert {x_unit, y_unit, z_unit} == {"in" if "G20" in text else "mm"}
    entry = re.search(r"G0 X(\S+) Y(\S+)", text)
    assert entry is not None
    assert [float(x), float(y)] == pytest.approx([float(entry[1]), float(entry[2])], abs=0.006)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [(("99", 60), "is no program of this packet"), (("1", 0), "is not in the program"), (("1", 5000), "is not in the program")],
)
def test_what_is_not_there_is_refused(packet: Path, arguments: tuple[str, int], words: str) -> None:
    with pytest.raises(NotTakenUp, match=words):
        take_up(packet, *arguments)


def test_it_writes_nothing_into_the_packet(packet: Path) -> None:
    refused = run("resume", packet, "1", "--line", 60, "-o", packet / "again")
    assert refused.exit_code == 4
    assert not (packet / "again").exists()


def test_a_program_that_fails_the_check_is_not_taken_up(packet: Path, tmp_path: Path) -> None:
    (name,) = cut_programs(packet, "rear-end")
    spoiled = tmp_path / "packet"
    import shutil

    shutil.copytree(packet, spoiled)
    path = spoiled / "programs" / name
    path.write_text(path.read_text().replace("M3 (spindle on)", "M4 (spindle on)").replace("on at 18000 rpm", "on at 98000 rpm"))
    with pytest.raises(NotTakenUp, match=r"right-handed|the machine turns"):
        take_up(spoiled, name, 60)


@pytest.fixture(scope="module")
def stacked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A packet whose texts run two boards at once, some of them stacks."""
    folder = tmp_path_factory.mktemp("pairs")
    machine = "[machine]\ntravel = [750, 450, 95]\nupright_stops = [180, 570]\nupright_plate = 60\nflat_stops = [20, 730]\n"
    job = (SAMPLES / "first-drawer.toml").read_text() + "count = 2\n" + machine + "flat_fence = 130\nstack = 40\n"
    (folder / "job.toml").write_text(job)
    read, _ = read_job(folder / "job.toml")
    return write_packet(folder / "packet", files_of(work_of(read, dialect_of("mm")), without=("pictures", "templates", "drawings", "page")))


def round_of(packet: Path, *words: str) -> tuple[str, list[str]]:
    path = next(path for path in sorted((packet / "rounds").glob("*.ngc")) if all(word in path.name for word in words))
    return f"rounds/{path.name}", path.read_text().splitlines()


def test_a_text_for_two_boards_goes_on_with_the_one_that_was_cut_and_tells_of_the_other(stacked: Path) -> None:
    file, lines = round_of(stacked, "pair-left-right-side-1-front")
    parts = [at for at, line in enumerate(lines, 1) if line.endswith("(down to clearance)")]
    for place, begin in enumerate(parts):
        end = [*parts, len(lines)][place + 1]
        stop = next(at for at in range(end - 8, begin, -1) if lines[at - 1].startswith("G1 "))
        taken = take_up(stacked, file, stop)
        own = ("left-side-1-front", "right-side-1-front")
        assert own[place] in taken.file
        assert len(taken.done) == place
        assert [name for name in taken.left if name.startswith("programs/")] == [
            f"programs/{path.name}" for path in (stacked / "programs").glob("*.ngc") if place == 0 and own[1] in path.name
        ]
        assert (stacked / taken.file).read_text().splitlines()[taken.line - 1] in lines[begin:stop]


def test_a_round_tells_how_often_each_program_was_run_before_the_stop(stacked: Path) -> None:
    file, lines = round_of(stacked, "round-1")
    changes = [at for at, line in enumerate(lines, 1) if line.startswith("M0 (change boards")]
    stop = next(at for at in range(len(lines) - 12, changes[-1], -1) if lines[at - 1].startswith("G1 "))
    done = take_up(stacked, file, stop)
    told = run("resume", stacked, file, "--line", stop, "-o", stacked.parent / "again")
    assert told.exit_code == 0
    assert "Done before the stop" in told.output
    assert len(done.done) >= len(changes)
    assert done.left == ()


def test_a_stack_and_a_board_not_begun_are_refused_with_what_to_run(stacked: Path) -> None:
    file, lines = round_of(stacked, "rear-x2")
    with pytest.raises(NotTakenUp, match="stack of 2 boards") as refused:
        take_up(stacked, file, len(lines) // 2)
    assert f"run {file} from its start" in str(refused.value.faults[0].remedy)
    file, lines = round_of(stacked, "pair-left-right-side-1-front")
    with pytest.raises(NotTakenUp, match="not begun") as refused:
        take_up(stacked, file, 5)
    assert f"run {file} from its start" in str(refused.value.faults[0].remedy)
    with pytest.raises(NotTakenUp, match="is not in the program"):
        take_up(stacked, file, len(lines) + 1)
