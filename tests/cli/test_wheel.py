"""The wheel, as someone gets it who has no checkout."""

from __future__ import annotations

import os
import subprocess
import sys
import venv
import zipfile
from pathlib import Path

import pytest

from camtools import __version__


def _run(*command: str | Path, cwd: Path) -> str:
    environment = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}
    run = subprocess.run(
        [str(part) for part in command], cwd=cwd, env=environment, capture_output=True, text=True, check=False, timeout=300
    )
    assert run.returncode == 0, f"{command}: {run.stdout}{run.stderr}"
    return run.stdout


@pytest.fixture(scope="module")
def wheel(house: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Build the wheel with what is installed here, so that no network is needed."""
    folder = tmp_path_factory.mktemp("wheel")
    _run(sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", folder, house, cwd=folder)
    return next(folder.glob("*.whl"))


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Install the wheel alone into a fresh environment that finds the libraries, but not the checkout, of this one."""
    folder = tmp_path_factory.mktemp("environment")
    venv.create(folder, with_pip=False)
    binaries = folder / ("Scripts" if os.name == "nt" else "bin")
    python = binaries / "python"
    options = ("--quiet", "--no-deps", "--no-index", "--disable-pip-version-check")
    _run(sys.executable, "-m", "pip", "--python", python, "install", *options, wheel, cwd=folder)
    packages = Path(_run(python, "-c", "import sysconfig; print(sysconfig.get_path('purelib'))", cwd=folder).strip())
    libraries = sorted({str(Path(entry)) for entry in sys.path if entry.endswith("site-packages")})
    (packages / "libraries.pth").write_text("\n".join(libraries), encoding="utf-8")
    return binaries


def test_wheel_carries_samples_dialects_tables_and_licence(wheel: Path, house: Path) -> None:
    names = set(zipfile.ZipFile(wheel).namelist())
    for folder in ("samples", "postprocessors"):
        expected = {
            f"camtools/{folder}/{path.relative_to(house / folder).as_posix()}" for path in (house / folder).rglob("*") if path.is_file()
        }
        assert len(expected) >= 3
        assert expected <= names
    package = {path.relative_to(house).as_posix() for path in (house / "camtools").rglob("*") if path.is_file()}
    assert {name for name in package if "__pycache__" not in name} <= names
    assert f"camtools-{__version__}.dist-info/licenses/LICENSE" in names


def test_wheel_carries_nothing_else(wheel: Path) -> None:
    tops = {name.split("/")[0] for name in zipfile.ZipFile(wheel).namelist()}
    assert tops == {"camtools", f"camtools-{__version__}.dist-info"}
    assert not [name for name in zipfile.ZipFile(wheel).namelist() if "__pycache__" in name]


def test_installed_wheel_is_the_one_that_runs(installed: Path, tmp_path: Path) -> None:
    where = _run(installed / "python", "-c", "import camtools.resources as r; print(r.samples()); print(r.postprocessors())", cwd=tmp_path)
    for line in where.splitlines():
        assert Path(line).is_relative_to(installed.parent)
        assert Path(line).is_dir()


def test_installed_wheel_plans_every_sample(installed: Path, tmp_path: Path) -> None:
    code = "from camtools.resources import samples; print(*samples().glob('*.toml'), sep='\\n')"
    jobs = _run(installed / "python", "-c", code, cwd=tmp_path).splitlines()
    assert len(jobs) >= 3
    for job in jobs:
        assert '"plan": 1' in _run(installed / "camtools", "plan", job, "--json", cwd=tmp_path)


def test_installed_script_answers(installed: Path, tmp_path: Path) -> None:
    assert _run(installed / "camtools", "--version", cwd=tmp_path).strip() == f"camtools, version {__version__}"
