"""Run sallow as ``python -m sallow``."""

from sallow.cli import entry

entry()
