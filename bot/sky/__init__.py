"""Sun and moon over a place: times, light, phase. Numbers only; the formulas are those of astral."""
