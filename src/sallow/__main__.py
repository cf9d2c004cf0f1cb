"""Run sallow as ``python -m sallow``."""

from sallow.start import entry

entry()
