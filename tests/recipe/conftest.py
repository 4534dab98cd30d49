"""The recipe is a folder of scripts, no package: its tests import them by name."""

import sys
from pathlib import Path

sys.path.append(str(Path(__file__).parents[2] / "models" / "recipe"))
