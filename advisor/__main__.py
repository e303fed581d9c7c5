"""``python -m advisor`` is the command ``curdwise``."""

import sys

from advisor.cli import main

sys.exit(main())
