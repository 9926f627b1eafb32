"""`python -m app` is the command `hobbyclosure`."""

import sys

from app.cli import main

sys.exit(main())
