"""`python -m tui` is `bayhand`."""

import sys

from tui.cli.main import main

sys.exit(main())
