"""The command line as scripts and shells meet it."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable

import click
import pytest
from click.shell_completion import BashComplete
from click.testing import CliRunner

import camtools.cli
from camtools import __version__
from camtools.cli import COMMANDS, EXIT_CODES, group, show
from camtools.faults import CannotCut, Fault, JobFault, PacketFault

HEAVY = ("ezdxf", "jinja2", "manifold3d", "matplotlib", "numpy", "plotly", "pydantic", "rich", "shapely")


def _python(*arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, *arguments], capture_output=True, text=True, check=False, timeout=60)


@pytest.fixture
def run_with(monkeypatch: pytest.MonkeyPatch) -> Callable[..., object]:
    """Return a function that runs `camtools plan` with its body replaced."""

    def run(body: Callable[[], None], *arguments: str) -> object:
        @click.command
        @show.json_option
        def command(as_json: bool) -> None:
            body()

        monkeypatch.setattr("camtools.cli.import_module", lambda name: type("Module", (), {"command": command}))
        return CliRunner().invoke(group, ["plan", *arguments])

    return run


def _raise(error: BaseException) -> Callable[[], None]:
    def body() -> None:
        raise error

    return body


@pytest.mark.parametrize("arguments", [("--help",), ("--version",), ("no-such-command",)])
def test_help_loads_nothing_heavy(arguments: tuple[str, ...]) -> None:
    code = (
        f"import sys\nfrom camtools.cli import group\n"
        f"group({list(arguments)!r}, standalone_mode=False) if {arguments[0][0] == '-'} else group.get_command(None, 'plan')\n"
        f"print([name for name in {HEAVY!r} if name in sys.modules])"
    )
    run = _python("-c", code)
    assert run.returncode == 0, run.stderr
    assert run.stdout.splitlines()[-1] == "[]"


def test_help_names_every_command_in_the_order_of_work() -> None:
    lines = CliRunner().invoke(group, ["--help"]).stdout.splitlines()
    listed = [line.split()[0] for line in lines[lines.index("Commands:") + 1 :] if line.startswith("  ") and line.split()[0] in COMMANDS]
    assert listed == list(COMMANDS)


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_exists_and_helps_in_80_columns(name: str) -> None:
    result = CliRunner().invoke(group, [name, "--help"])
    assert result.exit_code == 0, result.output
    assert result.stdout.startswith(f"Usage: camtools {name} ")
    assert max(len(line) for line in result.stdout.splitlines()) <= 80


def test_module_and_version_run_as_the_script_does() -> None:
    run = _python("-m", "camtools", "--version")
    assert (run.returncode, run.stdout.strip()) == (0, f"camtools, version {__version__}")


def test_completion_offers_commands_with_their_help() -> None:
    offered = BashComplete(group, {}, "camtools", "_CAMTOOLS_COMPLETE").get_completions([], "p")
    assert [(item.value, item.help) for item in offered] == [(name, COMMANDS[name][1]) for name in COMMANDS if name.startswith("p")]


def test_completion_offers_options_of_a_command_that_is_loaded_late() -> None:
    offered = BashComplete(group, {}, "camtools", "_CAMTOOLS_COMPLETE").get_completions(["plan"], "--")
    assert "--json" in [item.value for item in offered]


def test_completion_script_is_printed_for_bash() -> None:
    run = subprocess.run(
        [sys.executable, "-m", "camtools"],
        env={**os.environ, "_CAMTOOLS_COMPLETE": "zsh_source"},
        capture_output=True, text=True, check=False, timeout=60,
    )  # fmt: skip
    assert "#compdef camtools" in run.stdout


def test_unknown_command_is_told_the_nearest() -> None:
    result = CliRunner().invoke(group, ["chekc"])
    assert result.exit_code == 2
    assert "chekc" in result.stderr


@pytest.mark.parametrize("kind", [JobFault, CannotCut, PacketFault])
def test_faults_are_told_without_a_traceback_under_their_exit_code(kind: type[JobFault], run_with) -> None:
    result = run_with(_raise(kind(Fault("a.toml: lap", "is too thin", "1 mm", "at least 2.4 mm", "use 4 mm"))))
    assert result.exit_code == kind.exit_code
    assert result.exit_code in EXIT_CODES
    assert result.stdout == ""
    assert "Traceback" not in result.stderr
    for word in (kind.heading, "a.toml: lap", "is too thin", "1 mm", "at least 2.4 mm", "use 4 mm"):
        assert word in result.stderr


def test_faults_are_data_too_when_json_is_asked_for(run_with) -> None:
    fault = Fault("a.toml: lap", "is too thin", "1 mm", "at least 2.4 mm", "use 4 mm")
    result = run_with(_raise(JobFault(fault, fault)), "--json")
    told = json.loads(result.stdout)
    assert told["exit_code"] == result.exit_code == 2
    words = {"where": "a.toml: lap", "problem": "is too thin", "value": "1 mm", "limit": "at least 2.4 mm", "remedy": "use 4 mm"}
    assert told["faults"] == [words | {"drawers": [], "changes": []}] * 2
    assert "2 faults" in result.stderr


def test_a_defect_says_so_and_how_to_report_it(run_with) -> None:
    result = run_with(_raise(ZeroDivisionError("float division by zero")))
    assert result.exit_code == 70
    assert "defect in camtools" in result.stderr
    assert "report" in result.stderr
    assert "ZeroDivisionError: float division by zero" in result.stderr
    assert "Traceback" not in result.stderr


def test_a_defect_shows_its_trace_when_asked(run_with, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CAMTOOLS_TRACEBACK", "1")
    assert "Traceback" in run_with(_raise(ZeroDivisionError("zero"))).stderr


def test_stopping_from_the_keyboard_has_its_own_code(run_with) -> None:
    assert run_with(_raise(KeyboardInterrupt())).exit_code == 130


HOSTILE = "[red]x[/red] [link=file:///etc/passwd]y[/link] \x1b[31mred\x1b]0;title\x07 \u202egnp.exe \r\n\ud800 :smile:"


def test_hostile_text_reaches_the_terminal_as_plain_text(run_with) -> None:
    result = run_with(_raise(JobFault(Fault(HOSTILE, HOSTILE, HOSTILE, HOSTILE, HOSTILE))))
    assert not set(result.stderr) & set("\x1b\x07\r\u202e\ud800")
    assert "[red]x[/red]" in result.stderr
    assert ":smile:" in result.stderr


def test_clean_keeps_letters_of_every_script_and_shows_controls() -> None:
    assert show.clean("Schublade für Gräser, 標本 №3") == "Schublade für Gräser, 標本 №3"
    assert show.clean("a\x1b[0m\tb\u202e\xa0c") == "a\\x1b[0m\\tb\\u202e c"


def test_tables_keep_to_80_columns_and_lose_nothing(capsys: pytest.CaptureFixture[str]) -> None:
    words = [f"word{index}" for index in range(60)]
    show.table("Title", ["name", "number", "text"], [["x" * 70, "3", " ".join(words)]], right=[1])
    lines = capsys.readouterr().err.splitlines()
    assert max(map(len, lines)) <= 80
    joined = "".join(lines)
    assert joined.count("x") >= 70
    assert all(word in joined.replace("\n", "") for word in words[:5])
    assert "…" not in joined


def test_exit_codes_are_those_of_the_faults() -> None:
    assert {JobFault.exit_code, CannotCut.exit_code, PacketFault.exit_code} == {2, 3, 4}
    assert camtools.cli.EXIT_CODES.keys() >= {0, 1, 2, 3, 4, 70}
