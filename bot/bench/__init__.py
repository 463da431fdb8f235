"""Measurements that people run by hand; no part of the program."""
