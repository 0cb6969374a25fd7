"""The JSON Schema of panel files, for editors and other programs.

``python -m gaugecore.panel.schema`` prints it; ``docs/panel.schema.json`` holds it, and a test compares.
"""

from __future__ import annotations

import json
import sys

from gaugecore.panel.document import Panel


def schema_text() -> str:
    """Return the JSON Schema (draft 2020-12) of a panel file as text."""
    schema = {"$schema": "https://json-schema.org/draft/2020-12/schema", **Panel.model_json_schema()}
    return json.dumps(schema, indent=2, ensure_ascii=False) + "\n"


if __name__ == "__main__":
    sys.stdout.write(schema_text())
