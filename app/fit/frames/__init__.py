"""Frames: two held against each other, one held against its book for damage, two held up for a joint."""
