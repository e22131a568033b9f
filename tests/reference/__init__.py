"""Checks against figures from outside the project."""
