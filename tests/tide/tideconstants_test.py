#!/usr/bin/python3
"""scripts/tideconstants on an invented sample in the database's shape, and, where DANGERLINE_TIDE_DATABASE names a
folder in which npm has installed @neaps/tide-database, on the three stations of testdata/tide/neaps_constants.csv."""
import csv
import os
import subprocess
import sys
import tempfile
import unittest
from pathlib import Path

TOP = Path(__file__).resolve().parent.parent.parent
DATA = TOP / "testdata" / "tide"
SAMPLE = DATA / "database_sample.json"
DATABASE = os.environ.get("DANGERLINE_TIDE_DATABASE")


def run(*arguments):
    return subprocess.run([sys.executable, TOP / "scripts" / "tideconstants", *arguments], capture_output=True, text=True,
                          check=False)


def rows(text):
    return list(csv.DictReader(line for line in text.splitlines() if not line.startswith("#")))


class Sample(unittest.TestCase):
    def converted(self, station):
        ran = run("--json", SAMPLE, station)
        self.assertEqual((ran.returncode, ran.stderr), (0, ""))
        return ran.stdout

    def refused(self, station, words):
        ran = run("--json", SAMPLE, station)
        self.assertEqual((ran.returncode, ran.stdout), (1, ""))
        self.assertIn(words, ran.stderr)

    def test_constants_as_committed(self):
        self.assertEqual(self.converted("invented/1"), (DATA / "database_constants.csv").read_text(encoding="utf-8"))
        self.assertEqual(self.converted("lanner bay"), self.converted("invented/1"))

    def test_what_the_constants_carry(self):
        text = self.converted("invented/1")
        for line in ("# Attribution: Invented office (https://example.org). Changed for a test.",
                     "# Licence: cc-by-nc-4.0 https://example.org/licence",
                     "# The licence does not allow commercial use.", "# Remark of the database: Not for navigation",
                     "# The database itself does not accept this station: invented.", "# position = [-40.25000, 45.50000]",
                     "# mean_level_m = 2.232", "# datum = 23",
                     "# 2 constituents left out, their amplitudes adding up to 0.014 m: EP2 0.0130, MSQM 0.0013"):
            self.assertIn(line + "\n", text)
        self.assertEqual([tuple(r.values()) for r in rows(text)],
                         [("M2", "1.3710", "109.20"), ("LAM2", "0.0200", "140.10"), ("SSA", "0.0220", "97.50"),
                          ("RHO", "0.0050", "179.30")])

    def test_differences(self):
        self.assertEqual(self.converted("invented/2"), (DATA / "database_differences.csv").read_text(encoding="utf-8"))
        self.assertEqual([tuple(r.values()) for r in rows(self.converted("invented/3"))],
                         [("hw_time_min", "", "-37"), ("hw_height_m", "", "0.03"), ("lw_time_min", "", "-16"),
                          ("lw_height_m", "", "0")])

    def test_refusals(self):
        self.refused("Rook Quay", "give one id of invented/2, invented/4")
        self.refused("Rook", "no station has the id or name")
        self.refused("invented/4", "amplitude of M2 is negative")
        self.refused("invented/5", "no licence")
        self.refused("invented/6", "a station of current")

    def test_out_and_command_line(self):
        with tempfile.TemporaryDirectory() as folder:
            out = Path(folder) / "a.csv"
            self.assertEqual(run("--json", SAMPLE, "invented/1", "--out", out).returncode, 0)
            self.assertEqual(out.read_text(encoding="utf-8"), self.converted("invented/1"))
            self.assertEqual(run("--package", folder, "invented/1").returncode, 1)
        self.assertEqual(run("--json", SAMPLE).returncode, 2)


@unittest.skipUnless(DATABASE, "DANGERLINE_TIDE_DATABASE is not set")
class Package(unittest.TestCase):
    def test_three_stations_of_noaa(self):
        with open(DATA / "neaps_constants.csv", encoding="utf-8") as opened:
            published = rows(opened.read())
        for station in ("8443970", "8729840", "9447130"):
            ran = run("--package", DATABASE, "noaa/" + station)
            self.assertEqual((ran.returncode, ran.stderr), (0, ""))
            found = {r["constituent"]: r for r in rows(ran.stdout)}
            expected = [r for r in published if r["station_id"] == "noaa/" + station]
            self.assertEqual((len(found), len(expected)), (37, 37))
            for row in expected:
                got = found[row["constituent"]]
                self.assertAlmostEqual(float(got["amplitude_m"]), float(row["amplitude_m"]), delta=0.00005)
                self.assertAlmostEqual(float(got["phase_deg_gmt"]), float(row["phase_deg_gmt"]), delta=0.005)
            self.assertIn("Attribution: ", ran.stdout)
        self.assertIn("# mean_level_m = 2.024\n# datum = 12\n", ran.stdout)


if __name__ == "__main__":
    unittest.main()
