"""States, order, care and news by rule; no Django."""
