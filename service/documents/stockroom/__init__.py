"""Documents of the stockroom: what a storekeeper or planner sends, and stock, journal, reservations and advice as sent back."""
