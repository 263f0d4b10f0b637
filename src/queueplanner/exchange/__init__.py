"""What comes in and goes out: job lists, shop files, run orders, plans as text and JSON."""
