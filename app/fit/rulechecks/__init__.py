"""Rules looked over for faults, by themselves and against each other."""
