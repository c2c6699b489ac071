"""``python -m tests.answer_trials [NUMBER]``: random jobs with random answers; maker and check must agree on what they set."""

from __future__ import annotations

import random
import sys
import tempfile
from pathlib import Path

from camtools.faults import CamtoolsError
from camtools.job import read_job
from camtools.job.woods import find_wood
from camtools.output.dialects import dialect_of
from camtools.output.manifest_of import limits_of, manifest_of
from camtools.output.sections import work_of
from camtools.verify.findings import Finding
from camtools.verify.rules.job_rules import judge_against_job
from camtools.verify.written import COMPANIONS, written_in

__all__ = ["disagreements"]

WOODS = tuple(find_wood(name).name for name in ("beech", "beech", "oak"))


def _job(draw: random.Random) -> str:
    keys = [f"clearance = {draw.choice([0.05, 0.1])}"] * draw.choice([0, 0, 0, 1])
    keys += [f"through_clearance = {draw.choice([0.06, 0.09])}"] * draw.choice([0, 0, 0, 1])
    holds = draw.choice(["", "", "", '[machine]\nholds = ["flat"]\nbacking = 18'])
    drawers = [
        f'[[drawers]]\nname = "D{place}"\noutside = [150, {70 + 10 * place}, 140]\n'
        + draw.choice(["", "", 'stock = { side = 11.4, wood = "oak" }\n', "joints = { clearance = 0.11 }\n"])
        for place in range(draw.randint(1, 2))
    ]
    sizes = f"front = {draw.choice([19, 19.4, 20])}, side = 12, back = {draw.choice([12, 12.4])}, bottom = 6.4"
    return f"""title = "Random"
stock = {{ {sizes}, wood = "{draw.choice(["beech", "oak"])}" }}
[[cutters]]
kind = "dovetail"
diameter = {draw.choice([12.7, 12])}
angle = {draw.choice([14, 13])}
cutting_length = 19
[[cutters]]
kind = "straight"
diameter = {draw.choice([6, 5])}
cutting_length = 25
{holds}
[joints]
{chr(10).join(keys)}
{chr(10).join(drawers)}"""


def _answers(draw: random.Random) -> str:
    def board(name: str, *sizes: float) -> str:
        wood = "plywood" if name == "bottom" else draw.choice(WOODS)
        return f'{name} = {{ thickness = {draw.choice(sizes)}, wood = "{wood}" }}\n'

    def mark(name: str, diameters: list[float], angle: str = "") -> str:
        number, size = draw.choice([1, 1, 2]) if name == "dovetail" else draw.choice([2, 2, 1]), draw.choice(diameters)
        taken = draw.choice(["", f", taken_diameter = {size - draw.choice([0, 0.05, -0.04])}, taken_angle = {angle or 0}"])
        return f"{name} = {{ number = {number}, diameter = {size}{f', angle = {angle}' if angle else ''}{taken} }}\n"

    text = ""
    for _ in range(draw.randint(0, 2)):
        text += f"[[half_blind]]\nclearance = {draw.choice([0.02, 0.13, 0.2])}\ndepth = {draw.choice([14, 15])}\n"
        text += board("front", 19, 19.6, 20.5) + board("side", 12, 11.5) + mark("dovetail", [12.7, 12], str(draw.choice([14, 13])))
    for _ in range(draw.randint(0, 2)):
        text += f"[[through]]\nclearance = {draw.choice([0.02, 0.13, 0.2])}\n" + board("side", 12, 11.5) + board("back", 12, 12.9)
        text += mark("dovetail", [12.7, 12], str(draw.choice([14, 13]))) + mark("straight", [6, 5])
    for _ in range(draw.randint(0, 2)):
        text += f"[[groove]]\nplay = {draw.choice([0.1, 0.4])}\n" + board("bottom", 6.4, 6.9, 7) + mark("straight", [6, 5])
    for number, size, angle in ((1, draw.choice([12.7, 12]), draw.choice([14, 13])), (2, draw.choice([6, 5]), 0)):
        if draw.random() < 0.4:
            kind = "dovetail" if number == 1 else "straight"
            lean = f"marked_angle = {angle}\nangle = {angle - draw.choice([0, 0.3])}\n" if angle else ""
            worn = size - draw.choice([0, 0.02, 0.1])
            text += f'[[cutters]]\nnumber = {number}\nkind = "{kind}"\nmarked_diameter = {size}\ndiameter = {worn}\n{lean}within = 0.03\n'
    return text


def disagreements(seed: int) -> tuple[list[Finding], int] | None:
    """Return what the check holds against a random job with answers, and how many are used; None where it can not be cut."""
    draw = random.Random(seed)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "job.toml")
        path.write_text(_job(draw))
        path.with_name("job.fit.toml").write_text(_answers(draw))
        try:
            job, _ = read_job(path)
            work = work_of(job, dialect_of("mm"))
        except CamtoolsError:
            return None
        written = written_in(job.source)
        for name, content in job.companions:
            written = COMPANIONS[name](written, content)
    manifest, limits = (make(work.job, work.drawers, work.program_files) for make in (manifest_of, limits_of))
    return judge_against_job(written, manifest, limits), sum(bool(use.value) for use in job.answers)


if __name__ == "__main__":
    cut = used = 0
    for number in range(int(sys.argv[1]) if len(sys.argv) > 1 else 1000):
        if (found := disagreements(number)) is not None:
            cut, used = cut + 1, used + found[1]
            if found[0]:
                print(number, *(f"{finding.code}: {finding.text}" for finding in found[0]), sep="\n    ")
    print(f"{cut} jobs could be cut, {used} answers were used")
