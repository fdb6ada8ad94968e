"""How likely a week is to be enough; a studio's thresholds and rhythm, what was tried."""
