"""Chains: which links can meet, the paths over them, and whether a chain stands."""
