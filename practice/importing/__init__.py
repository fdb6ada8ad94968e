"""Shots from a file of any device: CSV and XLSX, in columns that the user names once."""
