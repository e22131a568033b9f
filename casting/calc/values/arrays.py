"""Types of numpy arrays."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
Counts = NDArray[np.signedinteger[Any]]
