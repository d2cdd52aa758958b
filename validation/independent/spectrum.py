"""Makes spectrum.json: amplitudes of a seeded signal by SciPy's fast Fourier transform, for comparison."""

import json
from pathlib import Path

import numpy
from scipy import fft

COUNT = 1560
random = numpy.random.default_rng(39)
steps = numpy.arange(COUNT)
signal = 1e-4 * numpy.sin(2 * numpy.pi * 39 * steps / COUNT + 0.3)
signal += 3e-5 * numpy.cos(2 * numpy.pi * 80 * steps / COUNT) + 1e-5 * random.standard_normal(COUNT) + 2e-4
signal = numpy.array([float(f"{value:.9e}") for value in signal])
amplitudes = 2 / COUNT * numpy.abs(fft.rfft(signal))[1:]
amplitudes[-1] /= 2
text = {
    "made_by": "spectrum.py with SciPy",
    "signal": signal.tolist(),
    "amplitudes": [float(f"{value:.12e}") for value in amplitudes],
}
Path(__file__).with_suffix(".json").write_text(json.dumps(text) + "\n")
