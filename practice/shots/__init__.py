"""Balls measured one by one."""
