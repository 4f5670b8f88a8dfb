"""`python -m app` is `donorbook`."""

from app.cli import main

main()
