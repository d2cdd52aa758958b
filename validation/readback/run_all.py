"""Reads every sample in a directory back: usage: run_all.py DIR

Each folder of DIR holds disc.dxf, disc.step, profile.csv and expected.json.
"""

import sys
import traceback
from pathlib import Path

import polygon_envelope
import read_dxf
import read_step

READERS = [(read_dxf, "disc.dxf"), (read_step, "disc.step"), (polygon_envelope, "profile.csv")]


def run(reader, file, expected):
    try:
        return reader.main(str(file), str(expected))
    except Exception:
        print(f"{file}: FAILED:")
        traceback.print_exc(file=sys.stdout)
        return 1


def main(directory):
    samples = sorted(Path(directory).glob("*/expected.json"))
    if not samples:
        print(f"{directory}: no samples found")
        return 1
    failed = 0
    for expected in samples:
        for reader, name in READERS:
            failed += run(reader, expected.parent / name, expected)
    print(f"read back: {len(samples)} discs, {len(READERS) * len(samples)} files, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
