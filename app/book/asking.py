"""Asking the yard: what the customer said, what stands on the shelf, and the answer that is kept."""
