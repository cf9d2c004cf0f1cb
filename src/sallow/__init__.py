"""sallow: a leaf-symptom adviser for home fruit trees."""

from typing import Any

__all__ = ["__version__"]


def __getattr__(name: str) -> Any:
    # Asking the packaging metadata costs more than the rest of the start-up, so it waits until wanted.
    if name == "__version__":
        from importlib.metadata import version

        return version("sallow")
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
