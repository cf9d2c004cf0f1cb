"""Rendering: a diagnosis as terminal text, page, Markdown or JSON, and the drawn leaf pictures."""
