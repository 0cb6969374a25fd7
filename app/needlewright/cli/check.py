"""say everything there is to say about a panel.

All findings: face, movement, supply, calibration, completeness. Exit code 1 when one of them is a fault.
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from gaugecore.findings import Finding, Severity, worst
from gaugecore.panel.store import load_panel
from needlewright.cli.outcome import Exit, Outcome


def add_arguments(parser: ArgumentParser) -> None:
    """Add what this verb takes."""
    parser.add_argument("panel", type=Path, metavar="PANEL", help="the panel file")


def run(args: Namespace) -> Outcome:
    """Check the panel."""
    from gaugecore.panel.checks import check_panel

    panel = load_panel(args.panel)
    found = check_panel(panel)
    return Outcome(
        report={"panel": panel.title, "findings": [as_json(finding) for finding in found]},
        text=as_text(found),
        exit_code=Exit.FAULT if worst(found) is Severity.FAULT else Exit.DONE,
    )


def as_json(finding: Finding) -> dict[str, Any]:
    """Return a finding as JSON values."""
    return {
        "rule": finding.rule,
        "severity": finding.severity.value,
        "place": finding.place,
        "message": finding.message,
        "measured": finding.measured,
        "wanted": finding.wanted,
        "source": finding.source,
        "remedy": finding.remedy,
        "at_mm": finding.at_mm,
    }


def as_text(found: Sequence[Finding]) -> str:
    """Return findings for people, and a count at the end."""
    counts = ", ".join(
        f"{number} {severity.value}{'s' * (number != 1)}"
        for severity in Severity
        if (number := sum(finding.severity is severity for finding in found))
    )
    paragraphs = [_paragraph(finding) for finding in found]
    return "\n".join([*paragraphs, counts or "Nothing to say: no findings."])


def _paragraph(finding: Finding) -> str:
    lines = [f"{finding.severity.value}: {finding.place}", f"    {finding.message}"]
    figures = ", ".join(
        f"{name} {figure}"
        for name, figure in (("measured", finding.measured), ("wanted", finding.wanted))
        if figure
    )
    if figures:
        lines.append(f"    {figures}")
    if finding.remedy:
        lines.append(f"    {finding.remedy}")
    if finding.source:
        lines.append(f"    [{finding.source}]")
    return "\n".join(lines)
