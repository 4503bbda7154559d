"""Plans every drawing of a folder, writes its programs, and proves them.

`python tests/core/handover/prove_folder.py FOLDER [THICKNESS_MM]`. A drawing that cannot be planned
is told with its reason; the script ends with 1 if a program of one that can is not proven, or if
the cycle time as read back is not the plan's to a thousandth. Where the plan itself found that a
cutter enters a part (drawn closer together than the cutter is wide), the proof may object to that,
and to nothing else.
"""

import sys
import time
from dataclasses import replace
from pathlib import Path

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE), str(HERE.parent.parent.parent)]

from handed import work_of  # noqa: E402

from app.options import job_of_files  # noqa: E402
from core.errors import WorkbenchError  # noqa: E402
from core.handover.nc_writer import nc_programs  # noqa: E402
from core.handover.proof import prove  # noqa: E402
from core.handover.read_time import cycle_time_s  # noqa: E402
from core.pipeline import Pipeline  # noqa: E402


def noticed(report):
    return [*report.findings, *(f for c in report.contours for f in c.findings)]


def main(folder, thickness_mm):
    wrong = 0
    for path in sorted(Path(folder).glob("*.dxf")):
        begun = time.perf_counter()
        try:
            job = replace(job_of_files([path]), thickness_mm=thickness_mm)
            results = Pipeline().results(job)
        except WorkbenchError as error:
            print(f"{path.name}: not planned: {error}")  # noqa: T201
            continue
        work = work_of(results)
        if not work.order.lines:
            print(f"{path.name}: nothing is cut")  # noqa: T201
            continue
        proofs = [prove(work, one.text, one.number) for one in nc_programs(work)]
        planned_s = results.report.totals.cycle_time_s
        read_s = cycle_time_s([p.program for p in proofs], work.chosen.machine)
        off = read_s / planned_s - 1.0
        entered = any(f.code == "cutter-enters-part" for f in noticed(results.report))
        objects = {c.code for p in proofs for c in p.complaints}
        good = objects <= ({"gouge"} if entered else set()) and abs(off) < 1e-3
        verdict = "refused by its own plan: a part is entered" if entered else "proven"
        wrong += not good
        lines, severed = sum(p.program.lines for p in proofs), sum(p.severed for p in proofs)
        print(  # noqa: T201
            f"{path.name}: {verdict if good else 'NOT PROVEN'}, {lines} lines, {severed} of "
            f"{sum(p.outlines for p in proofs)} severed, gouge "
            f"{max(p.gouge_mm for p in proofs):.4f} mm, uncut "
            f"{max(p.uncut_mm for p in proofs):.4f} mm, time {off:+.1e}, "
            f"{time.perf_counter() - begun:.1f} s"
        )
        for one in [c for p in proofs for c in p.complaints if not good][:5]:
            print(f"    {one.code}: {one}")  # noqa: T201
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], float(sys.argv[2]) if len(sys.argv) > 2 else 6.0))
