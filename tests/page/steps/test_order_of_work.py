"""Every step says in few words what is to be done, and boards are ticked once for every time they are cut."""

from __future__ import annotations

from pathlib import Path

from camtools.cli.reading_dialect import read_dialect
from camtools.job import read_job
from camtools.output.dialects import dialect_of
from camtools.output.folder import write_packet
from camtools.output.sections import files_of, work_of
from camtools.page.blocks import Cautions, Step
from camtools.page.chapters import safety
from camtools.page.facts import PacketFacts, read_facts
from camtools.page.rounds import dry_runs_of
from camtools.page.steps.order_of_work import order_of_work
from camtools.wording import told_in
from tests.page.conftest import NOT_LOOKED_AT

LINES, LETTERS = 3, 120  # that are read at a glance from where one stands; the measure, and a common one of print


def steps_of(facts: PacketFacts) -> list[Step]:
    with told_in(facts.units):
        return [step for part in order_of_work(facts) for step in part.steps]


def test_a_step_is_done_in_three_short_lines(sample: PacketFacts) -> None:
    for step in steps_of(sample):
        assert 1 <= len(step.do) <= LINES, step.key
        assert all(line == line.strip() and line.endswith(".") and len(line) <= LETTERS for line in step.do), step.do


def test_a_board_is_ticked_every_time_it_is_cut(sample: PacketFacts) -> None:
    steps = {step.key: step for step in steps_of(sample)}
    for loading in sample.loadings:
        boards = [tick.text for tick in steps[Path(loading.file).stem].ticks if tick.of == "board"]
        assert len(boards) == loading.times
        assert all(len(words.split(" + ")) == len(loading.setups) for words in boards)


def test_the_page_of_one_end_tells_neither_to_saw_bottoms_nor_to_glue_up(samples: Path, tmp_path: Path) -> None:
    job, _ = read_job(samples / "first-drawer.toml")
    work = work_of(job, dialect_of(job.machine.postprocessor), only="front-1 left end")
    facts = read_facts(write_packet(tmp_path / "one", files_of(work, without=("pictures", "drawings", "templates"))), NOT_LOOKED_AT)
    steps = steps_of(facts)
    assert [step.key for step in steps] == ["stock", "mark", "02-front-1-left-end", "again"]
    words = " ".join(line for step in steps for line in step.do).casefold()
    assert "glue" not in words
    assert "bottom" not in words


def test_a_step_says_whose_dry_run_tries_it_where_clamps_stand_and_how_the_hold_is_set_up(sample: PacketFacts) -> None:
    tried = dry_runs_of(sample)
    steps = {step.key: step for step in steps_of(sample)}
    for file, by in tried.items():
        ticks = steps[Path(file).stem].ticks
        (dry,) = [tick.text for tick in ticks if tick.of == "dry run"]
        assert dry.startswith("Dry run, spindle off: " if by == file else f"Tried by the dry run of {Path(by).stem}, ")
        assert any("lamp" in tick.text and " or more " in tick.text for tick in ticks if tick.of == "check"), file
    assert all(
        ": " in tick.text for step in steps.values() for tick in step.ticks if tick.text.startswith(("The flat hold", "The upright"))
    )


def test_every_end_that_lies_flat_is_brought_to_y_zero_and_no_other(sample: PacketFacts) -> None:
    steps = {step.key: step for step in steps_of(sample)}
    flat = {loading.file: loading.setups[0].entry.hold == "flat" and not loading.setups[0].is_groove for loading in sample.loadings}
    assert any(flat.values())
    for file, placed in flat.items():
        told = [tick.text for tick in steps[Path(file).stem].ticks if tick.of == "check" and "end block at Y 0" in tick.text]
        assert len(told) == placed, file


def test_steps_tell_to_lay_the_touch_plate_and_what_happens_with_its_clip_off(samples: Path, tmp_path: Path) -> None:
    path = tmp_path / "plate.toml"
    path.write_text(
        'units = "mm"\nprobe = "G10 L20"\nprobe_plate_mm = 15.0\nprobe_reach_mm = 23.0\nprobe_feed_mm_min = 90.0\n', encoding="utf-8"
    )
    work = work_of(read_job(samples / "first-drawer.toml")[0], read_dialect(str(path)))
    facts = read_facts(write_packet(tmp_path / "one", files_of(work, without=("pictures", "drawings", "templates"))), NOT_LOOKED_AT)
    steps = [step for step in steps_of(facts) if step.where == "machine"]
    assert any(tick.text.startswith("The touch plate works") for tick in steps[0].ticks)
    (caution,) = [caution for step in steps for caution in step.cautions if caution.topic == "The touch plate"]
    assert caution == steps[0].cautions[0]
    assert [block.rows[-1] for block in safety.blocks(facts) if isinstance(block, Cautions)] == [(caution.topic, caution.full)]
    assert "23 mm down at 90 mm/min" in caution.short
    assert sum(tick.text.startswith("The touch plate works") for step in steps for tick in step.ticks) == 1
    for step in steps:
        zeros = [tick.text for tick in step.ticks if tick.of == "zero"]
        assert sum("by the touch plate" in text for text in zeros) == 1
        assert not any("Z at" in text or "Z on every board" in text for text in zeros)
        assert not any("spindle off:" in tick.text for tick in step.ticks)  # Z zero set by hand
