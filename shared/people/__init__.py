"""Accounts, studios, students, consent, and the gate that says who may see what."""
