"""`python -m tui` is `bayhand`."""

import sys

from tui.main import main

sys.exit(main())
