"""Look-alikes: which known design is in the hand, how sure that is, and what to measure next."""
