"""Makes normal_quantile.json: percentage points of the normal distribution by SciPy, for comparison."""

import json
from pathlib import Path

from scipy.special import ndtri
from scipy.stats import truncnorm

probabilities = [2**-25, 1e-6, 1e-4, 0.001, 0.01, 0.0749, 0.0751, 0.2, 0.5, 0.6, 0.9, 0.924, 0.926, 0.99, 1 - 2**-24]
cut = truncnorm(-3, 3)
text = {
    "made_by": "normal_quantile.py with SciPy",
    "points": [[p, float(ndtri(p))] for p in probabilities],
    "cut_at_three_deviations": [[p, float(cut.ppf(p))] for p in probabilities if 1e-6 < p < 0.999],
    "variance_cut_at_three_deviations": float(cut.var()),
    "variance_cut_at_minus_two_and_four": float(truncnorm(-2, 4).var()),
    "mean_cut_at_minus_two_and_four": float(truncnorm(-2, 4).mean()),
}
Path(__file__).with_suffix(".json").write_text(json.dumps(text, indent=1) + "\n")
