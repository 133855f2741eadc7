"""Documents of quotes: what is asked for, what is kept of the plans behind the prices, the quote."""
