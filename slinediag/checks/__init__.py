"""Checks: what a facility at rest has that it should not, or lacks that it should have."""

from slinediag.checks.check import check
from slinediag.checks.finding import Finding

__all__ = ["Finding", "check"]
