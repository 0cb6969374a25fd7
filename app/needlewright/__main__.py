"""``python -m needlewright VERB``."""

import sys

from needlewright.cli.main import main

sys.exit(main())
