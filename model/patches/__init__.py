"""Whole patches: saved, compared, recalled, reset, on paper."""
