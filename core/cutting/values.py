"""What the formulas take and give: a plain number or an array of them."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Values: TypeAlias = "float | NDArray[np.float64]"
"""Numbers in any shapes that broadcast together; results are arrays of that shape, so a plain
number gives an array of shape (), which `float()` makes plain again."""

Array: TypeAlias = NDArray[np.float64]
