"""Double-wishbone front suspension in front view, and the springs that hold it up."""
