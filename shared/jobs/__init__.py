"""The one sweep through rows that wait: claims, leases, trying again later."""
