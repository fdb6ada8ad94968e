"""Pain told, stops, and the limits that every asked part passes."""
