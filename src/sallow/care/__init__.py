"""The arithmetic of care: feeding, laboratory, water, weather, season; pure functions, no printing, no files."""
