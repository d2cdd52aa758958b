"""Makes variance_shares.json: first-order and total Sobol indices of two textbook functions by SALib, for comparison."""

import json
from pathlib import Path

import numpy
from SALib.analyze import sobol as analyze
from SALib.sample import sobol as sample


def ishigami(x):
    x = numpy.pi * (2 * x - 1)
    return numpy.sin(x[:, 0]) + 7 * numpy.sin(x[:, 1]) ** 2 + 0.1 * x[:, 2] ** 4 * numpy.sin(x[:, 0])


def product(x):
    weights = numpy.array([0.0, 1.0, 9.0])
    return numpy.prod((numpy.abs(4 * x - 2) + weights) / (1 + weights), axis=1)


problem = {"num_vars": 3, "names": ["x1", "x2", "x3"], "bounds": [[0, 1]] * 3}
points = sample.sample(problem, 2**15, calc_second_order=False, seed=7)
result = {"made_by": "variance_shares.py with SALib, 32768 rows"}
for name, function in (("ishigami", ishigami), ("product", product)):
    found = analyze.analyze(problem, function(points), calc_second_order=False, seed=7)
    rows = zip(found["S1"], found["S1_conf"], found["ST"], found["ST_conf"])
    keys = ("first_order", "first_order_bound", "total", "total_bound")
    result[name] = [{key: float(f"{value:.6f}") for key, value in zip(keys, row)} for row in rows]
Path(__file__).with_suffix(".json").write_text(json.dumps(result, indent=1) + "\n")
