# SPDX-License-Identifier: GPL-3.0-or-later
"""Times the second calculation on one candidate: seconds, then the highest IGBT and diode
temperature of each frequency in degC.  Start of the interpreter and reading of files not counted.

    speed_numpy.py DRIVE MODULE
"""
import os
import sys
import time

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "reference"))
import reference  # noqa: E402

case = reference.load_case(sys.argv[1], sys.argv[2])
best = float("inf")
for _ in range(2):
    start = time.process_time()
    result = reference.check(case)
    best = min(best, time.process_time() - start)
print(best, *(p[chip]["tvj_max_c"] for p in result["points"] for chip in ("igbt", "diode")))
