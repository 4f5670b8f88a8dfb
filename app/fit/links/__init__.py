"""Rules as links of chains, each way to meet them, and which may follow which."""
