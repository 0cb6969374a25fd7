"""The published schema is the one the program keeps to."""

from __future__ import annotations

import json
from pathlib import Path

from gaugecore.panel.schema import schema_text

DOCS = Path(__file__).parents[2] / "docs"


def test_the_schema_in_docs_is_current() -> None:
    # to refresh: python -m gaugecore.panel.schema > docs/panel.schema.json
    assert (DOCS / "panel.schema.json").read_text("utf-8") == schema_text()


def test_the_schema_closes_every_object() -> None:
    schema = json.loads(schema_text())
    objects = [schema, *schema["$defs"].values()]
    assert all(o.get("additionalProperties") is False for o in objects if o.get("type") == "object")
