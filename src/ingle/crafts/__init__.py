"""Crafts: cure, smoke, skin, butter, sauce, bread. Each answers formula, forecast and check."""
