"""What a request may use of the stock, on the wire: what it leaves out, and what is promised to it."""
