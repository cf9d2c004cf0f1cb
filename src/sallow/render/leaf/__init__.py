"""Leaf pictures drawn by geometry: outline, veins, painters; shown in a terminal, as plain characters or as SVG."""
