"""Makes the layouts of this folder importable, for they are data of the tests beside them."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
