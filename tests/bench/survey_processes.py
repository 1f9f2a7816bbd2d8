"""survey_processes.py CALIBRATE DANGERLINE CELL: the survey of one cell against a GeoPandas script, and of forty on one
and two threads, as whole processes, medians; the forty are one cell with its name patched.
"""
import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROUNDS = 5
CELLS = 40


def run(words):
    begin = time.perf_counter()
    process = subprocess.Popen(words, stdout=subprocess.DEVNULL)
    _, status, used = os.wait4(process.pid, 0)
    if status != 0:
        sys.exit(f"{words[0]} failed")
    return time.perf_counter() - begin, used.ru_maxrss / 1024.0


def patched(cell, folder, count):
    """Copies of a cell and its updates under names of their own, in file name and record."""
    name = cell.stem
    for number in range(count):
        new = f"{name[:-2]}{number:02}"
        for file in sorted(cell.parent.glob(name + ".[0-9][0-9][0-9]")):
            (folder / (new + file.suffix)).write_bytes(file.read_bytes().replace(name.encode(), new.encode()))
    return folder


def main():
    calibrate, program, cell = sys.argv[1], sys.argv[2], Path(sys.argv[3])
    with tempfile.TemporaryDirectory() as text:
        folder = Path(text)

        def survey(source, threads):
            return run([program, "survey", str(source), "--as-of", "2026-06-16", "--threads", str(threads),
                        "--out", str(folder / "out")])

        script, whole = [], []
        for _ in range(ROUNDS):
            script.append(run([sys.executable, "-B", str(Path(__file__).with_name("survey.py")), str(cell),
                               str(folder / "survey.geojson")])[0])
            whole.append(survey(cell, 1)[0])
        a, b = statistics.median(script), statistics.median(whole)
        print(f"process: survey, GeoPandas     {a * 1e3:8.1f} ms")
        print(f"process: survey                {b * 1e3:8.1f} ms   {a / b:.1f} times as fast (at least 4)")

        few, many = folder / "few", folder / "many"
        few.mkdir()
        many.mkdir()
        patched(cell, few, 10)
        patched(cell, many, CELLS)
        loops = {1: [], 2: []}
        times = {1: [], 2: []}
        for _ in range(ROUNDS):
            for threads in (1, 2):
                loops[threads].append(run([calibrate, str(threads)])[0])
                times[threads].append(survey(many, threads))
        worth = statistics.median(loops[1]) / statistics.median(loops[2])
        one, two = (statistics.median(t for t, _ in times[n]) for n in (1, 2))
        print(f"survey of {CELLS} cells, one thread {one * 1e3:8.1f} ms, two {two * 1e3:8.1f} ms   {one / two:.2f} times "
              f"as fast (at least 1.3 where the calibration loop shows 1.9; it shows {worth:.2f})")
        mb_few = statistics.median(survey(few, 2)[1] for _ in range(3))
        mb_many = statistics.median(mb for _, mb in times[2])
        print(f"  at most {mb_few:.0f} MB for 10 cells, {mb_many:.0f} MB for {CELLS}")


main()
