"""Files that are no programs: a clear finding, quickly, and nothing raised."""

from __future__ import annotations

import os
import time
import tracemalloc
from pathlib import Path

import pytest

from camtools.verify.reader.interpreter import run
from camtools.verify.reader.program_file import LARGEST_BYTES, read_program


@pytest.mark.parametrize(
    ("content", "code", "line"),
    [
        (b"G21\nG0 \0 X1\n", "not-text", 2),
        (bytes(range(256)) * 50, "not-text", 1),
        (b"\x7fELF\x02\x01\x01\x00", "not-text", 1),
        (b"G21\r\nM30\x1a", "not-text", 2),
    ],
)
def test_binary_files_are_refused_where_they_cease_to_be_text(tmp_path: Path, content: bytes, code: str, line: int) -> None:
    path = tmp_path / "p.ngc"
    path.write_bytes(content)
    text, findings = read_program(path, "programs/p.ngc")
    assert text is None
    assert [(finding.code, finding.file, finding.line, finding.severity) for finding in findings] == [
        (code, "programs/p.ngc", line, "error")
    ]


def test_what_is_no_file_is_refused(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "loop").symlink_to(tmp_path / "loop")
    for path in (tmp_path, tmp_path / "missing", tmp_path / "pipe", tmp_path / "loop", tmp_path / ("a" * 5000), tmp_path / "a\0b"):
        text, findings = read_program(path, "p.ngc")
        assert text is None
        assert [finding.code for finding in findings] == ["file-unreadable"]


def test_a_hundred_megabytes_are_refused_without_reading_them(tmp_path: Path) -> None:
    path = tmp_path / "huge.ngc"
    with path.open("wb") as stream:
        stream.truncate(100 * 1024 * 1024)
    tracemalloc.start()
    begin = time.process_time()
    text, findings = read_program(path, "huge.ngc")
    seconds, (_, peak) = time.process_time() - begin, tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert text is None
    assert [finding.code for finding in findings] == ["file-too-large"]
    assert seconds < 1.0
    assert peak < 2 * LARGEST_BYTES


@pytest.mark.parametrize("ending", [b"\n", b"\r\n"])
def test_a_file_at_the_limit_passes(tmp_path: Path, ending: bytes) -> None:
    path = tmp_path / "p.ngc"
    path.write_bytes(b"G21" + ending + b"M30" + ending)
    size = path.stat().st_size
    assert read_program(path, "p.ngc", limit=size)[1] == ()
    assert read_program(path, "p.ngc", limit=size - 1)[1][0].code == "file-too-large"


@pytest.mark.parametrize(
    ("content", "expected"),
    [
        ("G21 (\N{LATIN SMALL LETTER U WITH DIAERESIS}ber)\nM30".encode(), [("comment-not-ascii", "warning", 1)]),
        ("G21 (\N{LATIN SMALL LETTER U WITH DIAERESIS}ber)\nM30".encode("latin-1"), [("comment-not-ascii", "warning", 1)]),
        ("\N{ZERO WIDTH NO-BREAK SPACE}G21\nM30".encode(), [("bad-character", "error", 1)]),
        ("G21\nG0 X\N{ARABIC-INDIC DIGIT ONE}\nM30".encode(), [("bad-character", "error", 2)]),
        ("G21\nM30".encode("utf-16-le"), [("not-text", "error", 1)]),
        (b"", [("program-empty", "error", 0)]),
        (b" \n\t\n", [("program-empty", "error", 0)]),
        (b"G21\nG0 X1 Y", [("number-missing", "error", 2), ("no-program-end", "error", 2)]),
    ],
)
def test_odd_text_is_told_where_it_stands(tmp_path: Path, content: bytes, expected: list[tuple[str, str, int]]) -> None:
    path = tmp_path / "p.ngc"
    path.write_bytes(content)
    text, findings = read_program(path, "p.ngc")
    found = findings if text is None else run(text, "p.ngc").findings
    assert [(finding.code, finding.severity, finding.line) for finding in found] == expected


def test_four_megabytes_of_one_kind_end_soon() -> None:
    """The lines that are dearest to match, as long or as many as they can be."""
    for part in ("1", "X1", "(", "[", "G1 X", " ", "((((\n", "X1 X1 "):
        begin = time.process_time()
        run(part * (LARGEST_BYTES // 4 // len(part)), "p.ngc")
        assert time.process_time() - begin < 10.0
