"""What the program costs and how good its plans are; one thread of linear algebra, so that runs compare."""

import os

for _library in ("OMP", "OPENBLAS", "MKL"):
    os.environ.setdefault(f"{_library}_NUM_THREADS", "1")
