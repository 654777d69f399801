"""`python -m workbench` is `balmbook`."""

import sys

from workbench.cli import main

sys.exit(main())
