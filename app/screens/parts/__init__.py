"""What every screen shares: keys, plain text, forms, sheets, drafts, scans, workers, looks."""
