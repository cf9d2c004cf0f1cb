"""sallow: a leaf-symptom adviser for home fruit trees."""

__version__ = "0.1.0"
