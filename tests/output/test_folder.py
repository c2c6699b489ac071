"""The packet's folder: it appears whole or not at all, and nothing but an older packet ever gives way to it."""

import errno
import hashlib
import itertools
import os
import re
import subprocess
import sys
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path

import pytest

from camtools.faults import Fault, PacketFault
from camtools.output import folder as folder_module
from camtools.output.folder import CONTENTS, write_packet
from camtools.output.manifest import Manifest
from camtools.output.manifest_of import json_bytes

MANIFEST = json_bytes(
    Manifest(manifest=1, job="Chest", generator="camtools 0.1.0", units="mm", tools=[], drawers=[], boards=[], programs=[])
)
FILES = {"manifest.json": MANIFEST, "programs/front-1.ngc": b"M30\n", "programs/dry/front-1-dry.ngc": b"M30\n", "cutlist.csv": b"part\r\n"}


def held(folder: Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def alone(folder: Path) -> bool:
    """Tell whether nothing was left beside the packet."""
    return [path.name for path in folder.parent.iterdir()] == [folder.name]


def test_a_packet_holds_just_its_files_and_a_list_of_them(tmp_path: Path) -> None:
    target = write_packet(tmp_path / "chest", FILES)
    assert target == tmp_path / "chest"
    files = held(target)
    listed = files.pop(CONTENTS).decode()
    assert files == FILES
    assert listed == "".join(f"{hashlib.sha256(FILES[name]).hexdigest()}  {name}\n" for name in sorted(FILES))
    assert alone(target)


def test_the_list_is_read_by_the_usual_tool(tmp_path: Path) -> None:
    """GNU coreutils, `sha256sum --check`."""
    target = write_packet(tmp_path / "chest", FILES)
    try:
        done = subprocess.run(["sha256sum", "--check", "--strict", CONTENTS], cwd=target, capture_output=True, check=False)
    except FileNotFoundError:
        pytest.skip("no sha256sum on this system")
    assert done.returncode == 0, done.stderr


def test_the_same_files_make_the_same_folder(tmp_path: Path) -> None:
    assert held(write_packet(tmp_path / "a", FILES)) == held(write_packet(tmp_path / "b", dict(reversed(FILES.items()))))


def test_others_may_read_it_as_they_may_read_any_new_folder(tmp_path: Path) -> None:
    plain = tmp_path / "plain"
    plain.mkdir()
    assert write_packet(tmp_path / "chest", FILES).stat().st_mode == plain.stat().st_mode


def test_an_older_packet_gives_way(tmp_path: Path) -> None:
    write_packet(tmp_path / "chest", {**FILES, "programs/old.ngc": b"M30\n"})
    target = write_packet(tmp_path / "chest", FILES)
    assert held(target).keys() == {*FILES, CONTENTS}
    assert alone(target)


def test_an_empty_folder_is_filled(tmp_path: Path) -> None:
    (tmp_path / "chest").mkdir()
    assert held(write_packet(tmp_path / "chest", FILES)).keys() == {*FILES, CONTENTS}


def test_what_can_be_made_anew_from_a_packet_does_not_stop_its_replacement(tmp_path: Path) -> None:
    target = write_packet(tmp_path / "chest", FILES)
    for name in ("index.html", "check.json", ".DS_Store"):
        (target / name).write_text("x")
    write_packet(tmp_path / "chest", FILES)
    assert held(target).keys() == {*FILES, CONTENTS}


def stranger_file(target: Path) -> None:
    target.write_text("mine")


def stranger_folder(target: Path) -> None:
    target.mkdir()
    (target / "photo.jpg").write_text("mine")


def folder_of_empty_folders(target: Path) -> None:
    (target / "to sort").mkdir(parents=True)


def other_manifest(target: Path) -> None:
    target.mkdir()
    (target / "manifest.json").write_text('{"manifest": 1, "job": "of something else"}')


def foreign_generator(target: Path) -> None:
    target.mkdir()
    (target / "manifest.json").write_bytes(MANIFEST.replace(b"camtools 0.1.0", b"another 1.0"))


def manifest_is_a_link(target: Path) -> None:
    write_packet(target.parent / "real", FILES)
    target.mkdir()
    (target / "manifest.json").symlink_to(target.parent / "real" / "manifest.json")


def link_to_packet(target: Path) -> None:
    target.symlink_to(write_packet(target.parent / "real", FILES))


def link_to_nowhere(target: Path) -> None:
    target.symlink_to(target.parent / "nowhere")


def packet_with_notes(target: Path) -> None:
    write_packet(target, FILES)
    (target / "notes.txt").write_text("mine")


def packet_with_a_link(target: Path) -> None:
    (target.parent / "photos").mkdir()
    write_packet(target, FILES)
    (target / "photos").symlink_to(target.parent / "photos")


def packet_edited_by_hand(target: Path) -> None:
    write_packet(target, FILES)
    (target / "programs" / "front-1.ngc").write_text("G4 P1\nM30\n")


def packet_with_a_program_turned_link(target: Path) -> None:
    write_packet(target, FILES)
    program = target / "programs" / "front-1.ngc"
    program.unlink()
    program.symlink_to(target.parent / "elsewhere.ngc")


def packet_without_its_list(target: Path) -> None:
    write_packet(target, FILES)
    (target / CONTENTS).unlink()


@pytest.mark.parametrize(
    ("prepare", "told"),
    [
        (stranger_file, "is not a folder"),
        (stranger_folder, "is not a packet that camtools wrote"),
        (folder_of_empty_folders, "is not a packet that camtools wrote"),
        (other_manifest, "is not a packet that camtools wrote"),
        (foreign_generator, "is not a packet that camtools wrote"),
        (manifest_is_a_link, "is not a packet that camtools wrote"),
        (link_to_packet, "is a link"),
        (link_to_nowhere, "is a link"),
        (packet_with_notes, "holds files that camtools did not write; found notes.txt"),
        (packet_with_a_link, "holds files that camtools did not write; found photos"),
        (packet_edited_by_hand, "holds programs that were changed by hand; found programs/front-1.ngc"),
        (packet_with_a_program_turned_link, "holds programs that were changed by hand"),
        (packet_without_its_list, "holds files that camtools did not write"),
    ],
)
def test_nothing_else_is_ever_overwritten(tmp_path: Path, prepare: Callable[[Path], None], told: str) -> None:
    target = tmp_path / "chest"
    prepare(target)
    before = sorted((path.relative_to(tmp_path), path.lstat().st_ino) for path in tmp_path.rglob("*"))
    with pytest.raises(PacketFault, match=re.escape(told)):
        write_packet(target, FILES)
    assert sorted((path.relative_to(tmp_path), path.lstat().st_ino) for path in tmp_path.rglob("*")) == before


def test_a_folder_changed_while_the_packet_is_made_is_noticed(tmp_path: Path) -> None:
    target = write_packet(tmp_path / "chest", FILES)

    def meddle(_: Path) -> list[Mapping[str, bytes]]:
        (target / "notes.txt").write_text("mine")
        return []

    with pytest.raises(PacketFault, match=r"notes\.txt"):
        write_packet(target, FILES, meddle)
    assert (target / "notes.txt").read_text() == "mine"
    assert alone(target)


def test_a_stranger_is_refused_before_the_long_work_of_the_check(tmp_path: Path) -> None:
    stranger_folder(tmp_path / "chest")
    asked: list[Path] = []

    def check(folder: Path) -> list[Mapping[str, bytes]]:
        asked.append(folder)
        return []

    with pytest.raises(PacketFault, match="is not a packet"):
        write_packet(tmp_path / "chest", FILES, check)
    assert asked == []


def test_a_check_sees_the_whole_packet_before_it_has_its_name_and_adds_its_report(tmp_path: Path) -> None:
    seen: dict[str, bytes] = {}

    def check(folder: Path) -> Iterator[Mapping[str, bytes]]:
        assert not (tmp_path / "chest").exists()
        seen.update(held(folder))
        yield {"check.json": b"{}\n"}
        assert (folder / "check.json").exists()
        yield {"index.html": b"page"}

    target = write_packet(tmp_path / "chest", FILES, check)
    assert seen == {**FILES, CONTENTS: seen[CONTENTS]}
    assert held(target).items() >= {"check.json": b"{}\n", "index.html": b"page"}.items()
    assert {"check.json", "index.html"} <= {line.split()[1] for line in (target / CONTENTS).read_text().splitlines()}


def refuse(_: Path) -> list[Mapping[str, bytes]]:
    raise PacketFault(Fault("programs/front-1.ngc:3", "rapid in wood"))


def interrupt(_: Path) -> list[Mapping[str, bytes]]:
    raise KeyboardInterrupt


def replace_a_program(_: Path) -> list[Mapping[str, bytes]]:
    return [{"programs/front-1.ngc": b""}]


@pytest.mark.parametrize(("check", "error"), [(refuse, PacketFault), (interrupt, KeyboardInterrupt), (replace_a_program, PacketFault)])
@pytest.mark.parametrize("older", [True, False])
def test_a_packet_that_is_refused_or_interrupted_leaves_all_as_it_was(
    tmp_path: Path, check: Callable[[Path], list[Mapping[str, bytes]]], error: type[BaseException], older: bool
) -> None:
    target = tmp_path / "chest"
    if older:
        write_packet(target, FILES)
    before = held(tmp_path)
    with pytest.raises(error):
        write_packet(target, {**FILES, "extra.txt": b"new"}, check)
    assert held(tmp_path) == before
    assert target.exists() == older


LAST_STEP = 12  # of replacing a packet by FILES and one more; the next test counts them


@pytest.mark.parametrize("step", range(1, LAST_STEP + 2))
def test_a_full_disk_at_any_moment_leaves_all_as_it_was(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: int) -> None:
    """Every write and every rename may be the one that fails."""
    target = write_packet(tmp_path / "chest", FILES)
    before = held(tmp_path)
    calls = itertools.count(1)  # from several threads
    sync, rename = os.fsync, Path.rename

    def count() -> None:
        if next(calls) == step:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    def failing_sync(handle: int) -> None:
        count()
        sync(handle)

    def failing_rename(self: Path, other: Path) -> Path:
        if ".old-" not in self.name:  # putting the old one back is not what fails here
            count()
        return rename(self, other)

    monkeypatch.setattr(os, "fsync", failing_sync)
    monkeypatch.setattr(Path, "rename", failing_rename)
    new = {**FILES, "extra.txt": b"new"}
    told = ""
    try:
        write_packet(target, new)
    except PacketFault as error:
        told = str(error)
    monkeypatch.undo()
    if step < LAST_STEP:
        assert "No space left" in told
        assert "free some space" in told
        assert held(tmp_path) == before
    else:  # the packet has its name by then
        assert not told
        assert held(target).keys() == {*new, CONTENTS}
    assert alone(target)


def test_an_older_packet_that_can_not_be_put_back_is_told_of_with_its_place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = write_packet(tmp_path / "chest", FILES)
    rename = Path.rename

    def failing_rename(self: Path, other: Path) -> Path:
        if self != target:
            raise OSError(errno.EIO, os.strerror(errno.EIO))
        return rename(self, other)

    monkeypatch.setattr(Path, "rename", failing_rename)
    with pytest.raises(PacketFault, match="the older packet is there") as caught:
        write_packet(target, FILES)
    assert held(Path(caught.value.faults[0].value)).keys() == {*FILES, CONTENTS}


def test_the_steps_above_reach_the_last_rename(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The test before would prove nothing if its failures came after the work was done."""
    order: list[str] = []
    sync, rename = os.fsync, Path.rename
    monkeypatch.setattr(os, "fsync", lambda handle: (order.append("sync"), sync(handle))[1])
    monkeypatch.setattr(Path, "rename", lambda self, other: (order.append("rename"), rename(self, other))[1])
    write_packet(tmp_path / "chest", FILES)
    order.clear()
    write_packet(tmp_path / "chest", {**FILES, "extra.txt": b"new"})
    assert order[-3:] == ["rename", "rename", "sync"]
    assert len(order) == LAST_STEP


def test_a_folder_that_may_not_be_written_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse_all(self: Path, *_: object, **__: object) -> None:
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))

    monkeypatch.setattr(Path, "mkdir", refuse_all)
    with pytest.raises(PacketFault, match="Permission denied; choose a folder you may write to"):
        write_packet(tmp_path / "chest", FILES)


def test_the_folder_it_stands_in_must_exist(tmp_path: Path) -> None:
    with pytest.raises(PacketFault, match="make that folder first"):
        write_packet(tmp_path / "none" / "chest", FILES)


def test_the_root_of_the_disk_is_no_place(tmp_path: Path) -> None:
    with pytest.raises(PacketFault, match="no place for a packet"):
        write_packet(Path(tmp_path.anchor), FILES)


def test_a_link_on_the_way_is_followed_once_and_the_true_place_told(tmp_path: Path) -> None:
    (tmp_path / "shop").mkdir()
    (tmp_path / "link").symlink_to(tmp_path / "shop")
    assert write_packet(tmp_path / "link" / "chest", FILES) == tmp_path / "shop" / "chest"


@pytest.mark.parametrize(
    "name",
    [
        "../x.ngc", "/etc/x", "programs/../x", "a//b", "", ".", "a/.", ".hidden", "programs/", "A.ngc", "a b", "x\\y", "x:y", "con.ngc",
        "programs/nul", "é.ngc", "a\n", "a\0b", "a" * 121, "programs", CONTENTS, "x.", "programs/lpt1.txt",
    ],
)  # fmt: skip
def test_only_plain_names_are_written(tmp_path: Path, name: str) -> None:
    with pytest.raises(PacketFault, match=r"has no safe name|name of something else"):
        write_packet(tmp_path / "chest", {**FILES, name: b""})
    assert list(tmp_path.iterdir()) == []


def test_a_trap_laid_at_the_name_of_the_new_folder_is_not_followed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Someone who guessed the name could put a link there; the work stops instead."""
    monkeypatch.setattr(folder_module.secrets, "token_hex", lambda _: "guessed")
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / ".chest.new-guessed").symlink_to(tmp_path / "elsewhere")
    with pytest.raises(PacketFault, match="File exists"):
        write_packet(tmp_path / "chest", FILES)
    assert list((tmp_path / "elsewhere").iterdir()) == []


KILLED = """
import os, sys, time
from pathlib import Path
from camtools.output.folder import write_packet
from tests.output.test_folder import FILES

def check(folder):
    print(folder.name, flush=True)
    if sys.argv[2] == "killed":
        os.kill(os.getpid(), 9)
    sys.stdin.read()
    return []

write_packet(Path(sys.argv[1]), FILES, check)
"""


def run_of(target: Path, house: Path, *, killed: bool) -> tuple[subprocess.Popen[str], Path]:
    """Start a run in another process, and return it with the folder that it writes, once that is filled and looks long made."""
    run = subprocess.Popen(
        [sys.executable, "-c", KILLED, str(target), "killed" if killed else "at work"],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, cwd=house,
    )  # fmt: skip
    assert run.stdout is not None
    fresh = target.with_name(run.stdout.readline().strip())
    if killed:
        run.communicate()
        assert run.returncode == -9
    os.utime(fresh, (0, 0))
    return run, fresh


@pytest.mark.skipif(sys.platform == "win32", reason="folders can not be locked there")
def test_what_a_killed_run_left_is_taken_away_by_the_next(tmp_path: Path, house: Path) -> None:
    _, left = run_of(tmp_path / "chest", house, killed=True)
    assert (left / CONTENTS).exists()
    other = tmp_path / left.name.replace("chest", "cabinet")  # of another packet
    other.mkdir()
    os.utime(other, (0, 0))
    write_packet(tmp_path / "chest", FILES)
    assert sorted(path.name for path in tmp_path.iterdir()) == sorted(["chest", other.name])


@pytest.mark.skipif(sys.platform == "win32", reason="folders can not be locked there")
def test_what_a_run_is_still_at_is_left_alone(tmp_path: Path, house: Path) -> None:
    run, fresh = run_of(tmp_path / "chest", house, killed=False)
    write_packet(tmp_path / "chest", FILES)
    assert held(fresh).keys() == {*FILES, CONTENTS}
    run.communicate("")
    assert run.returncode == 0
    assert alone(tmp_path / "chest")


@pytest.mark.parametrize("spoil", ["a file of one's own", "just made", "a link", "another name"])
def test_what_may_be_somebody_elses_is_left_alone(tmp_path: Path, house: Path, spoil: str) -> None:
    _, left = run_of(tmp_path / "chest", house, killed=True)
    if spoil == "a file of one's own":
        (left / "notes.txt").write_text("mine")
    elif spoil == "another name":
        left = left.rename(left.with_name(".chest.new-holiday1"))
    elif spoil == "a link":
        whole = left.rename(tmp_path / "elsewhere")
        left.symlink_to(whole)
        left = whole
    before = held(left)
    os.utime(left, None if spoil == "just made" else (0, 0))
    write_packet(tmp_path / "chest", FILES)
    assert held(left) == before
