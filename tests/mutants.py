"""``python -m tests.mutants``: break one line of the program at a time; the tests near it must fail.

Each mutant is a name, the text that is replaced, which must stand exactly once in its file, and what takes its place. It is applied
in a copy of the tree. Exit 0: all were caught; 1: one lives, or can not be applied; 2: the tests fail with nothing broken.
"""

from __future__ import annotations

import argparse
import os
import re
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from queue import SimpleQueue

HOUSE = Path(__file__).parent.parent
_LEFT_OUT = shutil.ignore_patterns(".*", "__pycache__", "*-packet", "build", "dist")
_ENDLESS_S = 120  # a mutant that runs longer is taken to run without end

# File below camtools/ and the tests near it -> mutants: name, text, replacement.
TABLE: dict[tuple[str, str], list[tuple[str, str, str]]] = {
    ("crew.py", "tests/test_crew.py"): [
        ("drawn in the process that waits", "crew._call(min(crew._wanted, 1))", "pass"),
        ("drawn before others", "os.nice(10)", "os.nice(0)"),
    ],
    # --- cli ---
    ("cli/taking_up.py", "tests/cli/test_resume.py"): [
        ("taken up where the cutter stands in wood", ">= place.tools[tool].radius_mm - SLACK_MM", ">= 0.0"),
        ("taken up at the line where it stopped, not before", "(motion.line > line and", "(motion.line >= line + 9 and"),
        ("taken up a tenth from the wood", "return point[0] + more * off[0], point[1] + more * off[1]", "return point[0], point[1]"),
        ("boards of a round not told as done", "done=stopped.done", "done=()"),
        ("entry's feed kept for the cut", 'body.append(f"F{_number(fed / scale)}")', "pass"),
    ],
    # --- setout ---
    ("setout/gate.py", "tests/setout/test_server.py"): [
        ("any host", 'request.headers.get("Host") != self.host', 'not request.headers.get("Host")'),
        ("any origin", 'request.headers.get("Origin") != f"http://{self.host}" or from_elsewhere', "from_elsewhere"),
        ("a packet's page that is no stranger", '"sandbox allow-scripts', '"sandbox allow-same-origin allow-scripts'),
    ],
    ("setout/server.py", "tests/setout/test_server.py"): [
        ("a body of any length", '= LARGEST_BODY', "= None"),
        ("files of a packet's folder that are not the packet's", "name not in names or", ""),
        ("links out of a packet", "not place.resolve().is_relative_to(folder.resolve()) or", ""),
    ],
    ("setout/keeping.py", "tests/setout/test_session.py"): [
        ("a file that was changed written over", "elif self.changed:", "elif False:"),
        ("a copy that knows nothing of its file", 'f"{_HEAD}{self.begun}', "f\"{_HEAD}nothing"),
        ("two servers of one job", "fcntl.LOCK_EX | fcntl.LOCK_NB", "fcntl.LOCK_SH | fcntl.LOCK_NB"),
    ],
    ("setout/session.py", "tests/setout/test_session.py"): [
        ("an edit of a window that is behind", "if revision != self._revision:\n                raise", "if False:\n                raise"),
        ("a change that is not in the copy", "self._keeper.keep_copy(text)", "pass"),
    ],
    ("setout/document.py", "tests/setout/test_document.py"): [
        ("a key put at the end of its table's text", "body.insert(last + 1,", "body.insert(len(body),"),
        ("the comment of a key that is taken out", "body[at] = None, Comment(", "body[at] = None, Whitespace(\"\") or Comment("),
    ],
    ("setout/drawings/joint_views.py", "tests/setout/drawings/test_joint_views.py"): [
        ("tails of a back drawn as they are inside", '"inside" if first else "outside"', '"inside"'),
        ("a grip of a job in inches that tells mm", "round(grip.value_mm * unit.per_mm, 4)", "round(grip.value_mm, 4)"),
        ("grips that lie over each other", "_FINGER_PX = 46.0", "_FINGER_PX = 20.0"),
    ],
    ("setout/drawings/gaps.py", "tests/setout/drawings/test_gaps.py"): [
        ("a gap that stays through the year", "drawer.opening_mm[1], percent)", "drawer.opening_mm[1], dry)"),
    ],
    ("setout/drawings/leaf.py", "tests/setout/drawings"): [
        ("a name that becomes markup", 'return escape("".join(', 'return str("".join('),
    ],
    ("setout/page_parts.py", "tests/setout/test_page_parts.py"): [
        ("a button that mends another fault", "self._faults.index(amiss) + 1", "self._faults.index(amiss) + 2"),
        ("a joint of one drawer written for all", "return own if self._alone or", "return own if"),
    ],
    # --- pictures ---
    ("pictures/signs.py", "tests/pictures/test_signs.py"): [
        ("the sign of the reference edge turned round", "[(-inside, 0.0), (-inside - size,", "[(-inside - size, 0.0), (-inside,"),
    ],
    ("pictures/traces.py", "tests/pictures/test_traces.py"): [
        ("an entry above the board", "share = np.maximum(np.maximum(first, under), 0.0)", "share = np.maximum(first, 0.0)"),
        ("the last entry for the first", "i, share = next(_meetings(", "*_, (i, share) = (_meetings("),
    ],
    ("pictures/setups/progress.py", "tests/pictures/test_progress.py"): [
        ("what comes after is drawn as cut", "there < here for there", "there != here for there"),
        ("cut before, seen in another hold", "turn = own[:, :3] @ other[:, :3].T", "turn = np.eye(3)"),
    ],
    ("pictures/setups/setup_view.py", "tests/pictures/test_setup_view.py"): [
        ("a board that no telephone shows large enough", "_VIEW_PX, _COLUMN_PX = 456, 300", "_VIEW_PX, _COLUMN_PX = 520, 300"),
    ],
    ("pictures/setups/told.py", "tests/pictures/test_sample_setups.py"): [
        ("zero at the other side", 'zero = f"{setup.stop} {deep}', 'zero = f"left {deep}'),
    ],
    ("page/views.py", "tests/page/test_views.py"): [
        ("all feed is in wood", "if row.kind == 0 or row.arc or leave <= enter:", "if True:"),
    ],
    # --- trial joints ---
    ("drawer/trial/trial_boards.py", "tests/output/test_trial_packets.py"): [
        ("every socket of a trial as wide as the loosest", "widths.tail - 2 * (steps[-1] - step)", "widths.tail"),
        ("the tail of a trial cut for the loosest step", "wide_mm, clearance_mm=steps[0])", "wide_mm, clearance_mm=steps[-1])"),
        ("no room in a trial for reliefs", "max(_PIN_MM, flat * bounds.pin.mm)", "_PIN_MM"),
        ("nicks of a trial too near to part settings", "_BESIDE_MM = 1.0", "_BESIDE_MM = 0.4"),
    ],
    ("toolpath/trial/nicks.py", "tests/output/test_trial_packets.py"): [
        ("nicks cut in every setting", "if air.takes(sign * tail.middle_mm))", "if tail)"),
    ],
    ("verify/roughing.py", "tests/output/test_trial_packets.py"): [
        ("nicks of a trial taken for roughing", "_NICKED_MM = 1.0", "_NICKED_MM = 0.0"),
    ],
    ("verify/trial/trial_fit.py", "tests/sabotage/test_sabotage.py"): [
        ("clearance of a step taken as told", "abs(worst - step.clearance) > LABEL_MM", "abs(worst - step.clearance) > 1.0"),
        ("nicks not counted", "if counted != step.number:", "if counted > step.number:"),
        ("mouth of a slot taken as told", "abs(deep - slot.depth) <= _DEPTH_MM", "abs(deep - slot.depth) <= 9.0"),
    ],
    ("verify/trial/trial_rules.py", "tests/sabotage/test_sabotage.py"): [
        ("drawers that no trial stands for", "limits.trials and numbers != Counter", "not limits.trials and numbers != Counter"),
    ],
    # --- drawer ---
    ("drawer/sizing.py", "tests/drawer/test_sizing.py"): [
        ("no room to run above a drawer", "down((high - RUNNING_MM) / (1 + rate)", "down(high / (1 + rate)"),
        ("dampest and driest season swapped", "(stock.dampest_percent, stock.driest_percent)",
         "(stock.driest_percent, stock.dampest_percent)"),
        ("proud ends taken off the side's length", "depth - joint.lap_mm + joint.proud_mm", "depth - joint.lap_mm - joint.proud_mm"),
        ("raised back as high as the sides", "round(height - raised, 6)", "round(height, 6)"),
    ],
    ("drawer/bench/measured.py", "tests/drawer/test_measured.py"): [
        ("tails that follow the front's thickness", "lap_mm=round(front[2] - tail, 6)", "lap_mm=joint.lap_mm"),
        ("boards cut as the smallest of those alike", "key=lambda size: -size[axis]", "key=lambda size: size[axis]"),
        ("the longer side decides on the inside", "inside = min(left[0], right[0])", "inside = max(left[0], right[0])"),
        ("pins that end behind the sides", "back[0] - 2 * flush,", "back[0],"),
        ("a front of any length in its opening", "max(0.0, fit.side_mm - LEAST_SIDE_MM)", "99.0"),
    ],
    ("verify/measured_rules.py", "tests/sabotage"): [
        ("boards as small as may be", "found, measured, over=_SHARED_MM)", "found, measured, over=9.0)"),
        ("boards as far off as may be", "<= _FAR_MM + _SAME_MM:", "<= 99.0:"),
    ],
    ("drawer/movement.py", "tests/published/test_wood_movement.py"): [
        ("wood shrinks where it swells", "coefficient * (after_percent - before_percent)",
         "coefficient * (before_percent - after_percent)"),
        ("radial for tangential movement", "wood.tangential_coefficient if flat", "wood.radial_coefficient if flat"),
        ("shrinkage counted from ovendry width", "(green - SATURATION_PERCENT + before_percent)", "(green + before_percent)"),
    ],
    ("job/lengths.py", "tests/published/test_seasons_of_a_job.py"): [
        ("Fahrenheit read as Celsius", '(degrees - 32) / Fraction(9, 5) if found[2] == "F" else degrees', "degrees"),
    ],
    ("verify/timber.py", "tests/verify/test_timber.py tests/verify/test_woods_of_jobs.py tests/published/test_seasons_of_a_job.py"): [
        ("air not minded by the check", 'air = stock.get(f"climate.{season}")', "air = None"),
        ("moisture of the air in Celsius", "degrees if fahrenheit else 32 + 1.8 * degrees", "degrees"),
        ("radial movement of flat-sawn boards", 'stock.get("sawn") == "quarter"', 'stock.get("sawn") != "quarter"'),
    ],
    ("output/stock_list.py", "tests/output/test_stock_list.py"): [
        ("fronts of a row without the saw's cuts", "stock.kerf_mm * (len(sizes) - 1)", "0.0"),
        ("sheets planed like boards", 'if wood == "plywood":', "if False:"),
        ("one drawer of a kind", "length_mm=sum(size[0] * count", "length_mm=sum(size[0]"),
    ],
    ("verify/fit/judge.py", "tests/verify/fit/test_bottom_fit.py"): [
        ("bottom may swell beyond its grooves", "if room < grows:", "if False:"),
        ("bottom may shrink out of its grooves", "if held < _ENGAGED_MM:", "if False:"),
    ],
    ("drawer/sizing.py", "tests/drawer/test_seasons.py"): [
        ("height by the board that grows least", "max(moved_mm(height_mm", "min(moved_mm(height_mm"),
    ],
    ("drawer/seasons.py", "tests/drawer/test_seasons.py"): [
        ("all boards move as the sides", "wood = stock.wood_of(role)", "wood = stock.side_wood"),
        ("room above the lower board", "room_mm - max(heights_mm", "room_mm - min(heights_mm"),
        ("front and sides never part", "> FELT_MM", "> 100 * FELT_MM"),
        ("thickness along the rings", 'other: Literal["flat", "quarter"] = "quarter" if', 'other: Literal["flat", "quarter"] = "flat" if'),
        ("room as it is now", "bottom_room_mm=bottom_mm[1] - deep_mm", "bottom_room_mm=bottom_mm[1] - bottom_mm[0]"),
    ],
    ("drawer/feeds.py", "tests/published/test_feeds.py"): [
        ("safe feed by the softest wood", "max(loads, key=lambda load: load.wood_n_mm2)", "min(loads, key=lambda load: load.wood_n_mm2)"),
        ("bending grows as the feed", "over ** (-1 / (1 - THIN))", "over ** -1"),
        ("machine's feed not minded", '"machine": machine.max_feed_mm_min', '"machine": math.inf'),
    ],
    ("drawer/feeds.py", "tests/drawer/test_feeds.py"): [
        ("turned so slow that it bends too far", "feed / (edges * safe.chip_mm)", "0.0"),
        ("fed so slow that edges rub", "max(feed * SLOWER, safe.chart_mm[0] * speed * edges)", "feed * SLOWER"),
        ("fed faster than is safe", "min(feed * FASTER, safe.feed_mm_min)", "feed * FASTER"),
    ],
    ("drawer/cutting_loads.py", "tests/drawer/test_cutting_loads.py"): [
        ("sockets in the wood of the sides", '"half-blind sockets", sockets, 1.0, front)', '"half-blind sockets", sockets, 1.0, side)'),
        ("tails in the wood of the front", "_share(joint), side)", "_share(joint), front)"),
    ],
    ("drawer/case.py", "tests/drawer/test_case.py"): [
        ("one drawer of a count in a row", ".extend([drawer] * drawer.count)", ".append(drawer)"),
        ("rows of any widths in one case", "if least <= most + _SAME_MM:", "if True:"),
        ("case as wide as its widest row alone", "min(wished, high.with_partitions_mm(_PARTITIONS_MM[1]))", "wished"),
    ],
    ("drawings/sheet_layout.py", "tests/drawings/test_case_view.py"): [
        ("inch and fraction parted", 're.split(r" (?!\\d+/\\d)", text)', "text.split()"),
    ],
    ("drawings/sheet_dxf.py", "tests/drawings/test_drawings.py"): [
        ("dashes of the paper at full size", "tuple(n * dash for dash in layer.dash_mm)", "layer.dash_mm"),
        ("no waste hatched", "if _is_waste(item):", "if False:"),
    ],
    ("drawings/board_views.py", "tests/drawings/test_drawings.py"): [
        ("tails hatched as waste", "for part in _without(waste, wood):", "for part in waste:"),
        ("word on the figures beside it", "_LEADER_MM + 3.0 + max(", "_LEADER_MM + min("),
    ],
    ("page/staged_carvings.py", "tests/page/test_staged_carvings.py"): [
        ("what was carved before forgotten", "self._left[board.id] = left.transform(_back(rows))", "pass"),
        ("chips of another place shared", "np.allclose(known.motions, told, atol=_ALIKE_MM)", "True"),
    ],
    ("drawings/exploded.py", "tests/drawings/test_drawings.py"): [
        ("sides drawn along Y", '"left side": (-reach, 0.0, 0.0)', '"left side": (0.0, -reach, 0.0)'),
        ("label on an edge", "edges.intersects(box) or ", ""),
    ],
    ("page/templates/screen.js", "tests/page/test_screen.py"): [
        ("a step done before all its ticks", "if (open.length > 1) { told();", "if (false) { told();"),
        ("opened at the first screen each time", "last = steps.some(isDone) || isDone(safety) ? firstOpen() : start;", "last = start;"),
        ("a swipe the wrong way", "step(x < 0 ? 1 : -1)", "step(x < 0 ? -1 : 1)"),
        ("pictures not enlarged", "scaled(Math.max(fit, LETTERS_PX", "scaled(Math.min(fit, LETTERS_PX"),
        ("nothing kept where the browser refuses", "if (done) held.add(key); else held.delete(key);", ""),
    ],
    ("page/templates/screen.css", "tests/page/test_screen.py"): [
        ("low buttons", ".screen button{min-height:3rem", ".screen button{min-height:2.2rem"),
        ("pale words of what is done", "#list .done{color:var(--soft)}", "#list .done{color:#999}"),
    ],
    ("page/piece_view.py", "tests/page/test_piece_view.py"): [
        ("loose drawers in one place", "yield name, x, y", "yield name, _EDGE_MM, y"),
        ("fronts hung from above", "top + low - shown[1]", "top - shown[1]"),
    ],
    ("drawings/case_view.py", "tests/drawings/test_case_view.py"): [
        ("drawers where openings begin", "x + (room_mm(drawer)[0] - drawer.outside_mm[0]) / 2", "x"),
        ("sides that look alike drawn for each drawer", "looks.setdefault(_side_look(drawer), [])", "looks.setdefault(drawer.id, [])"),
    ],
    ("output/fresh_job.py", "tests/cli/test_begin.py"): [
        ("mm in a file in inches", 'MM_PER_INCH if units == "in" and suffix.startswith("_mm") else 1.0', "1.0"),
    ],
    ("drawer/looks.py", "tests/drawer"): [
        ("proportion measured at the tips", "(widths.mean_mm - lean) / (widths.mean_pin_mm + lean)", "widths.mean_mm / widths.mean_pin_mm"),
        ("single tails look as good as others", "single=np.where(widths.tails == 1, self._alone, 0.0)", "single=0.0"),
        ("style's own swelling counted as uneven", "widths.narrowest_mm / widths.meant", "widths.narrowest_mm"),
    ],
    ("drawer/layout.py", "tests/drawer"): [
        ("lowest tail may end below the back's edge", "& (half_pin + widths.outermost_mm >= self.bounds.first_high.mm - _SAME_MM)", ""),
        ("given tail taken for a target", "abs(widths.outermost_mm - self.tail) <= _SAME_MM", "True"),
        ("no number of tails but the family's first", "return range(1, max(", "return range(2, max("),
    ],
    ("drawer/division.py", "tests/drawer"): [
        ("width with one half pin", "return 2 * self.half_pin_mm + sum", "return self.half_pin_mm + sum"),
    ],
    ("drawer/bounds.py", "tests/drawer"): [
        ("play of one flank only in the least tail", "dovetail.diameter_mm - 2 * dovetail.play_mm",
         "dovetail.diameter_mm - dovetail.play_mm"),
        ("pin bound by the longer of two tails", "dovetail.diameter_mm - 2 * min(length, thin)",
         "dovetail.diameter_mm - 2 * max(length, thin)"),
        ("groove's room in the tail with the wrong sign", "groove.edge_mm - front if", "groove.edge_mm + front if"),
        ("stopped groove held to the tail", "groove.edge_mm - front if hidden else math.inf", "groove.edge_mm - front"),
    ],
    ("drawer/bottom.py", "tests/drawer/test_bottom.py"): [
        ("bottom that fills its groove before it swells", "front = side - share * grow", "front = side + share * grow"),
        ("no play between tongue and groove", "side = groove.depth_mm - TONGUE_MM", "side = groove.depth_mm"),
        ("bottom grows out under the back", "deep - REAR_MM - grow", "deep - REAR_MM + grow"),
        ("bottom lies on the groove's lower wall", "groove.edge_mm + groove.play_mm / 2", "groove.edge_mm"),
    ],
    ("drawer/grooves.py", "tests/drawer/test_grooves.py"): [
        ("proud pins forgotten in the back's groove", "thick + proud + stop", "thick + stop"),
        ("proud tails forgotten in the side's groove", "length - (sizes.back_mm[2] + proud)", "length - sizes.back_mm[2]"),
        ("socket's lean forgotten at the groove's end", "joint.clearance_mm + wish.groove.depth_mm * joint.dovetail.slope",
         "joint.clearance_mm"),
    ],
    # --- geometry ---
    ("job/job.py", "tests/drawer/test_sizing.py"): [
        ("clearance left on one side of a drawer only", "wide - 2 * self.side_mm", "wide - self.side_mm"),
    ],
    ("job/job.py", "tests/geometry"): [
        ("angle taken as that of both flanks", "math.radians(angle_deg)", "math.radians(angle_deg / 2)"),
        ("free depth forgotten in the play of a socket", "clearance_mm + free_depth_mm * self.slope", "clearance_mm"),
    ],
    ("geometry/curves.py", "tests/geometry"): [
        ("clockwise arc turns the other way", "turn - 360.0 if self.clockwise else turn", "turn"),
        ("mirrored arc keeps its chords and loses its side", "flip(part.centre), part.clockwise)",
         "flip(part.centre), not part.clockwise)"),
        ("arc as long as its chord", "abs(math.radians(part.sweep_deg)) * part.radius_mm", "math.dist(part.start, part.end)"),
    ],
    ("geometry/frames.py", "tests/geometry tests/toolpath/test_workholding.py"): [
        ("determinant with a wrong sign", "- b * (d * i - f * g)", "+ b * (d * i - f * g)"),
        ("mirror images pass", "return determinant(to_machine) * determinant(to_drawer) <= 0", "return False"),
    ],
    ("geometry/half_blind.py", "tests/geometry tests/toolpath/test_joint_cuts.py"): [
        ("tail's corner rounder by the play", "tip + offset - joint.play_mm", "tip + offset + joint.play_mm"),
        ("tail's corner deeper than its socket's", "depth_mm=joint.side_mm + joint.play_mm - offset",
         "depth_mm=joint.side_mm - joint.play_mm - offset"),
        ("socket narrower by its play", "half = width_mm / 2 + joint.play_mm", "half = width_mm / 2 - joint.play_mm"),
        ("socket no deeper than the side", "reach_mm=joint.side_mm + joint.play_mm", "reach_mm=joint.side_mm"),
    ],
    ("geometry/through.py", "tests/geometry tests/toolpath/test_joint_cuts.py"): [
        ("flank measured at the proud end", "joint.dovetail.radius_at(joint.back_mm)", "joint.dovetail.radius_at(joint.length_mm)"),
        ("through socket wider by its clearance", "tail.width_mm / 2 + joint.clearance_mm", "tail.width_mm / 2 + 2 * joint.clearance_mm"),
        ("wall's offset not square to the wall", "/ 2 / math.cos(", "/ 2 * math.cos("),
    ],
    # --- answers of the maker ---
    ("job/bench/answers.py", "tests/job/bench/test_answers.py"): [
        ("lean of a measured flank forgotten", "return wider + answer.depth * steeper", "return wider"),
        ("through joint as tight as its loosest place", "min(0.0, answer.back.thickness", "max(0.0, answer.back.thickness"),
        ("straight cutter's wear forgotten", "straight / (2 * leaning)", "0.0"),
        ("answer used for other wood", "if wood != mark.wood:", "if False:"),
        ("answer used for another cutter", "cutter is None or cutter.number != mark.number or", "cutter is None or"),
        ("overlap taken for a clearance", "if value_mm < 0:", "if False:"),
    ],
    ("job/drawer_defaults.py", "tests/cli/bench/test_fit.py"): [
        ("answer goes before the job file", "for name in (key, *_COVERED_BY.get(settled.key, ())):", "for name in ():"),
        ("clearance that is written not taken for both joints", '{"joints.through_clearance": ("clearance",)}', "{}"),
    ],
    ("job/bench/answers_kept.py", "tests/cli/bench/test_fit.py"): [
        ("another answer taken out", "if own[place] in gone:", "if own[place] + 1 in gone:"),
    ],
    ("job/bench/measured_cutter.py", "tests/job/bench/test_measured_cutter.py"): [
        ("diameter at the mouth of a slot", "_sum(self.parts(0.0), self.widths_mm), _sum", "_sum(self.parts(1.0), self.widths_mm), _sum"),
        ("a reading taken for normal", "slots.caliper_mm / math.sqrt(12), slots", "slots.caliper_mm / 2, slots"),
        ("included angle not told", "abs(found.angle_deg - lean * times) <= near_deg", "False"),
        ("inch cutter not told from a metric one", "<= found.within_mm + 0.02 < abs(off)", "< -1.0"),
    ],
    ("verify/rules/answer_rules.py", "tests/verify/rules/test_answer_rules.py"): [
        ("settings of other woods hold", "and set(woods) <= set(names):", "and True:"),
        ("answer asked of another board", "return apart <= _THICKNESS_MM + _NEAR and", "return"),
        ("change asked for where boards lie flat", "_retaken(answer, tools))", "False)"),
        ("answer asked of another cutter", 'answer.get(f"{kind}.number") != number', "False"),
        ("programs' cutter forgotten", 'if f"{kind}.taken_diameter" in answer', "if False"),
        ("lean forgotten by the check", 'known(answer.get("depth")) * lean', "0.0"),
    ],
    ("verify/rules/job_rules.py", "tests/verify/rules/test_answer_rules.py"): [
        ("answer asked for against the job file", 'wish.joints.get("through_clearance", both)', "None"),
    ],
    ("geometry/flat_tails.py", "tests/toolpath/test_flat_cuts.py"): [
        ("relief off the bisector", "half = math.radians(45.0 -", "half = math.radians(60.0 -"),
        ("shoulder cut a radius too deep", "shoulder_mm=joint.length_mm - radius", "shoulder_mm=joint.length_mm"),
        ("flank offset not square to it", "radius / math.cos(math.radians(joint", "radius * math.cos(math.radians(joint"),
    ],
    ("job/job.py", "tests/toolpath/test_flat_cuts.py"): [
        ("all the clearance lost at a tail's corner", "c * (r - 0.75 * c)", "2 * c * (r - 0.5 * c)"),
    ],
    ("verify/fit/reliefs.py", "tests/sabotage/test_flat_joints.py"): [
        ("reliefs of tails may be any size", "bisector.buffer(radius + self.slack_mm", "bisector.buffer(2 * radius"),
        ("pins not measured at their roots", "runs(1, self.axis_mm)", "runs(1, 0.1)"),
    ],
    # --- toolpath ---
    ("toolpath/drawn_cut.py", "tests/toolpath"): [
        ("passes deeper than the setting", "math.ceil(depth_mm / cutter.depth_per_pass_mm - 1e-9)",
         "math.floor(depth_mm / cutter.depth_per_pass_mm)"),
        ("traverse without rising first", "if not self._moves or self._at[2] != self._air.clearance_mm:", "if not self._moves:"),
        ("neighbouring passes too far apart", "math.ceil(abs(last - first) / step - 1e-9) + 1",
         "math.ceil(abs(last - first) / step - 1e-9)"),
    ],
    ("toolpath/tails.py", "tests/toolpath/test_joint_cuts.py"): [
        ("tails not mirrored at a right stop", "[(-tail.high_mm, -tail.low_mm) for tail in reversed(tails)]",
         "[(-tail.high_mm, -tail.low_mm) for tail in tails]"),
        ("cutter's radius on the wrong side of a flank", "else gap.high - corner.offset_mm", "else gap.high + corner.offset_mm"),
        ("light pass too deep", "touch + joint.light_pass_mm\n", "touch + 4 * joint.light_pass_mm\n"),
        ("corner of a tail bent the other way", "(first - turn, corner.y), clockwise=False", "(first - turn, corner.y), clockwise=True"),
        ("roughing cuts into proud tails", "else joint.proud_mm * joint.dovetail.slope", "else 0.0"),
        ("light pass only between the flanks", "inset, back = past_edge(tip, light)", "inset, back = 0.0, 0.0"),
        ("board's edge not scored", "if low is None or upwards:", "if False:"),
        ("waste left at the board's edge", "_EDGE_MM = 1.0", "_EDGE_MM = -1.0"),
    ],
    ("toolpath/sockets.py", "tests/toolpath/test_joint_cuts.py"): [
        ("sockets without free depth", "depth = joint.length_mm + joint.free_depth_mm\n", "depth = joint.length_mm\n"),
        ("light pass only between the walls", "inset, back = past_edge(tip, joint.light_pass_mm)", "inset, back = 0.0, 0.0"),
        ("light pass as deep as the cutter", "tip + AIR_MM, tip - joint", "tip + AIR_MM, -tip - joint"),
        ("roughing cuts into a socket's corner", "(max(0.0, room**2 - beside**2) ** 0.5 if beside else room)", "room"),
        ("roughing cuts into a socket's walls", "* joint.dovetail.slope - stock - radius", "* joint.dovetail.slope - radius"),
    ],
    ("toolpath/pins.py", "tests/toolpath/test_joint_cuts.py"): [
        ("an open socket's edge not scored", "pen.to(edge - over, OVERRUN_MM)", "pass"),
        ("pins without proud ends", "depth = joint.side_mm + joint.proud_mm", "depth = joint.side_mm"),
        ("raised back cut as a full one", "Tail(tail.middle_mm - lift, tail.width_mm)", "Tail(tail.middle_mm, tail.width_mm)"),
        ("cutter too thick for a socket passes", "if self.far < enough:", "if False:"),
        ("rounds run into the walls", "return self.low(y) + _LEFT_MM", "return self.low(y) - _LEFT_MM"),
        ("rounds leave an island beside the wall", "inner = min(self._radius - lean", "inner = min(self._radius + lean"),
        ("rounds leave the middle", "if (end := self._low(y)", "if False and (end := self._low(y)"),
        ("rounds sink too fast", "slope = min(pen.cutter.depth_per_pass_mm / sum(sides), RAMP)",
         "slope = 2 * pen.cutter.depth_per_pass_mm / sum(sides)"),
        ("deep rounds before the light pass", "        if joint.light_pass_mm:", "        if False:"),
        ("thick light pass at full depth", "if joint.light_pass_mm <= THIN_MM else", "if True else"),
    ],
    ("toolpath/corner_cuts.py", "tests/toolpath/test_corner_cuts.py"): [
        ("notch without running on", "if not off_mm:", "if False:"),
        ("block left at a bottom's corner", "math.hypot(*turn) > radius", "False"),
        ("bottom's rear corner where its front one is", "width_mm - place[1] if far else", "place[1] if far else"),
        ("bottom scored beyond its notch", "light_mm, radius)\n    chord =", "light_mm, radius)\n    chord = -1.0 *"),
        ("end not far enough beyond the stop", "for u, _ in way) + _beside_mm(corners)", "for u, _ in way)"),
    ],
    ("verify/fit/outline_fit.py", "tests/sabotage/test_sabotage.py"): [
        ("outline-wood-left dropped", 'yield from _told("outline-wood-left"', 'yield from () and _told("outline-wood-left"'),
        ("outline-cut-into dropped", 'yield from _told("outline-cut-into"', 'yield from () and _told("outline-cut-into"'),
    ],
    ("toolpath/groove_cuts.py", "tests/toolpath/test_groove_cuts.py"): [
        ("ramp ends before the level", "pen.to(x, y, level, feed)", "pen.to(x, y, (z + level) / 2, feed)"),
        ("last level of a thin groove on one wall only", "len(levels) + 1), [*levels, levels[-1]]", "len(levels)), levels"),
        ("walls finished the other way", "        lines.reverse()\n", "        pass\n"),
        ("groove longer by the cutter's radius", "(groove.start_mm + radius, False)", "(groove.start_mm, False)"),
        ("steep ramp at full feed", "steep = (z - level) / 2 > reach", "steep = (z - level) / 2 > 100 * reach"),
    ],
    ("toolpath/workholding.py", "tests/toolpath/test_workholding.py"): [
        ("stop's zone on the wrong side", '(low[0] - 60.0, low[0]) if stop == "left"', '(low[0] - 60.0, low[0]) if stop == "right"'),
        ("stop's zone thin as paper", "(low[0] - 60.0, low[0])", "(low[0] - 0.1, low[0])"),
        ("clamps behind the board", "(-wide, low[1] - 100.0, -wide), (wide, low[1], top)",
         "(-wide, high[1], -wide), (wide, high[1] + 100.0, top)"),
        ("plate's zone begins behind the plate", "(-wide, machine.backing_mm, -wide)", "(-wide, machine.backing_mm + 50.0, -wide)"),
        ("stop as high as the board", "top = -machine.upright_stop_below_mm", "top = machine.upright_stop_below_mm"),
        ("fence at the far edge", "(-wide, low[1] - 60.0, low[2]), (wide, low[1], top)",
         "(-wide, high[1], low[2]), (wide, high[1] + 60.0, top)"),
        ("kinds of setup share a zero in silence", "shared = len(kinds[offset]) > 1", "shared = False"),
    ],
    ("mending/remedies.py", "tests/mending/test_remedies.py"): [
        ("one way for all faults", "yield _joined(steps[:end], content)", "break"),
    ],
    ("mending/changes.py", "tests/mending/test_remedies.py"): [
        ("mm written among inches", "if not inches:", "if True:"),
    ],
    ("mending/few_drawers.py", "tests/mending/test_remedies.py"): [
        ("only the first of drawers alike changed", "for place in self.alike[at]", "for place in self.alike[at][:1]"),
    ],
    ("toolpath/programs.py", "tests/toolpath/test_programs.py"): [
        ("travel of the machine not minded", "if span > travel:", "if False:"),
        ("cutting length not minded", "if deepest > cutter.cutting_length_mm + 1e-9:", "if False:"),
        ("cutter's radius forgotten at the plate", "for move in cut.moves) + cutter.diameter_mm / 2", "for move in cut.moves)"),
        ("stop and clamps not minded", "machine.upright_stop_below_mm - _OVER_STOP_MM:", "machine.upright_stop_below_mm + 100.0:"),
        ("not told that it was roughed", "yield run, tuple(words)", "yield run, ()"),
    ],
    ("toolpath/work_order.py", "tests/toolpath/test_work_order.py"): [
        ("as many changes as there can be", "found.append((holds + more_holds, cutters +", "found.append((more_holds - holds, -cutters +"),
        ("finished before it is roughed", "if not any((other, group) in before for other in left)", ""),
        ("minutes not minded", "holds * each[0] + cutters * each[1]", "holds + cutters"),
        ("grooves before joints", "if joint[2] < _GROOVES <= groove[2]}", "if joint[2] > groove[2]}"),
        ("names sorted as text", "int(part) if part.isdigit() else part", "part"),
    ],
    ("toolpath/handling/loadings.py", "tests/toolpath/handling"): [
        ("boards that touch", "_BOARDS_MM = 10.0", "_BOARDS_MM = 0.0"),
        ("a long way of the cutter forgotten", "for reach in (_inwards, _reach)]", "for reach in (_inwards,)]"),
        ("nut forgotten beside the other board", "cutter.holder_mm, machine.spindle", "0.0, machine.spindle"),
        ("both ends of one board at once", "return number == 1 and a.boards == b.boards", "return False"),
        ("two boards in one work offset", "if a.setup.work_offset == b.setup.work_offset or", "if"),
        ("flat boards in any order", "key=lambda order: _zeros(order, stood)", "key=lambda order: 0"),
        ("order at the right stop not turned", "found[place] = side[places[(i + by) % len(places)]]", "pass"),
    ],
    ("toolpath/handling/stacks.py", "tests/toolpath/handling"): [
        ("any end is stacked", 'setup.end != "rear end" or ', ""),
        ("stacked though it was roughed", " and joint.rough is None", ""),
        ("stacks beyond the travel", "reach_mm[axis][0] >= -1e-9", "reach_mm[axis][0] >= -1e9"),
        ("clamps where one board has them", 'if zone.name not in ("stop", "clamp"):', "if True:"),
    ],
    ("verify/loading/stack_rules.py", "tests/sabotage/test_stacks.py"): [
        ("only the board at the backing is carved", "_nearer(program.to_machine, number * thick)", "program.to_machine"),
        ("steps pass", "if not step <= _STEP_MM:", "if False:"),
        ("unscored faces pass", "if shares[0] < shares[1] - _NOT_WORSE:", "if False:"),
        ("boards not counted", "if counted < stack.boards:", "if False:"),
    ],
    ("verify/reader/probe.py", "tests/sabotage/test_probing.py"): [
        ("a turning spindle touches", "if state.turning:", "if False:"),
        ("a touch as far as it likes", "if reach > _MOST_MM + _ROUNDING:", "if False:"),
        ("plate not taken away", 'self._next = "stop"', 'self._next = ""'),
    ],
    ("toolpath/handling/minutes.py", "tests/toolpath/handling"): [
        ("zeros kept over a change of cutter", "zero_of.clear()", "pass"),
        ("zero of a board as it is clamped set once", "zeros += times", "zeros += 1"),
    ],
    ("verify/loading/loading_rules.py", "tests/verify/loading/test_loading_rules.py"): [
        ("feeds not compared", "own.sweep_deg, own.feed_mm_min, own.spindle_rpm", "own.sweep_deg, 0.0, own.spindle_rpm"),
        ("low ways pass", "if motion.end[2] < low - SLACK_MM:", "if motion.end[2] < -100.0:"),
        ("other board not minded", "if over.any():", "if False:"),
        ("pairs need no dry run", "        if not file:\n", "        if False:\n"),
        ("boards not counted", "if done != number:", "if False:"),
        ("one board at both stops passes", "for board in named) < sum(seat.boards for seat in seats):", "for board in named) < 1:"),
        ("boards changed under way", "if number and not any(speed == 0.0 for _, speed in stops):", "if False:"),
        ("zero of one board is enough", "if not needed <= {offset", "if not needed & {offset"),
    ],
    ("toolpath/reach/settings.py", "tests/toolpath/test_settings.py"): [
        ("settings that only touch", "_OVERLAP_MM = 10.0", "_OVERLAP_MM = 0.0"),
        ("board slid towards its stop", "-setting.slid_mm if setup.stop", "setting.slid_mm if setup.stop"),
        ("place of the stop not minded", "(-zero, travel - zero) if", "(-zero, travel) if"),
        ("one setting more than is told of", "_MOST = 4", "_MOST = 9"),
        ("more than half of a board reaches out", "_HELD = 0.5", "_HELD = 0.9"),
        ("end slid where another stop does", "if max(far - near for near, far in spans) <= job.machine.travel_mm[0]:", "if False:"),
        ("cutter before the stop not minded", "if near < start + number * step_mm - 1e-9 or", "if"),
    ],
    ("toolpath/reach/stop_places.py", "tests/toolpath/test_stop_places.py"): [
        ("setups promised that are not saved", "if least < now else None", "if True else None"),
        ("stops that can not be reached from", "max(0.0, *(-low for low, _ in reaches[\"left\"]))", "0.0"),
        ("a stop that stands well is moved", "stands = job.machine.upright_stops_mm if hold", "stands = None if hold"),
    ],
    ("verify/loading/setting_rules.py", "tests/verify/loading/test_setting_rules.py"): [
        ("settings that only touch pass", "_OVERLAP_MM = 5.0", "_OVERLAP_MM = 0.0"),
        ("step of two hundredths passes", "_STEP_MM = 0.01", "_STEP_MM = 0.02"),
        ("no setting at the stop itself", "if first.slid_mm:", "if False:"),
        ("walls from two settings pass", "_WOOD_MM = 1.0", "_WOOD_MM = 0.0"),
        ("settings looked at where they lie in the machine", ".motions).slid_to(place).motions:", ".motions).motions:"),
        ("zeros of settings not compared", "own = (way.program.stop, way.program.work_offset)",
         "own = (one.program.stop, one.program.work_offset)"),
    ],
    ("toolpath/moves.py", "tests/toolpath/test_dry.py"): [
        ("outline cuts arcs short", "move.centre, math.dist(move.end[:2], move.centre)", "move.centre, 0.0"),
    ],
    ("toolpath/dry.py", "tests/toolpath/test_dry.py"): [
        ("dry run below the work", "machine.clearance_mm - program.deepest_mm", "machine.clearance_mm + program.deepest_mm"),
        ("dry run as fast as the machine goes", "min(DRY_FEED_MM_MIN, machine.max_feed_mm_min)", "machine.max_feed_mm_min"),
        ("dry run forgets what stands on the machine", "lift = program.setup.highest_mm + over", "lift = over"),
    ],
    ("toolpath/clamps.py", "tests/toolpath/test_clamps.py"): [
        ("nut over a clamp not minded", '("nut", cutter.holder_mm / 2, cutter.stick_out_mm)', '("nut", 0.0, cutter.stick_out_mm)'),
        ("nut counted where it passes over clamps", "if z + start < clamp.high[2]", "if z < clamp.high[2]"),
        ("clamp on less of a face than holds", "if high[1] - line < _BEARING_MM:", "if high[1] - line < 0.0:"),
    ],
    ("toolpath/timing.py", "tests/toolpath/test_timing.py tests/published/test_motion_times.py"): [
        ("half the way to speed up", "(2 * peak**2 - entry**2 - exit**2)", "(peak**2 - entry**2 - exit**2)"),
        ("feeds a second for feeds a minute", "else pace.rapid_mm_min) / 60", "else pace.rapid_mm_min) / 1"),
        ("no look-ahead", "joints[i] = min(joints[i], math.sqrt(joints[i + 1] ** 2",
         "joints[i] = min(joints[i], math.sqrt(1e9 + joints[i + 1] ** 2"),
        ("sharp corners passed at speed", "half / (1 - half)", "half / (1e-9 + 0 * half)"),
        ("spindle's run-up left out", "0.0 if dry else machine.spin_up_s", "0.0"),
    ],
    # --- output ---
    ("output/rounding.py", "tests/output/test_rounding.py"): [
        ("arcs run the other way", "RoundedMove(2 if arc.clockwise else 3", "RoundedMove(3 if arc.clockwise else 2"),
        ("centre counted from the arc's end", "(x - here[0], y - here[1])", "(x - end[0], y - end[1])"),
        ("radii of an arc need not agree", "<= grid.arc_tolerance - 0.01", "<= grid.arc_tolerance + 1000"),
        ("arcs of more than half a turn in one piece", "parts = max(1, math.ceil(sweep / math.pi - 1e-9))", "parts = 1"),
        ("short lines off by a step", "dialect.arc_tolerance_mm - grid.step_mm", "dialect.arc_tolerance_mm + 2 * grid.step_mm"),
        ("number without its minus", "'-' if steps < 0 else ''", "''"),
    ],
    ("wording.py", "tests/output/test_rounding.py"): [
        ("inch of 25 mm", "MM_PER_INCH = 25.4", "MM_PER_INCH = 25.0"),
    ],
    ("output/rs274.py", "tests/output/test_rs274.py"): [
        ("feeds rounded up over the limit", "math.floor(step.feed_mm_min / unit", "math.ceil(step.feed_mm_min / unit"),
        ("feeds in mm in a program in inches", "(MM_PER_INCH, 3)", "(1.0, 3)"),
        ("two cutters in one program", "if len({cut.cutter for cut in program.cuts}) > 1:", "if False:"),
        ("length of a new cutter not asked for", 'f"{fit}set Z zero of {_offsets(programs)}"', 'f"{fit}Z of {_offsets(programs)}"'),
        ("a spindle by hand left on at the end", 'if dialect.spindle == "hand"\n        else ["M5', 'if False\n        else ["M5'),
        ("a line too long for the controller", "if len(longest) > dialect.line_length:", "if False:"),
        ("shared zero not asked for", "if any(program.setup.zero_shared for program in programs):", "if False:"),
        ("corners rounded by more than the joint bears", "dialect.arc_tolerance_mm <= loosest_mm", "True"),
        ("spindle started anti-clockwise", "M3 (spindle on)", "M4 (spindle on)"),
        ("axis left out though it moves", "if end != start or (step.offset", 'if (end != start and axis != "Y") or (step.offset'),
        ("incremental distance stated", '"G90": "distance: absolute"', '"G91": "distance: absolute"'),
        ("modes not stated again after a stop", 'if stopped and line.startswith("G"):', "if False:"),
        ("program left running at its end", '_in_dialect("M30 (end)", dialect)', "()"),
    ],
    ("verify/lookups.py", "tests/verify/test_catalogue.py"): [
        ("programs of others run in a packet of one thing", "if wanted is file.startswith(_PROOF):", "if False:"),
    ],
    ("toolpath/handling/cut_again.py", "tests/cli/test_only.py"): [
        ("both ends cut where one was asked for", 'own in ("", end)', "own is not None"),
    ],
    # --- verify: reader ---
    ("verify/reader/arcs.py", "tests/verify/reader/test_interpreter.py"): [
        ("full circle read as no circle", "turn - 360.0 if turn >= 0.0", "turn - 360.0 if turn > 0.0"),
        ("centre by radius on the wrong side", "if clockwise != (radius_mm < 0.0):", "if clockwise == (radius_mm < 0.0):"),
        ("radii of an arc not compared", "if abs(radius - other) > tolerance_mm:", "if False:"),
        ("inches judged as mm", "INCH_TOLERANCE_MM = 0.0002 * 25.4", "INCH_TOLERANCE_MM = 0.0002"),
    ],
    ("verify/reader/carriage.py", "tests/verify/reader/test_interpreter.py"): [
        ("centre read as a place", 'here[0] + values.get("I", 0.0)', 'values.get("I", 0.0)'),
        ("feed in inches read as mm", "self.feed * self.coordinates.scale", "self.feed"),
        ("cuts from an unknown place pass", "if False in self.coordinates.known:\n            raise", "if False:\n            raise"),
    ],
    ("verify/reader/controller.py", "tests/verify/reader/test_interpreter.py"): [
        ("M5 stops a spindle that has a switch of its own", "if not self.by_hand:", "if True:"),
        ("inch of 2.54 mm", "25.4 if g[6] == 200", "2.54 if g[6] == 200"),
        ("motion code acts on its own line only", "self._motion = None if mode == 800 else mode", "self._motion = None"),
        ("spindle turns on after a change", "            self._turning = 0\n", ""),
        ("units and zero trusted after a stop", "self._unsure.update(_BY_HAND)", "self._unsure.clear()"),
        ("G91 read as G90", "self._coordinates.absolute = g[3] == 900", "self._coordinates.absolute = True"),
    ],
    ("verify/reader/coordinates.py", "tests/verify/reader/test_interpreter.py"): [
        ("axis forgotten that a rapid named", "known or axis in values", "known"),
    ],
    # --- verify: carving ---
    ("verify/carving/cutter.py", "tests/verify/carving tests/verify/test_checking.py"): [
        ("cutter widens upwards", "/ 2 - height_mm * math.tan(", "/ 2 + height_mm * math.tan("),
        ("circle of too few corners", "math.acos(1 - tolerance_mm / radius_mm)", "math.acos(1 - 10 * tolerance_mm / radius_mm)"),
    ],
    ("verify/carving/strokes.py", "tests/verify/carving"): [
        ("deeper pass with a short cutter hides a higher one", "and z + tool.cutting_length >= top_mm", ""),
        ("crossing ramps hide each other", "a <= low + _SAME_MM and b <= high + _SAME_MM", "a <= low + _SAME_MM"),
        ("bend that winds back is one bend", "turn * total < 0 or ", ""),
        ("helix level", "(motion.end[2] - z) * step / count", "0.0"),
        ("arc of half the chords it needs", "/ (radius + widest_mm))", "/ (radius + widest_mm) * 4)"),
        ("bound of an arc forgotten", "motion.tool, centre, off)", "motion.tool, centre, 0.0)"),
    ],
    ("verify/carving/sweep.py", "tests/verify/carving"): [
        ("arc's ends left uncut", "if not _in_air(place[0], place[1], part.widest_mm, box):", "if False:"),
        ("ring run backwards is turned inside out", "steps[0, 0] * inwards[0, 1] < steps[0, 1] * inwards[0, 0]:", "False:"),
        ("bend's flanks not mitred", "mitred = 2 * middle / (middle**2)", "mitred = 1.9 * middle / (middle**2)"),
        ("shank left out", "for part in parts_of(tool, reach):", "for part in parts_of(tool, reach)[:1]:"),
    ],
    ("verify/carving/carve.py", "tests/verify/carving tests/verify/test_checking.py"): [
        ("outline of a bottom forgotten", "if carving.outline:", "if False:"),
        ("mirrored rings inside out", "if np.linalg.det(linear) > 0 else", "if True else"),
    ],
    # --- verify: rules ---
    ("verify/rules/spindle_rules.py", "tests/verify/rules"): [
        ("standing spindle passes", "motion.spindle_rpm == 0.0, cutting", "False, cutting"),
        ("reversed spindle passes", "motion.spindle_rpm < 0.0)", "False)"),
        ("slow spindle passes", "low <= speed <= high", "speed <= high"),
        ("cutter's mark not read", "abs(motion.spindle_rpm) > most", "False"),
        ("assumption told as a mark", "number not in scene.stated.marked:", "False:"),
        ("machine's feed not minded", "motion.feed_mm_min > machine_most * _ROUNDING", "False"),
        ("cutter's feed not minded", "if cutter_most * _ROUNDING < scene.motions[at].feed_mm_min",
         "if 2 * cutter_most < scene.motions[at].feed_mm_min"),
        ("room that is not cut counts as air", "if left_over.area > _PLAY_MM**2:", "if left_over.area > 100 * _PLAY_MM:"),
    ],
    ("verify/rules/place_rules.py", "tests/verify/rules"): [
        ("dovetail cutter may rise in wood", "motion.start[2] != motion.end[2]", "motion.start[2] > motion.end[2]"),
        ("rapids in wood taken as low ones", "if place in in_wood:", "if False:"),
        ("low rapids pass", "        if motion.kind != \"rapid\":\n", "        if place not in in_wood:\n"),
        ("cutting length not minded", '("shank-in-wood", shape.cutting_length, shank)',
         '("shank-in-wood", 2 * shape.cutting_length, shank)'),
        ("spindle's body not minded", '("spindle-in-wood", limits.stick_out', '("spindle-in-wood", 2 * limits.stick_out'),
        ("holder not minded", '("holder-in-wood", limits.stick_out, holder)', '("holder-in-wood", 2 * limits.stick_out, holder)'),
        ("cutter's radius forgotten at the plate", "+ scene.cutter.radius_mm - PLATE_Y_MM", "- PLATE_Y_MM"),
        ("spoilboard not minded", "place.low[2] - place.spoilboard_mm - SLACK_MM", "place.low[2] - 10 * place.spoilboard_mm - SLACK_MM"),
        ("holder may enter a zone", "in scene.cutter.bodies().items():", "in [*scene.cutter.bodies().items()][:2]:"),
        ("cutter's flank taken to widen in a zone", ", part.high_radius_mm))", ", 2 * part.low_radius_mm))"),
    ],
    ("verify/rules/frame_rules.py", "tests/verify/rules"): [
        ("starts at any height", "low = blind and", "low = False and"),
        ("stops at any height", "if motion.blind and not blind and", "if False and"),
        ("ends at any height", "if run.complete and", "if False and"),
        ("other stop's zero passes", 'if motion.work_offset not in ("G53", program.work_offset):', "if False:"),
        ("any cutter passes", "(tool not in program.tools or tool not in place.tools)", "tool not in place.tools"),
        ("travel as a length alone", "beyond = (first < -SLACK_MM)", "beyond = False & (first < -SLACK_MM)"),
        ("travel of both ways", "(high - low)[1:] > self._limit", "(high - low)[1:] > 2 * self._limit"),
    ],
    ("verify/roughing.py", "tests/verify/test_roughing.py"): [
        ("roughing may leave as little as it likes", "if least < stock_mm - _SLACK_MM:", "if False:"),
        ("waste that is left out not missed", "missed = room.difference(", "missed = room.intersection("),
        ("waste asked for that no cutter passes", "radius_mm + stock_mm + _SURELY_MM", "0.0"),
    ],
    ("verify/rules/depth_rules.py", "tests/verify/rules/test_load_rules.py"): [
        ("what a dovetail cutter cut before counts", 'place.tools[motion.tool].shape.kind == "straight"]', "True]"),
        ("what was cut at another zero counts", "if motion.work_offset == place.program.work_offset]", "]"),
    ],
    ("verify/runs.py", "tests/verify/rules/test_load_rules.py"): [
        ("what comes later counts as cut before", "if other.order < entry.order and", "if"),
    ],
    ("verify/rules/depth_rules.py", "tests/verify/rules"): [
        ("two passes at once", "depth > limit + _ROUNDING_MM", "depth > 2 * limit + 1.1"),
        ("plunging passes", "start[2] - end[2] > math.dist(start[:2], end[:2])", "False"),
        ("wood grows back behind the cutter", "np.minimum(height, lowest, out=height, where=swept)", "pass"),
    ],
    ("verify/rules/motion_rules.py", "tests/verify/rules"): [
        ("dry run as low as the zones", "place.top_mm + place.machine.clearance", "place.high[2] + place.machine.clearance"),
        ("dry run with a turning spindle", "if motion.spindle_rpm != 0.0 and not turning:", "if False:"),
        ("dry run may leave out moves", "if len(dry_way) != len(way):", "if len(dry_way) > len(way):"),
        ("dry run may turn another way", "abs(motion.sweep_deg - other.sweep_deg) < 0.01", "True"),
    ],
    ("verify/rules/workplace.py", "tests/verify/rules"): [
        ("backing is no wood", "max(self.high[1], PLATE_Y_MM + self.backing_mm)", "self.high[1]"),
        ("clearance counted from zero", "self.high[2] + self.machine.clearance", "self.high[2] + self.machine.clearance / 2"),
    ],
    ("verify/rules/keep_out.py", "tests/verify/rules/test_keep_out.py"): [
        ("stop expected on the wrong side", 'box.low[0]) if program.stop == "left"', 'box.low[0]) if program.stop == "right"'),
        ("backing not held against the job", "entry.backing, machine.get(\"backing\"), 0.0, most)", "0.0, None, 0.0, most)"),
        ("clamp beside a groove not asked for", "from_fence_mm + _BEARING_MM:", "from_fence_mm + 1000.0:"),
        ("any zone of the name will do", "if not any(_holds(zone, need) for zone in same):", "if not same:"),
        ("zone may end too low", "lower and all(a >= b - _ROUNDING_MM", "lower or all(a >= b - _ROUNDING_MM"),
        ("clamps not asked for", 'yield _Need("clamp", (box.low[0]', '_Need("clamp", (box.low[0]'),
        ("clamps at a flat end not asked for", 'yield _Need("clamp", (near, box.low[1]', '_Need("clamp", (near, box.low[1]'),
        ("fence not asked for", 'yield _Need("fence"', '_Need("fence"'),
    ],
    ("verify/rules/job_rules.py", "tests/verify/rules/test_job_rules.py"): [
        ("numbers may be smaller than written", "if least - _SAME <= found <= most + _SAME:", "if found <= most + _SAME:"),
        ("travel of one axis for all", "_at(said.get(\"travel\"), place)", "_at(said.get(\"travel\"), 0)"),
        ("opening's width and height swapped", "_at(opening, place))", "_at(opening, (1, 0, 2)[place]))"),
        ("clearance of both sides for one", "(wide - size[\"width\"]) / 2 + finish", "(wide - size[\"width\"]) + finish"),
        ("growth of the sides alone above", 'for part in ("front", "left", "back")]', 'for part in ("left",)]'),
        ("growth forgotten above", "(high - _RUNNING_MM) / (1 + rate)", "(high - _RUNNING_MM) / (1 + 0 * rate)"),
        ("any wood claimed", "timber_of(board.wood) != timber_of(wood)", "False"),
        ("feeds left open not bounded", "0.0, min(max(chips, plunge), machine)", "0.0, machine"),
        ("speed without a mark not bounded", "if tool.diameter <= size), 0.0)", "if tool.diameter <= size + 99), 0.0)"),
    ],
    ("verify/written.py", "tests/verify/test_written.py"): [
        ("inch of 25 mm", "Fraction(254, 10)", "Fraction(25, 1)"),
        ("feeds a second read as a minute's", '(60 if found["per"] == "/s" else 1)', "1"),
        ("slope of 1:8 read the wrong way up", "math.atan2(1.0, float(slope[1]))", "math.atan2(float(slope[1]), 1.0)"),
        ("piece goes before drawer", "piece[name] | _values(table.get(name, {}), bare)",
         "_values(table.get(name, {}), bare) | piece[name]"),
    ],
    ("verify/contents.py", "tests/verify/test_contents.py"): [
        ("edited files pass", "if digest != listed[name])", "if not digest)"),
        ("new files pass", "present.keys() - listed.keys()", "set()"),
        ("links followed", "path.is_file() and not path.is_symlink()", "path.is_file()"),
        ("page never older", "{_PAGE: page} if changed", "{_PAGE: page} if False"),
        ("edits that a renewed page shows told again", "page_of.get(name, listed[name])", "listed[name]"),
    ],
    ("verify/grouping.py", "tests/verify/test_grouping.py"): [
        ("effects before causes", "return _RANK", "return -_RANK"),
        ("one line, many causes", "yield file, finding.line", "yield object()"),
        ("wrong depth explains its own program alone", "if pair in causes] if of_shape else []", "if pair in causes] if False else []"),
        ("cutters taken for each other", 'finding.subject if finding.subject and finding.subject.kind == "cutter" else None', "None"),
        ("drawers counted one too few", "in finding.about}) - 1 if", "in finding.about}) - 2 if"),
    ],
    ("verify/naming.py", "tests/verify/test_naming.py"): [
        ("another file's program called by its board", 'if own.kind == "program" and own.name != finding.file:', "if False:"),
        ("board of no drawer not named", 'f"board {own.name!a}" if own.kind', '"" if own.kind'),
        ("program touches its first board alone", "setdefault(subject, {}).update(pairs)", "setdefault(subject, pairs)"),
    ],
    ("verify/fit/blame.py", "tests/verify/fit/test_blame.py"): [
        ("lap left in the depth", '"dovetail", thick[pin] - limits.lap\n', '"dovetail", thick[pin]\n'),
        ("free depth forgotten", "limits.lap + limits.tip", "limits.lap"),
        ("proud pins forgotten", "thick[tail] + proud[pin]", "thick[tail]"),
        ("line that cut for the line that set the depth", "motion.start[2] != motion.end[2] else line", "True else line"),
    ],
    # --- verify: lookups and fit ---
    ("verify/lookups.py", "tests/verify/test_lookups.py"): [
        ("mirror images pass", "return bool(signs[0] * signs[1] < 0)", "return False"),
        ("ends of a board taken for each other", '"u=0" if row[0] == -1.0', '"u=0" if row[0] == 1.0'),
        ("fence not minded", "if abs(box.low[1]) > _NEAR_MM:", "if False:"),
        ("stop not minded", "if off > _NEAR_MM:", "if False:"),
        ("height of the board not minded", "if abs(box.high[2]) > _NEAR_MM:", "if False:"),
        ("plate not minded", "elif abs(box.high[1]) > _NEAR_MM:", "elif False:"),
        ("edge at the stop not minded", "if not groove and across[1] != sign:", "if False:"),
        ("edge at the fence not minded", "if groove and program.to_machine[1][1] != 1.0:", "if False:"),
        ("outside face may lie up", 'if program.hold == "flat" and program.to_machine[2][2] != 1.0:', "if False:"),
        ("any board may be any part", "elif board.role != called(part):", "elif False:"),
        ("one end of a board need not be cut", '("u=0", "u=L"), names', '("u=0", "u=0"), names'),
        ("outline may leave its board", "high_u > board.size[0] + 0.01", "high_u > 10 * board.size[0]"),
        ("cutter without a neck passes", "or neck < _LEAST_RADIUS_MM", ""),
    ],
    ("verify/packet_files.py", "tests/verify/test_packet_files.py"): [
        ("names may climb out of the packet", 'or ".." in path.parts', ""),
        ("links are followed", "if place.is_symlink():", "if False:"),
    ],
    ("verify/fit/judge.py", "tests/verify/fit/test_judge.py tests/verify/test_catalogue.py tests/verify/test_checking.py"): [
        ("joint-overlap dropped", "if joint.overlap.depth_mm and joint", "if False and joint"),
        ("joint-blocked dropped", "if blocked.width_mm:", "if False:"),
        ("flank-clearance dropped", "joint.flank, ask.flank_mm, ())", "None, ask.flank_mm, ())"),
        ("shoulder-gap dropped", "joint.shoulder.largest_mm > ALLOWED_MM:", "joint.shoulder.largest_mm > 99:"),
        ("tip-gap dropped", "joint.tip, ask.tip_mm, (", "None, ask.tip_mm, ("),
        ("lap-thin dropped", "if joint.lap_mm < ask.lap_mm - ask.tip_mm - ALLOWED_MM:", "if False:"),
        ("proud-ends of tails dropped", "joint.tip, ask.proud_mm, (", "None, ask.proud_mm, ("),
        ("proud-ends of pins dropped", "if abs(joint.pins_proud_mm - ask.pins_proud_mm) > ALLOWED_MM:", "if False:"),
        ("gaps dropped", "if gap.excess_mm > 0.001:", "if False:"),
        ("bottom-overlap dropped", "if side.overlap.depth_mm > OVERLAP_MM:", "if False:"),
        ("groove-missing dropped", "if side.groove is None:\n            yield", "if False:\n            yield"),
        ("bottom-not-held dropped", "side.engaged_mm < _ENGAGED_MM or", "False and"),
        ("bottom-blocked dropped", "if way.width_mm:", "if False:"),
        ("groove-plane dropped", "if off > _PLANE_MM:", "if False:"),
        ("groove-width dropped", "if abs(wide - width) > _GROOVE_MM:", "if False:"),
        ("groove-depth dropped", "if abs(groove.depth_mm - depth) > _DEPTH_MM:", "if False:"),
        ("groove-weak dropped", "if groove.below_mm < _BELOW_MM or groove.behind_mm < _BEHIND_MM:", "if False:"),
        ("groove-weak behind it dropped", " or groove.behind_mm < _BEHIND_MM", ""),
        ("groove-ends of sides dropped", "if abs(a - b) > _DEPTH_MM and any(free):", "if False:"),
        ("groove-ends of front and back dropped", "if abs(before - after) > _DEPTH_MM and any(own.open_mm):", "if False:"),
        ("drawer-size dropped", "if want is not None and abs(want - got) > ALLOWED_MM:", "if False:"),
        ("not-square dropped", "if diagonals_mm > 2 * ALLOWED_MM:", "if False:"),
        ("opening's sides mixed up", 'zip(("wide", "high", "deep"), (wide, high, deep), limits',
         'zip(("wide", "high", "deep"), (wide, deep, high), limits'),
        ("all that is too wide may be planed", 'name == "wide" and size - room <=', 'name == "wide" or size - room <='),
        ("planed off as much as one likes", "<= 2 * finish_mm + ALLOWED_MM", "<= 4.0"),
        ("unlike-job dropped", "if key in said and not asked", "if False and not asked"),
        ("written half pin held against one edge", '("half_pin", "upper half pin", high - tails[-1][1], True),\n            ', ""),
    ],
    ("verify/fit/plane_sections.py", "tests/verify/fit/test_push.py"): [
        ("board pushed from the wrong end", "for depth in reversed(depths):", "for depth in depths:"),
    ],
    ("verify/fit/joint_fit.py", "tests/verify/fit/test_faces.py tests/verify/test_checking.py"): [
        ("gaps as wide as the free depth may show", "shapely.box(edge, 0.0, thick_pin, high), flank)",
         "shapely.box(edge, 0.0, thick_pin, high), tip)"),
        ("gaps measured beyond the limit", "return self.widest_mm - self.limit_mm", "return self.widest_mm + self.limit_mm"),
    ],
    ("verify/fit/assemble.py", "tests/verify/test_checking.py tests/verify/test_catalogue.py"): [
        ("boards of a joint blamed on the wrong one", "if unlike == [False, True]:", "if unlike == [True, False]:"),
        ("holes in faces not looked for", "faults += _faces(boards, assembly)", "faults += []"),
        ("diagonals of one side", 'corners["front right"], corners["back left"]', 'corners["front left"], corners["back right"]'),
    ],
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Mutant:
    """A line to be broken."""

    file: str  # relative to the tree
    tests: tuple[str, ...]
    name: str
    old: str
    new: str

    def text(self, tree: Path) -> str:
        """Return the file as it is once broken.

        Raises
        ------
        ValueError
            Where the text does not stand there exactly once, or what comes of it is no Python.
        """
        whole = (tree / self.file).read_text(encoding="utf-8")
        count = whole.count(self.old)
        if count != 1:
            raise ValueError(f"its text stands {count} times in {self.file}")
        broken = whole.replace(self.old, self.new)
        compile(broken, self.file, "exec")
        return broken


MUTANTS = [Mutant(f"camtools/{file}", tuple(tests.split()), *row) for (file, tests), rows in TABLE.items() for row in rows]


def tested(tree: Path, tests: tuple[str, ...], *, broken: bool) -> tuple[int, str]:
    """Run tests in a tree until the first one fails; return pytest's exit code and what it printed."""
    environment = {**os.environ, "PYTHONPATH": str(tree), "CI": "true"}
    if broken:  # a file that is broken for a moment must leave nothing behind
        environment["PYTHONDONTWRITEBYTECODE"] = "1"
    command = [sys.executable, "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider", *tests]
    try:
        limit = _ENDLESS_S if broken else None
        done = subprocess.run(command, cwd=tree, env=environment, capture_output=True, text=True, timeout=limit, check=False)
    except subprocess.TimeoutExpired:
        return 1, f"FAILED {tests[0]}::nothing ended within {_ENDLESS_S} s"
    return done.returncode, done.stdout + done.stderr


def judged(mutant: Mutant, tree: Path) -> tuple[bool, str]:
    """Break a line in a tree, run the tests near it, and mend it; return whether one failed, and which."""
    place = tree / mutant.file
    try:
        broken = mutant.text(tree)
    except (OSError, ValueError, SyntaxError) as error:
        return False, f"CAN NOT BE APPLIED: {error}"
    mended = place.with_suffix(".mended")
    shutil.copy2(place, mended)
    try:
        place.write_text(broken, encoding="utf-8")
        code, said = tested(tree, mutant.tests, broken=True)
    finally:
        mended.replace(place)  # with its time, so that its bytecode still counts
    if code == 0:
        return False, "LIVES"
    failed = re.search(r"^(?:FAILED|ERROR) (\S+?::.+?)(?: - .*)?$", said, re.MULTILINE)
    return (True, failed[1]) if failed and code == 1 else (False, f"CAN NOT BE APPLIED: {said.strip().splitlines()[-1]}")


def rows_of(mutants: list[Mutant], folder: Path, workers: int) -> Iterator[tuple[Mutant, bool, str, float]]:
    """Yield each mutant with whether and by what it was caught, and the seconds it took."""
    trees: SimpleQueue[Path] = SimpleQueue()
    for number in range(workers):
        tree = folder / f"{number}"
        shutil.copytree(folder / "sound", tree)
        trees.put(tree)

    def row(mutant: Mutant) -> tuple[Mutant, bool, str, float]:
        tree = trees.get()
        begin = time.monotonic()
        try:
            return (mutant, *judged(mutant, tree), time.monotonic() - begin)
        finally:
            trees.put(tree)

    with ThreadPoolExecutor(workers) as pool:
        yield from pool.map(row, mutants)


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.mutants", description="Break one line at a time; the tests near it must fail.")
    parser.add_argument("names", nargs="*", help="parts of the names or files of the mutants to run; all, where none is given")
    parser.add_argument("-j", "--workers", type=int, default=os.cpu_count() or 1, help="mutants run at once")
    parser.add_argument("--list", action="store_true", help="name the mutants, and run none")
    given = parser.parse_args()
    chosen = [mutant for mutant in MUTANTS if not given.names or any(part in f"{mutant.file} {mutant.name}" for part in given.names)]
    if given.list or not chosen:
        print("\n".join(f"{mutant.file}: {mutant.name}" for mutant in chosen) or "no such mutant")
        return 0 if chosen else 1
    begin = time.monotonic()
    alive = 0
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        shutil.copytree(HOUSE, folder / "sound", ignore=_LEFT_OUT)
        code, said = tested(folder / "sound", tuple(sorted({test for mutant in chosen for test in mutant.tests})), broken=False)
        if code != 0:
            print(f"{said}\nThe tests fail with nothing broken.")
            return 2
        print(f"{'file':<36} {'mutant':<52} {'s':>5}  caught by")
        for mutant, caught, by, seconds in rows_of(chosen, folder, max(1, given.workers)):
            alive += not caught
            print(f"{mutant.file.removeprefix('camtools/'):<36} {mutant.name:<52} {seconds:5.1f}  {by}", flush=True)
    print(f"{len(chosen)} mutants, {len(chosen) - alive} caught, {alive} not, in {time.monotonic() - begin:.0f} s")
    return 1 if alive else 0


if __name__ == "__main__":
    sys.exit(main())
